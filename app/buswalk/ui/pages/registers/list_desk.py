"""A point list of a maker or planner that was brought in: what it is taken for, until its points are. Plain Python."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.point_list.columns import PointColumn
from buswalk.domain.registers.point_list.list_rows import ListRows
from buswalk.domain.registers.point_list.mapping import (
    NO_HEADING_ROW,
    NOTHING_TOLD,
    GuessedMapping,
    NoPointList,
    ToldMapping,
    column_doubts,
    could_be_heading,
    told_mapping,
)
from buswalk.domain.registers.point_list.reading import ReadPoints, read_points
from buswalk.domain.registers.point_list.writing import rows_of_points
from buswalk.domain.registers.tables import Table
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.registers import brought_words as words
from buswalk.ui.pages.registers.registers_state import BroughtState, Chooser
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

NOTATIONS = tuple(ListNotation)
TABLES = (Table.HOLDING_REGISTERS, Table.INPUT_REGISTERS, Table.COILS, Table.DISCRETE_INPUTS)
MEANINGS: tuple[PointColumn | None, ...] = (None, *PointColumn)
LEAST_ROWS = LEAST_COLUMNS = 2
NO_POINT = "no row of the list gives a point"
NO_HEADING_FOUND = "no row of headings was found: choose the row that has them, and which column is the address"
_NOT_IN_NAMES = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class BroughtList:
    """The rows, what was told and guessed of them, and what that amounts to.

    Attributes:
        path: Of the file, to read another sheet of it.
        is_found: Whether a row of headings spoke for itself.
        column: The chosen column.
    """

    listed: ListRows
    path: str
    told: ToldMapping
    guessed: GuessedMapping
    read: ReadPoints
    is_found: bool
    column: int = 0


class ListDesk:
    """Holds one list that was brought in, and how lists are exported."""

    def __init__(self) -> None:
        self._brought: BroughtList | None = None
        self._shown: tuple[BroughtList, BroughtState] | None = None
        self.export_notation = ListNotation.REFERENCE

    def bring_in(self, chosen: ChosenList) -> str:
        """Take a list for what its headings and addresses speak for; return why not, or nothing."""
        self._brought = None
        if chosen.problem:
            return f"Not brought in: {chosen.problem}."
        listed = ListRows(chosen.source, chosen.rows, chosen.sheets, chosen.sheet)
        if not chosen.sheets and not _could_be_list(listed):
            return f"Not brought in: {chosen.source}: a point list has rows and columns, and there are none."
        self._show(listed, chosen.path, NOTHING_TOLD)
        return ""

    def _show(self, listed: ListRows, path: str, told: ToldMapping) -> None:
        """Take a list; where no headings speak for themselves, the user says what is what."""
        is_found = True
        try:
            guessed = told_mapping(listed.rows, told)
        except NoPointList:
            is_found = False
            first = listed.rows[0].number if listed.rows else NO_HEADING_ROW
            told = replace(told, heading_row=first)
            guessed = told_mapping(listed.rows, told)
        read = read_points(listed.source, listed.rows, guessed.mapping, listed.sheet)
        self._brought = BroughtList(listed, path, told, guessed, read, is_found)

    # What the user corrects

    def other_sheet(self, index: int) -> tuple[str, str] | None:
        """Return path and name of a sheet of the workbook; None where it is shown already."""
        brought = self._brought
        if brought is None or not 0 <= index < len(brought.listed.sheets):
            return None
        sheet = brought.listed.sheets[index]
        return None if sheet == brought.listed.sheet else (brought.path, sheet)

    def choose_heading(self, index: int) -> None:
        """Read the list anew, another row or none having the headings."""
        if self._brought is not None:
            numbers = [one.number for one in could_be_heading(self._brought.listed.rows)]
            row = numbers[index] if index < len(numbers) else NO_HEADING_ROW
            self._read_anew(self._brought, replace(self._brought.told, heading_row=row))

    def choose_column(self, index: int) -> None:
        """Choose the column whose meaning is to be corrected."""
        if self._brought is not None and 0 <= index < len(self._brought.guessed.headings):
            self._brought = replace(self._brought, column=index)

    def choose_meaning(self, index: int) -> None:
        """Read the list anew, the chosen column being taken for something else."""
        if self._brought is not None:
            told = self._brought.told
            self._read_anew(
                self._brought, replace(told, columns=(*told.columns, (self._brought.column, MEANINGS[index])))
            )

    def choose_notation(self, index: int) -> None:
        """Read the list anew, its numbers counted otherwise."""
        if self._brought is not None:
            self._read_anew(self._brought, replace(self._brought.told, notations=(NOTATIONS[index],)))

    def choose_table(self, index: int) -> None:
        """Read the list anew, with another table where a row names none."""
        if self._brought is not None:
            self._read_anew(self._brought, replace(self._brought.told, table=TABLES[index]))

    def _read_anew(self, brought: BroughtList, told: ToldMapping) -> None:
        guessed = told_mapping(brought.listed.rows, told)
        read = read_points(brought.listed.source, brought.listed.rows, guessed.mapping, brought.listed.sheet)
        column = min(brought.column, max(0, len(guessed.headings) - 1))
        self._brought = replace(brought, told=told, guessed=guessed, read=read, column=column)

    def leave(self) -> bool:
        """Forget the list; tell whether there was one."""
        was_open, self._brought = self.is_open, None
        return was_open

    # What it amounts to

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
        return self._brought.listed.source if self._brought is not None else ""

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
        """Return what is shown of the list; None if there is none. It is put into words once, not at each tick."""
        brought = self._brought
        if brought is None:
            return None
        if self._shown is None or self._shown[0] is not brought:
            self._shown = brought, _state_of(brought)
        return self._shown[1]

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


def _state_of(brought: BroughtList) -> BroughtState:
    guessed, points, listed = brought.guessed, brought.read.points, brought.listed
    mapping = guessed.mapping
    why, tone = _why_notation(brought)
    sheet = f", sheet {listed.sheet}" if len(listed.sheets) > 1 else ""
    doubts = (*(() if brought.is_found else (NO_HEADING_FOUND,)), *column_doubts(mapping))
    return BroughtState(
        title=f"{listed.source}{sheet}: {plural(len(points), 'point')}",
        sheets=Chooser(listed.sheets, listed.sheets.index(listed.sheet) if listed.sheets else 0),
        heads=words.head_choices(listed.rows, mapping.heading_row),
        notations=_notations(mapping.notation),
        tables=Chooser(tuple(_table_words(one) for one in TABLES), TABLES.index(mapping.table)),
        columns=words.column_rows(listed.rows, guessed),
        column=brought.column,
        meanings=Chooser(words.meaning_words(guessed, brought.column), words.chosen_meaning(guessed, brought.column)),
        meaning_of=words.column_words(guessed, brought.column),
        why_notation=why,
        why_tone=tone,
        doubts=tuple(f"Doubt: {one}." for one in doubts),
        troubles=words.trouble_words(listed, brought.read.troubles),
        troubles_tone=Tone.DOUBT if brought.read.troubles else Tone.INK2,
        preview=words.preview_rows(points),
        points=words.points_words(points),
        caution=words.caution_words(points),
        refusal="" if points else NO_POINT,
    )


def _could_be_list(listed: ListRows) -> bool:
    across = max((len(row.cells) for row in listed.rows), default=0)
    return len(listed.rows) >= LEAST_ROWS and across >= LEAST_COLUMNS


def _notations(chosen: ListNotation) -> Chooser:
    return Chooser(tuple(one.value for one in NOTATIONS), NOTATIONS.index(chosen))


def _table_words(table: Table) -> str:
    return table.value.replace("_", " ")


def _why_notation(brought: BroughtList) -> tuple[str, Tone]:
    guessed, columns = brought.guessed, brought.guessed.mapping.columns
    if PointColumn.ADDRESS not in columns:
        return "", Tone.INK2
    if guessed.mapping.notation is not guessed.notation.notation:
        taken = f"the list speaks for {guessed.notation.notation.value}: {guessed.notation.why}"
        return f"Addresses as you chose; {taken}.", Tone.INK2
    if guessed.notation.is_sure:
        return f"Addresses: the list says so: {guessed.notation.why}.", Tone.INK2
    return f"Addresses: not certain: {guessed.notation.why}.", Tone.DOUBT
