"""Keeping the record of a demo line: unless it is saved under a name, the next start replaces it. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from buswalk.bus.messages import Done, Kept, RecordTold, Refused, SaveRecordAs, StreamItem
from buswalk.domain.visit.recorder import UNSAVED
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.ui.live.feed import Commands

NOT_KEPT = "The next start replaces this record."


@dataclass(frozen=True, slots=True)
class DemoRecordState:
    """What is said of the record, and why it cannot be kept now; empty where it can."""

    words: str
    refused: str


class DemoRecord:
    """Knows under which name the record of the demo line is kept, if it is."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self._begin("")

    def _begin(self, wall_time: str) -> None:
        self._wall_time = wall_time
        self._name = self._kept_as = self._problem = ""
        self._sent: dict[int, str] = {}

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case Kept(event=SessionStarted(wall_time=wall_time)):
                self._begin(wall_time)
            case RecordTold(state):
                self._name = "" if state.problem else state.name
            case Done(command_id) if command_id in self._sent:
                self._kept_as, self._problem = self._sent.pop(command_id), ""
            case Refused(command_id, sentence) if command_id in self._sent:
                del self._sent[command_id]
                self._problem = sentence
            case _:
                pass

    def keep(self) -> None:
        """Save it under the name of the line with day and time."""
        if not self._refused:
            name = f"{self._name.removeprefix(UNSAVED)}-{datetime.fromisoformat(self._wall_time):%Y-%m-%d-%H%M%S}"
            self._sent[self._commands.send(SaveRecordAs(name))] = name

    @property
    def _refused(self) -> str:
        if not self._name or not self._wall_time:
            return "nothing is recorded"
        if self._kept_as:
            return "it is kept already"
        return "it is being saved" if self._sent else ""

    @property
    def state(self) -> DemoRecordState:
        """What is shown."""
        words = self._problem or (f"Kept as {self._kept_as}." if self._kept_as else NOT_KEPT)
        return DemoRecordState(words, self._refused)
