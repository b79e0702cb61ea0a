"""The planned list while it is edited: every act can be undone. Plain Python, no words of the page."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.site.planned_list import DraftDevice, DraftRead, draft_of, read_draft, tidy

MOST_UNDONE = 200


class PlanColumn(Enum):
    """Columns of the list that can be edited; the value is the head."""

    PLACE = "Place"
    ADDRESS = "Address"
    NAME = "Device"
    SETTING = "Setting"
    BOARD = "Board"
    WHERE = "Where"


@dataclass(frozen=True, slots=True)
class _Before:
    """The list before an act, and what the act was."""

    act: str
    drafts: tuple[DraftDevice, ...]
    chosen: int


class PlanEditor:
    """Holds the drafts and which one is chosen (-1: none). Each act tells whether anything changed."""

    def __init__(self) -> None:
        self._drafts: tuple[DraftDevice, ...] = ()
        self._reads: tuple[DraftRead, ...] = ()
        self._chosen = -1
        self._undone: list[_Before] = []
        self._redone: list[_Before] = []

    @property
    def drafts(self) -> tuple[DraftDevice, ...]:
        """The rows, in cable order."""
        return self._drafts

    @property
    def reads(self) -> tuple[DraftRead, ...]:
        """What each row amounts to."""
        return self._reads

    @property
    def devices(self) -> tuple[PlannedDevice, ...]:
        """The rows that have an address."""
        return tuple(one.device for one in self._reads if one.device is not None)

    @property
    def chosen(self) -> int:
        """Index of the chosen row."""
        return self._chosen

    @property
    def undoes(self) -> str:
        """What would be undone; empty if nothing can be."""
        return self._undone[-1].act if self._undone else ""

    def choose(self, index: int) -> None:
        """Choose a row."""
        self._chosen = index if 0 <= index < len(self._drafts) else -1

    def edit(self, index: int, column: PlanColumn, text: str) -> bool:
        """Write a cell. Another number in the place moves the row."""
        if not 0 <= index < len(self._drafts):
            return False
        draft = self._drafts[index]
        match column:
            case PlanColumn.PLACE:
                return self._move_to(index, text)
            case PlanColumn.ADDRESS:
                written = replace(draft, address=text)
            case PlanColumn.NAME:
                written = replace(draft, name=text)
            case PlanColumn.SETTING:
                written = replace(draft, setting=text)
            case PlanColumn.BOARD:
                written = replace(draft, board=text)
            case PlanColumn.WHERE:
                written = replace(draft, where=text)
        written = tidy(written)
        if written == tidy(draft):
            return False
        return self._do(f"edit of place {index + 1}", self._with(index, written), index)

    def insert(self) -> bool:
        """Put an empty row behind the chosen one, or at the end."""
        at = self._chosen + 1 if self._chosen >= 0 else len(self._drafts)
        return self._do(f"new place {at + 1}", (*self._drafts[:at], DraftDevice(), *self._drafts[at:]), at)

    def delete(self) -> bool:
        """Take the chosen row out."""
        at = self._chosen
        if at < 0:
            return False
        left = self._drafts[:at] + self._drafts[at + 1 :]
        return self._do(f"delete of place {at + 1}", left, min(at, len(left) - 1))

    def move(self, step: int) -> bool:
        """Move the chosen row along the cable."""
        to = self._chosen + step
        if self._chosen < 0 or not 0 <= to < len(self._drafts):
            return False
        return self._move(self._chosen, to)

    def add(self, act: str, drafts: tuple[DraftDevice, ...]) -> bool:
        """Put rows behind the chosen one, or at the end; an empty chosen row is filled instead."""
        if not drafts:
            return False
        at = self._chosen + 1 if self._chosen >= 0 else len(self._drafts)
        before = self._drafts[:at]
        if before and before[-1] == DraftDevice():
            before = before[:-1]
        return self._do(act, (*before, *drafts, *self._drafts[at:]), len(before))

    def replace_all(self, act: str, drafts: tuple[DraftDevice, ...]) -> bool:
        """Put another list in place of this one."""
        if drafts == self._drafts:
            return False
        return self._do(act, drafts, 0 if drafts else -1)

    def adopt(self, act: str, devices: tuple[PlannedDevice, ...]) -> None:
        """Take a list that came from the line; a present one can be brought back by undoing."""
        was_empty = not self._drafts
        self.replace_all(act, tuple(draft_of(device) for device in devices))
        if was_empty:
            self._undone.clear()

    def undo(self) -> bool:
        """Take back the last act."""
        return self._swap(self._undone, self._redone)

    def redo(self) -> bool:
        """Do again what was taken back."""
        return self._swap(self._redone, self._undone)

    def _swap(self, source: list[_Before], target: list[_Before]) -> bool:
        if not source:
            return False
        before = source.pop()
        target.append(_Before(before.act, self._drafts, self._chosen))
        self._hold(before.drafts, before.chosen)
        return True

    def _move_to(self, index: int, text: str) -> bool:
        wanted = text.strip().removesuffix(".")
        if not wanted.isdecimal() or len(wanted) > 6:
            return False
        to = min(max(int(wanted), 1), len(self._drafts)) - 1
        return to != index and self._move(index, to)

    def _move(self, index: int, to: int) -> bool:
        rest = self._drafts[:index] + self._drafts[index + 1 :]
        moved = (*rest[:to], self._drafts[index], *rest[to:])
        return self._do(f"move from place {index + 1} to {to + 1}", moved, to)

    def _with(self, index: int, draft: DraftDevice) -> tuple[DraftDevice, ...]:
        return (*self._drafts[:index], draft, *self._drafts[index + 1 :])

    def _do(self, act: str, drafts: tuple[DraftDevice, ...], chosen: int) -> bool:
        self._undone.append(_Before(act, self._drafts, self._chosen))
        del self._undone[:-MOST_UNDONE]
        self._redone.clear()
        self._hold(drafts, chosen)
        return True

    def _hold(self, drafts: tuple[DraftDevice, ...], chosen: int) -> None:
        self._drafts, self._chosen = drafts, chosen
        self._reads = tuple(read_draft(draft, place) for place, draft in enumerate(drafts, start=1))
