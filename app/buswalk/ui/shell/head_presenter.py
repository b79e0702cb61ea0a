"""Decides what the head line says: port, who holds the line, record, writing, job. Plain Python."""

from __future__ import annotations

import re

from buswalk.bus.messages import (
    Batch,
    Command,
    Kept,
    OpenPort,
    RecordTold,
    StreamItem,
)
from buswalk.bus.write_messages import WritingTold
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, SettingsApplied
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.search.events import ListenedFirst, LivingLine, Verdict
from buswalk.domain.visit.recorder import UNSAVED, RecordState
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobStarted,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
)
from buswalk.ui.shell.head_state import HeadCell, HeadSign, HeadState
from buswalk.ui.shell.job_watch import JobWatch
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, milliseconds, stamp_minutes

DEMO, SIMULATED = "demo:", "sim:"
LOCKED = WritingTold(is_open=False, reason="", left_s=0.0)
_DATE = re.compile(r"^\d{4}-\d{2}-\d{2}-")
_OTHERS = {
    Verdict.TRAFFIC: "another client",
    Verdict.BABBLE: "unknown bytes",
    Verdict.HELD: "held, no idle",
}


class HeadPresenter:
    """Takes the stream and the commands on their way."""

    def __init__(self) -> None:
        self.job = JobWatch()
        self._port = ""
        self._is_lost = False
        self._is_simulated = False
        self._is_walking = True
        self._factor = 1.0
        self._settings: SerialSettings | None = None
        self._since = ""
        self._wall_time = ""
        self._other: Verdict | None = None
        self._record = RecordState("", "", 0, is_simulated=False)
        self._saved = 0
        self._writing = LOCKED
        self._now_s = 0.0

    def asked_for(self, command: Command) -> None:
        """Take a command on its way."""
        self.job.asked_for(command)
        if isinstance(command, OpenPort) and not self._since:
            self._port = command.port

    def take_batch(self, batch: Batch) -> None:
        """Take time and items of a batch."""
        self._factor = batch.factor
        self._is_walking = batch.is_walking
        self._now_s = batch.line_time_s
        for item in batch.items:
            self.take(item)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case RecordTold(state):
                self._record = state
                self._saved = state.exchanges
            case WritingTold():
                self._writing = item
            case Kept(event=event, row=row, at_s=at_s):
                self.job.take(event, at_s)
                self._take_event(event)
                if isinstance(event, ExchangeDone) and row:
                    self._saved += 1
            case _:
                pass

    def _take_event(self, event: object) -> None:
        match event:
            case SessionStarted(wall_time=wall_time, is_simulated=is_simulated):
                self._wall_time, self._is_simulated = wall_time, is_simulated
                self._since, self._other, self._writing = "", None, LOCKED
                self.job.forget()
            case PortOpened(port=port, settings=settings, at_s=at_s):
                self._port, self._settings, self._is_lost = port, settings, False
                self._since = stamp_minutes(self._wall_time, at_s)
            case PortClosed():
                self._since, self._port, self._other, self._is_lost = "", "", None, False
            case PortFailed(port=port, at_s=at_s):
                self._port, self._is_lost = port, True
                self.job.port_lost(at_s)
            case PortReturned(port=port):
                self._port, self._is_lost = port, False
                self.job.port_back()
            case SettingsApplied(settings=settings):
                self._settings = settings
            case ListeningEnded(verdict=verdict) | ListenedFirst(verdict=verdict) | LivingLine(verdict=verdict):
                self._other = verdict if verdict in _OTHERS else None
            case JobStarted() | JobEnded():
                pass
            case _:
                pass

    @property
    def state(self) -> HeadState:
        """What to show now."""
        return HeadState(
            port=self._port_cell(),
            held_by=self._held_cell(),
            record=self._record_cell(),
            writing=_writing_cell(self._writing),
            job=self.job.cell(self._now_s, self._settings),
            can_stop=self.job.is_running,
        )

    def _port_cell(self) -> HeadCell:
        settings = f" · {self._settings}" if self._settings is not None else ""
        if not self._port:
            return HeadCell("Port", ("none open",))
        short = short_port(self._port)
        if self._is_lost:
            return HeadCell("Port", (f"{short} gone{settings}", f"{short} gone"), HeadSign.CROSS, Tone.FAULT)
        if self._is_simulated:
            kind = "demo line" if self._port.startswith(DEMO) else "simulated line"
            return HeadCell("Port", (f"{kind}, {self._speed_words()}",))
        wait = f" · wait {milliseconds(self.job.wait_s)}" if self.job.wait_s else ""
        return HeadCell("Port", (f"{short}{settings}{wait}", f"{short}{settings}", short))

    def _speed_words(self) -> str:
        if not self._is_walking:
            return "time jumps"
        return "real speed" if self._factor == 1.0 else f"{self._factor:g} times"

    def _held_cell(self) -> HeadCell:
        caption = "Line held by"
        if self._is_lost or not self._since:
            return HeadCell(caption, ("nobody: no port",))
        if self._other is not None:
            return HeadCell(caption, (_OTHERS[self._other],), HeadSign.SLANT, Tone.FOREIGN)
        if self.job.name == "listen":
            return HeadCell(caption, ("listening only",))
        return HeadCell(caption, (f"this laptop, since {self._since}", "this laptop"), HeadSign.SQUARE)

    def _record_cell(self) -> HeadCell:
        if self._record.problem:
            return HeadCell("Record", ("nothing is saved",), HeadSign.CROSS, Tone.FAULT)
        if not self._record.name:
            return HeadCell("Record", ("none yet",))
        saved = f"{counted(self._saved)} saved"
        name = "demo record" if self._record.name.startswith(UNSAVED) else self._record.name
        return HeadCell("Record", (f"{name} · {saved}", f"{_DATE.sub('', name)} · {saved}", saved))


def _writing_cell(told: WritingTold) -> HeadCell:
    """Locked, or open and for how long by the wall."""
    if not told.is_open:
        return HeadCell("Writing", ("locked",), HeadSign.LOCK)
    minutes, seconds = divmod(int(told.left_s), 60)
    return HeadCell("Writing", (f"open {minutes}:{seconds:02d}",), HeadSign.OPEN_LOCK, Tone.DOUBT)


def short_port(port: str) -> str:
    """Return a port's name without what every port of its kind has in front."""
    for front in ("/dev/tty.", "/dev/cu.", "/dev/", "rfc2217://", "socket://", DEMO, SIMULATED):
        if port.startswith(front):
            return port[len(front) :] if front != SIMULATED else port.replace("\\", "/").rsplit("/", 1)[-1]
    return port
