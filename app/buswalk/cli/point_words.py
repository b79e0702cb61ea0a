"""What people read of points: values with unit, raw words, and silence and refusals in words."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isnan

from buswalk.cli.exchange_words import outcome_words
from buswalk.cli.point_events import PointRead
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply
from buswalk.domain.registers.notations import Notation, RegisterPlace, written
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import Quality, Sample, SamplesTaken
from buswalk.domain.registers.value_words import bits_in_words, hex_words, read_words
from buswalk.domain.watching.events import PointNotRead, PointRefused, PointTold

CSV_COLUMNS = (
    "time",
    "at_s",
    "server_address",
    "point",
    "value",
    "unit",
    "quality",
    "raw",
    "table",
    "register_address",
    "exchange",
)
_QUALITY_WORDS = {
    Quality.GOOD: "",
    Quality.DOUBTFUL: "doubtful: it may be the late answer to an earlier request",
    Quality.OUT_OF_RANGE: "outside of what the list says can be",
    Quality.NO_VALUE: "",
    Quality.REFUSED: "",
    Quality.NO_REPLY: "",
}


@dataclass(frozen=True, slots=True)
class Told:
    """One sample with its point and the exchange that told it."""

    point: Point
    sample: Sample
    taken: SamplesTaken
    exchange: Exchange

    @property
    def value(self) -> str:
        """In words, with unit; empty where no words came."""
        return read_words(self.point, self.sample.words) if self.sample.words else ""


def told_of(taken: SamplesTaken, points: Mapping[str, Point], exchange: Exchange) -> tuple[Told, ...]:
    """Return each sample with what it means."""
    return tuple(Told(points[one.point], one, taken, exchange) for one in taken.samples)


def point_read(told: Told) -> PointRead:
    """Return a sample for machines."""
    point, sample = told.point, told.sample
    unit = point.unit if told.value.endswith(f" {point.unit}") and point.unit else ""
    return PointRead(
        told.taken.exchange,
        told.taken.server_address,
        point.name,
        told.value.removesuffix(f" {unit}") if unit else told.value,
        unit,
        sample.number,
        sample.quality.value,
        " ".join(f"{one:04X}" if not point.table.holds_bits else str(one) for one in sample.words),
        point.table.value,
        point.register_address,
        told.taken.at_s,
        told.taken.uncertainty_s,
    )


def value_or_why(told: Told) -> str:
    """Return the value with what is to be said against it, or why there is none."""
    if not told.sample.words:
        return _why_none(told.exchange)
    against = _QUALITY_WORDS[told.sample.quality]
    bits = "".join(f"; {one}" for one in bits_in_words(told.point, told.sample.words))
    return f"{told.value}{bits}" + (f" ({against})" if against else "")


def reading_lines(all_told: Sequence[Told]) -> Iterator[str]:
    """Yield a table: point, value, raw words, and where it stands, in the notations people use."""
    rows = [
        (one.point.words or one.point.name, value_or_why(one), raw_words(one), place_words(one.point))
        for one in all_told
    ]
    widths = [max((len(row[at]) for row in rows), default=0) for at in range(4)]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def watch_line(told: Told, clock: str) -> str:
    """Return one sample as a line."""
    return f"{clock}  {told.taken.server_address:3}  {told.point.name}  {value_or_why(told)}"


def csv_line(values: Sequence[object]) -> str:
    """Return values as one line of CSV."""
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(values)
    return out.getvalue()


def csv_values(told: Told, wall_time: str) -> tuple[object, ...]:
    """Return a sample in the order of `CSV_COLUMNS`; a number where there is one, so that it can be reckoned with."""
    read = point_read(told)
    number = read.value if isnan(read.number) else repr(read.number)
    return (
        wall_time,
        f"{read.at_s:.3f}",
        read.server_address,
        read.point,
        number,
        told.point.unit,
        read.quality,
        read.raw,
        read.table,
        read.register_address,
        read.exchange,
    )


def raw_words(told: Told) -> str:
    """Return the words as they came; nothing for a bit, which says it all."""
    return hex_words(told.sample.words) if told.sample.words and not told.point.table.holds_bits else ""


def place_words(point: Point) -> str:
    """Return where a point stands: 'input registers 2 (30003)'."""
    place = RegisterPlace(point.table, point.register_address)
    try:
        reference = written(place, Notation.REFERENCE_NUMBER_5)
    except ValueError:
        reference = written(place, Notation.REFERENCE_NUMBER_6)
    return f"{point.table.value.replace('_', ' ')} {point.register_address} ({reference})"


def not_read_words(event: PointNotRead) -> str:
    """Return why a point is not read."""
    return f"{event.point} of {event.server_address} is not read: {event.why.value}"


def refused_words(event: PointRefused) -> str:
    """Return that a device does not tell a point, and what that means."""
    meaning = exception_meaning(event.exception_code).name
    since = "told before, so its map has changed" if event.told_before else "its map is another one than the list says"
    return (
        f"{event.server_address} refuses {event.point}, exception {event.exception_code:02X} ({meaning}): {since}; "
        "the others are read on without it"
    )


def told_again_words(event: PointTold) -> str:
    """Return that a refused point is there again."""
    return f"{event.server_address} tells {event.point} again"


def _why_none(exchange: Exchange) -> str:
    words = outcome_words(exchange)
    return words if not isinstance(exchange.outcome, ExceptionReply) else f"no value: {words}"
