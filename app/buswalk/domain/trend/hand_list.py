"""What a hand instrument logged, out of the lines of its CSV file. Strict: every bad line is told, none is guessed."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from buswalk.domain.trend.hand_times import DAY_S, BadTime, TimeForm, TimeKind, seconds_of, time_form
from buswalk.domain.trend.samples import Samples, good_samples

SEPARATORS = (";", "\t", ",")
MOST_TROUBLES = 20
FEWEST_ROWS = 3
WITH_POINT = re.compile(r"^[-+−]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?$")
WITH_COMMA = re.compile(r"^[-+−]?\d+(?:,\d+)?$")
NO_TIMES = "no line begins with a time; time and value are wanted, parted by ; , or tab"
NO_VALUE = frozenset({"", "-", "--", "---", "----", "nan", "n/a", "ol", "err"})
"""How loggers write that they had none: then it is a gap."""
IN_BRACKETS = re.compile(r"[\[(]\s*([^\])]+?)\s*[\])]")


@dataclass(frozen=True, slots=True)
class HandList:
    """A logged value and how its file was read, to be shown before it is believed.

    Attributes:
        samples: Times as the instrument has them: see `form`.
        read_as: One sentence on columns, decimal sign and times.
    """

    name: str
    unit: str
    samples: Samples
    form: TimeForm
    read_as: str


@dataclass(frozen=True, slots=True)
class BadHandList:
    """Why a file cannot be read: one sentence a trouble, each with file and line."""

    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: tuple[str, ...]


def read_hand_list(file_name: str, lines: Sequence[str]) -> HandList | BadHandList:
    """Read time and value. A head of any length is passed over until the first line with a time."""
    separator = _separator(lines)
    rows = [_Row(i, tuple(cell.strip() for cell in cells)) for i, cells in _cells(lines, separator)]
    first = next((at for at, row in enumerate(rows) if row.cells and _is_time(row.cells)), None)
    if first is None:
        return BadHandList((f"{file_name}: {NO_TIMES}",))
    head = rows[first - 1].cells if first else ()
    body = [row for row in rows[first:] if any(row.cells)]
    if _is_split(body[0].cells):
        body = [_Row(row.line, _joined(row.cells)) for row in body]
        head = _joined(head)
    if len(body) < FEWEST_ROWS:
        return BadHandList((f"{file_name}: only {len(body)} lines with a time; {FEWEST_ROWS} are the least",))
    try:
        form = time_form([row.cells[0] for row in body])
    except BadTime as reason:
        return BadHandList((f"{file_name}:{body[0].line}: {reason.sentence}",))
    return _read_body(file_name, body, head, form)


def _read_body(file_name: str, body: Sequence[_Row], head: Sequence[str], form: TimeForm) -> HandList | BadHandList:
    number_of, decimal_words = _decimal_sign(body)
    troubles: list[str] = []
    times: list[float] = []
    numbers: list[float] = []
    for row in body:
        try:
            time = _forward(seconds_of(row.cells[0], form), times, form)
            numbers.append(_number(row, number_of))
            times.append(time)
        except BadTime as reason:
            troubles.append(f"{file_name}:{row.line}: {reason.sentence}")
    if troubles:
        more = len(troubles) - MOST_TROUBLES
        told = troubles[:MOST_TROUBLES]
        return BadHandList((*told, f"{file_name}: and {more} more") if more > 0 else tuple(told))
    title = head[1] if len(head) > 1 else "hand instrument"
    bracket = IN_BRACKETS.search(title)
    name = IN_BRACKETS.sub("", title).strip() or "hand instrument"
    read_as = f"column 2 '{title}', {decimal_words}, {form.words}, {len(times)} lines"
    return HandList(
        name, bracket[1] if bracket else "", good_samples(np.array(times), np.array(numbers)), form, read_as
    )


def _forward(time: float, times: Sequence[float], form: TimeForm) -> float:
    """Return a time that goes on from the last one; a time of day below it by half a day is of the next day."""
    if not times:
        return time
    last = times[-1]
    if form.kind is TimeKind.TIME_OF_DAY:
        time += DAY_S * (last // DAY_S)
        if time < last - DAY_S / 2:
            time += DAY_S
    if time <= last:
        raise BadTime("its time is not later than that of the line before")
    return time


def _separator(lines: Sequence[str]) -> str:
    """Return what parts the cells: the sign that most lines have; a comma last, for it may be a decimal sign."""
    filled = [line for line in lines if line.strip()]
    counts = {sign: sum(sign in line for line in filled) for sign in SEPARATORS}
    return max(SEPARATORS, key=lambda sign: counts[sign] if sign != "," else counts[sign] - 1)


def _cells(lines: Sequence[str], separator: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(lines, delimiter=separator)
    return [(reader.line_num, cells) for cells in reader]


def _is_time(cells: Sequence[str]) -> bool:
    """Whether a line may be one of values: its first cell, or its first two together, are a time."""
    for text in (cells[0], " ".join(cells[:2])):
        try:
            seconds_of(text, time_form([text]))
        except BadTime as reason:
            if "may be day or month first" in reason.sentence:
                return True
            continue
        return len(cells) > 1
    return False


def _is_split(cells: Sequence[str]) -> bool:
    """Whether date and time stand in two columns."""
    return ":" not in cells[0] and len(cells) > 2 and ":" in cells[1]


def _joined(cells: Sequence[str]) -> tuple[str, ...]:
    return (" ".join(cells[:2]), *cells[2:])


def _decimal_sign(body: Sequence[_Row]) -> tuple[re.Pattern[str], str]:
    values = [row.cells[1] for row in body if len(row.cells) > 1 and row.cells[1].lower() not in NO_VALUE]
    has_comma = sum("," in one for one in values) > sum("." in one for one in values)
    return (WITH_COMMA, "decimal comma") if has_comma else (WITH_POINT, "decimal point")


def _number(row: _Row, number_of: re.Pattern[str]) -> float:
    if len(row.cells) < 2:
        raise BadTime("there is a time but no value")
    text = row.cells[1]
    if text.lower() in NO_VALUE:
        return float("nan")
    if not number_of.match(text):
        sign = "comma" if number_of is WITH_COMMA else "point"
        raise BadTime(f"'{text}' is no number with a decimal {sign}, as the others are; thousands are not parted")
    return float(text.replace(",", ".").replace("−", "-"))
