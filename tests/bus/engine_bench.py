"""An engine on a simulated line in virtual time, in this process, for the tests beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, nullcontext
from typing import TypeVar

from buswalk.bus.engine import Engine
from buswalk.bus.messages import Command, Done, EndProcess, Kept, NumberedCommand, PortListed, Refused, StreamItem
from buswalk.bus.outbox import Outbox
from buswalk.bus.pace import Pace
from buswalk.bus.parts import EngineParts
from buswalk.bus_parts import OpensHeldLines
from buswalk.domain.registers.writing.earlier_writes import NO_EARLIER_WRITES
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.recorder import OpenedRecord, Recorder, RecordProblem
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.wire.system_clock import SystemClock
from tests.fakes.kept_record import KeptRecord

Event = TypeVar("Event")


class WatchedOutbox(Outbox):
    """Calls `on_put` with every item."""

    def __init__(self, on_put: Callable[[StreamItem], None]) -> None:
        super().__init__()
        self._on_put = on_put

    def put(self, item: StreamItem) -> None:
        """Add it and tell."""
        super().put(item)
        self._on_put(item)


MEANWHILE = 0
"""The number of a command that no other waits for."""


class EngineBench:
    """Hands an engine its commands, each after the end of the one before, and keeps what it says."""

    def __init__(self, pace: Pace = Pace.VIRTUAL, fails_from: int = 0) -> None:
        self.records: list[KeptRecord] = []
        self.awake = 0
        self.notices: tuple[str, ...] = ()
        self.planned: tuple[PlannedDevice, ...] = ()
        self.earlier = NO_EARLIER_WRITES
        self.looked_back: tuple[str, ...] = ()
        self.wall_s = 1_000_000.0
        self.counted_s = 0.0
        self._fails_from = fails_from
        self._saved_as: list[str] = []
        self.on_event: Callable[[object], None] = lambda _event: None
        self._ends_at: tuple[type[object], ...] = ()
        self._commands: Iterator[NumberedCommand] = iter(())
        self.outbox = WatchedOutbox(self._said)
        self.items: list[StreamItem] = []
        parts = EngineParts(
            open_line=OpensHeldLines(pace),
            list_ports=lambda: (PortListed("COM7", "an adapter", "0403:6001 no. A1"),),
            open_recorder=self._open_recorder,
            look_back=lambda: self.looked_back,
            keep_recording_as=self._save_as,
            stay_awake=self._stay_awake,
            line_clock=SystemClock,
            wall_now_s=lambda: self.wall_s,
            wall_words=lambda wall_s: f"{wall_s:.0f}",
            program="buswalk test",
        )
        self.engine = Engine(parts, self.outbox, lambda: self.counted_s)

    def _open_recorder(self, name: str, _adapter_id: str, started: SessionStarted) -> OpenedRecord:
        self.records.append(KeptRecord(name, started, self._fails_from))
        return OpenedRecord(self.records[-1], self.notices, self.planned, self.earlier)

    def _save_as(self, recorder: Recorder, name: str) -> None:
        if not name:
            raise RecordProblem("a record needs a name")
        self._saved_as.append(name)

    def _stay_awake(self) -> AbstractContextManager[None]:
        self.awake += 1
        return nullcontext()

    def _said(self, item: StreamItem) -> None:
        if isinstance(item, Kept):
            self.on_event(item.event)
            if isinstance(item.event, self._ends_at):
                self._ends_at = ()
                self._give_next()
        if isinstance(item, Done | Refused) and item.command_id != MEANWHILE:
            self._give_next()

    def meanwhile(self, command: Command) -> None:
        """Give a command in the midst of the one that is carried out; to be called from `on_event`."""
        self.engine.take(NumberedCommand(MEANWHILE, command))

    def _give_next(self) -> None:
        """The last one waits for what the engine is to notice by itself."""
        command = next(self._commands, None)
        if command is not None and self._ends_at and isinstance(command.command, EndProcess):
            self._commands = iter([command])
        elif command is not None:
            self.engine.take(command)

    def run_until(self, kind: type[object], *commands: Command) -> list[StreamItem]:
        """Carry out commands, then idle until an event of that kind is kept, then end."""
        self._ends_at = (kind,)
        return self.run(*commands)

    def run(self, *commands: Command) -> list[StreamItem]:
        """Carry out commands, numbered from 1, then end; return all that was said."""
        numbered = [NumberedCommand(number, command) for number, command in enumerate(commands, start=1)]
        self._commands = iter([*numbered, NumberedCommand(len(numbered) + 1, EndProcess())])
        self._give_next()
        self.engine.run()
        while not self.outbox.is_empty:
            self.items.extend(self.outbox.take().items)
        return self.items

    def of(self, kind: type[Event]) -> list[Event]:
        """Return the kept events of a kind."""
        return [item.event for item in self.items if isinstance(item, Kept) and isinstance(item.event, kind)]

    def items_of(self, kind: type[Event]) -> list[Event]:
        """Return the stream items of a kind."""
        return [item for item in self.items if isinstance(item, kind)]
