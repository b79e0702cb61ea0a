"""A point list that was brought in, in words: its columns, its first points, its troubles. Plain text."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.point_list.columns import PointColumn, column_of
from buswalk.domain.registers.point_list.list_rows import ListRows, column_letters
from buswalk.domain.registers.point_list.mapping import GuessedMapping, could_be_heading
from buswalk.domain.registers.point_list.reading import PointTrouble
from buswalk.domain.registers.type_names import type_words
from buswalk.domain.site.list_text import SourceRow
from buswalk.ui.pages.registers.point_words import TABLE_WORDS
from buswalk.ui.pages.registers.registers_state import Chooser
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

MOST_TROUBLES = 4
FIRST_POINTS = 5
ENTRIES_SHOWN = 3
LONGEST_HEAD, LONGEST_ENTRY = 30, 40
NOT_TAKEN = "not taken"
NO_HEADINGS = "none: every row is a point"
_WHOLE_WORDS = {
    PointColumn.QUANTITY: "registers: how many",
    PointColumn.SENTINEL: "no value: raw word that means none",
    PointColumn.NAMED: "named values: 0 = off, 1 = on",
    PointColumn.LOW: "low: least value",
    PointColumn.HIGH: "high: largest value",
}
_ACCESS = {Access.READ: ("R", "read"), Access.READ_WRITE: ("RW", "read and write"), Access.WRITE: ("W", "write")}


def column_rows(rows: Sequence[SourceRow], guessed: GuessedMapping) -> tuple[Row, ...]:
    """Return a row for each column of the list: its letter and heading, its first entries, what it is taken for."""
    behind = [row for row in rows if row.number > guessed.mapping.heading_row]
    meaning_at = {place: column for column, place in guessed.mapping.columns.items()}
    return tuple(
        (
            Cell(column_letters(i), Tone.INK2),
            Cell(heading.strip() or "–"),
            Cell(_entries(behind, i), Tone.INK2),
            _taken_cell(guessed, i, meaning_at.get(i)),
        )
        for i, heading in enumerate(guessed.headings)
    )


def _entries(rows: Sequence[SourceRow], index: int) -> str:
    filled = (row.cells[index].strip() for row in rows if index < len(row.cells) and row.cells[index].strip())
    return ", ".join(one for one, _ in zip(filled, range(ENTRIES_SHOWN), strict=False)) or "empty"


def _taken_cell(guessed: GuessedMapping, index: int, column: PointColumn | None) -> Cell:
    if column is not None:
        return Cell(column.value, weight=Weight.BOLD)
    speaks_for = column_of(guessed.headings[index]) if guessed.mapping.heading_row else None
    at = guessed.mapping.columns.get(speaks_for, -1) if speaks_for is not None else -1
    if at >= 0 and speaks_for is not None:
        return Cell(f"{NOT_TAKEN}: {speaks_for.value} is {column_letters(at)}", Tone.DOUBT)
    return Cell(NOT_TAKEN, Tone.INK2)


def meaning_words(guessed: GuessedMapping, index: int) -> tuple[str, ...]:
    """Return what a column can be taken for; where another column is taken for it, its letter stands beside."""
    return (NOT_TAKEN, *(_meaning(one, guessed.mapping.columns.get(one, index), index) for one in PointColumn))


def _meaning(column: PointColumn, at: int, index: int) -> str:
    words = _WHOLE_WORDS.get(column, column.value)
    return words if at == index else f"{words} (now {column_letters(at)})"


def chosen_meaning(guessed: GuessedMapping, index: int) -> int:
    """Return which of them a column is taken for."""
    meaning_at = {place: column for column, place in guessed.mapping.columns.items()}
    column = meaning_at.get(index)
    return 0 if column is None else 1 + list(PointColumn).index(column)


def column_words(guessed: GuessedMapping, index: int) -> str:
    """Return what stands over the choice of a meaning."""
    heading = guessed.headings[index].strip() if index < len(guessed.headings) else ""
    named = f" '{_cut(heading, LONGEST_HEAD)}'" if heading and guessed.mapping.heading_row else ""
    return f"Column {column_letters(index)}{named} is taken for"


def head_choices(rows: Sequence[SourceRow], heading_row: int) -> Chooser:
    """Return which row can have the headings; the last choice is none."""
    could_be = could_be_heading(rows)
    words = (f"row {one.number}: {_cut(', '.join(filter(None, one.cells)), LONGEST_HEAD)}" for one in could_be)
    numbers = [one.number for one in could_be]
    chosen = numbers.index(heading_row) if heading_row in numbers else len(numbers)
    return Chooser((*words, NO_HEADINGS), chosen)


def _cut(words: str, longest: int) -> str:
    return words if len(words) <= longest else f"{words[: longest - 1].rstrip()}…"


def preview_rows(points: Sequence[Point]) -> tuple[Row, ...]:
    """Return the first points as they would be taken."""
    return tuple(
        (
            Cell(one.words or one.name),
            Cell(place_words(one)),
            Cell(f"{type_words(one.value_type)}{_scaled(one)}", Tone.INK2),
            Cell(_ACCESS[one.access][0], Tone.INK2, spoken=_ACCESS[one.access][1]),
        )
        for one in points[:FIRST_POINTS]
    )


def _scaled(point: Point) -> str:
    scale = f" × {point.scale:f}" if point.scale != 1 else ""
    return f"{scale} {point.unit}".rstrip()


def place_words(point: Point) -> str:
    """Return the register of a point as it is sent."""
    return f"{TABLE_WORDS[point.table].removesuffix('s').lower()} {point.register_address}"


def points_words(points: Sequence[Point]) -> str:
    """Return how many there are, and the first as it is sent."""
    if not points:
        return "No point."
    first = points[0]
    count = plural(len(points), "point")
    return f"{count}; the first, {first.words or first.name}, is {place_words(first)} as sent."


def trouble_words(listed: ListRows, troubles: Sequence[PointTrouble]) -> tuple[str, ...]:
    """Return how many rows give no point, and the first troubles, each with its row: the file is named once."""
    if not troubles:
        return ("Every row could be read.",)
    of_list = [str(one) for one in troubles if not one.row]
    if of_list:
        return tuple(of_list)
    left_out = len({one.row for one in troubles if one.is_left_out})
    remarks = sum(not one.is_left_out for one in troubles)
    words = [f"{plural(left_out, 'row')} of {listed.source} left out, {plural(remarks, 'remark')} on the others."]
    words += [f"{_kind_of_place(one)} {one.place}: {one.words}" for one in troubles[:MOST_TROUBLES]]
    more = len(troubles) - MOST_TROUBLES
    if more > 0:
        words.append(f"And {plural(more, 'more', 'more')}.")
    return tuple(words)


def _kind_of_place(trouble: PointTrouble) -> str:
    return "Cell" if trouble.sheet and trouble.column >= 0 else "Row"


def caution_words(points: Sequence[Point]) -> str:
    """Return what to do before a write by this list; empty where nothing of it can be written."""
    writable = sum(one.access is not Access.READ for one in points)
    if not writable:
        return ""
    return (
        f"{plural(writable, 'point')} can be written by this list. Compare some readings with the device first: "
        "a list counted wrongly would write to the register beside."
    )
