"""A point list of a maker or planner that was brought in: what it is taken for, until its points are. Plain Python."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.point_list.mapping import (
    GuessedMapping,
    ListMapping,
    NoPointList,
    column_doubts,
    guessed_mapping,
)
from buswalk.domain.registers.point_list.reading import PointTrouble, ReadPoints, read_points
from buswalk.domain.registers.point_list.writing import rows_of_points
from buswalk.domain.registers.tables import Table
from buswalk.domain.site.list_text import SourceRow
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.registers.registers_state import BroughtState, Chooser
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

NOTATIONS = tuple(ListNotation)
TABLES = (Table.HOLDING_REGISTERS, Table.INPUT_REGISTERS, Table.COILS, Table.DISCRETE_INPUTS)
MOST_TROUBLES = 4
NO_POINT = "no row of the list gives a point"
_NOT_IN_NAMES = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class BroughtList:
    """The rows, what they were guessed to mean, what they are taken for, and what that amounts to."""

    source: str
    rows: tuple[SourceRow, ...]
    guessed: GuessedMapping
    mapping: ListMapping
    read: ReadPoints


class ListDesk:
    """Holds one list that was brought in, and how lists are exported."""

    def __init__(self) -> None:
        self._brought: BroughtList | None = None
        self.export_notation = ListNotation.REFERENCE

    def bring_in(self, chosen: ChosenList) -> str:
        """Take a list for what its headings and addresses speak for; return why not, or nothing."""
        self._brought = None
        if chosen.problem:
            return f"Not brought in: {chosen.problem}."
        try:
            guessed = guessed_mapping(chosen.rows)
        except NoPointList as reason:
            return f"Not brought in: {chosen.source}: {reason}."
        read = read_points(chosen.source, chosen.rows, guessed.mapping)
        self._brought = BroughtList(chosen.source, chosen.rows, guessed, guessed.mapping, read)
        return ""

    def choose_notation(self, index: int) -> None:
        """Read the list anew, its numbers counted otherwise."""
        if self._brought is not None:
            self._read_anew(self._brought, replace(self._brought.mapping, notation=NOTATIONS[index]))

    def choose_table(self, index: int) -> None:
        """Read the list anew, with another table where a row names none."""
        if self._brought is not None:
            self._read_anew(self._brought, replace(self._brought.mapping, table=TABLES[index]))

    def _read_anew(self, brought: BroughtList, mapping: ListMapping) -> None:
        self._brought = replace(brought, mapping=mapping, read=read_points(brought.source, brought.rows, mapping))

    def leave(self) -> bool:
        """Forget the list; tell whether there was one."""
        was_open, self._brought = self.is_open, None
        return was_open

    @property
    def is_open(self) -> bool:
        """Whether a list waits for its points to be taken."""
        return self._brought is not None

    @property
    def points(self) -> tuple[Point, ...]:
        """What the list amounts to."""
        return self._brought.read.points if self._brought is not None else ()

    @property
    def source(self) -> str:
        """Name of the file."""
        return self._brought.source if self._brought is not None else ""

    @property
    def title(self) -> str:
        """What people call the list: its file without the ending."""
        return PurePath(self.source).stem

    @property
    def own_name(self) -> str:
        """A name as profiles have them, of the file's."""
        plain = _NOT_IN_NAMES.sub("-", self.title.casefold()).strip("-") or "list"
        return plain if plain.startswith("own-") else f"own-{plain}"

    def state(self) -> BroughtState | None:
        """Return what is shown of the list; None if there is none."""
        brought = self._brought
        if brought is None:
            return None
        mapping, points = brought.mapping, brought.read.points
        why, tone = _why_notation(brought)
        return BroughtState(
            title=f"{brought.source}: {plural(len(points), 'point')}",
            columns=_column_words(brought.guessed),
            notations=_notations(mapping.notation),
            tables=Chooser(tuple(_table_words(one) for one in TABLES), TABLES.index(mapping.table)),
            why_notation=why,
            why_tone=tone,
            doubts=tuple(f"Doubt: {one}." for one in column_doubts(mapping)),
            troubles=_trouble_words(brought.read.troubles),
            points=_points_words(points),
            caution=_caution(points),
            refusal="" if points else NO_POINT,
        )

    # Export

    def export_notations(self) -> Chooser:
        """Return how addresses can be written."""
        return _notations(self.export_notation)

    def choose_export_notation(self, index: int) -> None:
        """Take how addresses are written."""
        self.export_notation = NOTATIONS[index]

    def exported(self, points: Sequence[Point]) -> Iterator[tuple[str, ...]]:
        """Return points as rows with headings that reading understands."""
        return rows_of_points(points, self.export_notation)


def _notations(chosen: ListNotation) -> Chooser:
    return Chooser(tuple(one.value for one in NOTATIONS), NOTATIONS.index(chosen))


def _table_words(table: Table) -> str:
    return table.value.replace("_", " ")


def _column_words(guessed: GuessedMapping) -> tuple[str, ...]:
    by_place = sorted(guessed.mapping.columns.items(), key=lambda one: one[1])
    taken = ", ".join(f"{column.value} = '{guessed.headings[at].strip()}'" for column, at in by_place)
    words = [f"Columns: {taken}."]
    if guessed.not_taken:
        words.append(f"Not taken: {', '.join(one.strip() for one in guessed.not_taken)}.")
    return tuple(words)


def _why_notation(brought: BroughtList) -> tuple[str, Tone]:
    guessed = brought.guessed
    if brought.mapping.notation is not guessed.mapping.notation:
        return (
            f"As you chose; the list was taken as {guessed.mapping.notation.value}: {guessed.why_notation}.",
            Tone.INK2,
        )
    if guessed.is_notation_sure:
        return f"The list says so: {guessed.why_notation}.", Tone.INK2
    return f"Not certain: {guessed.why_notation}.", Tone.DOUBT


def _trouble_words(troubles: Sequence[PointTrouble]) -> tuple[str, ...]:
    if not troubles:
        return ("Every row could be read.",)
    left_out = len({one.row for one in troubles if one.is_left_out})
    remarks = sum(not one.is_left_out for one in troubles)
    words = [f"{plural(left_out, 'row')} left out, {plural(remarks, 'remark')} on the others."]
    words += [f"Row {one.row}: {one.words}" if one.row else one.words for one in troubles[:MOST_TROUBLES]]
    more = len(troubles) - MOST_TROUBLES
    if more > 0:
        words.append(f"And {plural(more, 'more', 'more')}.")
    return tuple(words)


def _points_words(points: Sequence[Point]) -> str:
    if not points:
        return "No point."
    first = points[0]
    place = f"{_table_words(first.table).removesuffix('s')} {first.register_address} as sent"
    return f"{plural(len(points), 'point')}; the first, {first.words or first.name}, is {place}."


def _caution(points: Sequence[Point]) -> str:
    writable = sum(one.access is not Access.READ for one in points)
    if not writable:
        return ""
    return (
        f"{plural(writable, 'point')} can be written by this list. Compare some readings with the device first: "
        "a list counted wrongly would write to the register beside."
    )
