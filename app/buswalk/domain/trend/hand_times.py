"""Times as a hand instrument writes them: of the day, with a date in several orders, or seconds since its start."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import Enum

DAY_S = 86_400.0
DATE_AND_TIME = re.compile(
    r"^(?:(\d{1,4})([-./])(\d{1,2})\2(\d{1,4})[ T,]+)?(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d+))?)? ?(AM|PM)?Z?$", re.I
)
ELAPSED = re.compile(r"^\d+(?:[.,]\d+)?$")


class TimeKind(Enum):
    """What the times count from."""

    DATED = "date and time of day"
    TIME_OF_DAY = "time of day, without a date"
    ELAPSED = "seconds since its start"


class DateOrder(Enum):
    """Which part of a date stands where."""

    YEAR_FIRST = "year, month, day"
    DAY_FIRST = "day, month, year"
    MONTH_FIRST = "month, day, year"


class BadTime(Exception):
    """No time that can be, in one sentence."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class TimeForm:
    """How the times of a file are written."""

    kind: TimeKind
    order: DateOrder = DateOrder.YEAR_FIRST

    @property
    def words(self) -> str:
        """For people."""
        return f"{self.kind.value} ({self.order.value})" if self.kind is TimeKind.DATED else self.kind.value


def time_form(texts: Sequence[str]) -> TimeForm:
    """Return how times are written, from all of them. Raises BadTime where that cannot be told."""
    matches = [found for found in (DATE_AND_TIME.match(one) for one in texts) if found]
    if not matches:
        if texts and all(ELAPSED.match(one) for one in texts):
            return TimeForm(TimeKind.ELAPSED)
        example = texts[0] if texts else ""
        raise BadTime(f"'{example}' is no time: write 14:05:30, 2025-03-31 14:05:30, or seconds since the start")
    dates = [(one[1], one[3], one[4]) for one in matches if one[1]]
    if not dates:
        return TimeForm(TimeKind.TIME_OF_DAY)
    if all(len(first) == 4 for first, _, _ in dates):
        return TimeForm(TimeKind.DATED, DateOrder.YEAR_FIRST)
    day_first = any(int(first) > 12 for first, _, _ in dates)
    month_first = any(int(second) > 12 for _, second, _ in dates)
    if day_first and not month_first:
        return TimeForm(TimeKind.DATED, DateOrder.DAY_FIRST)
    if month_first and not day_first:
        return TimeForm(TimeKind.DATED, DateOrder.MONTH_FIRST)
    if "." in {one[2] for one in matches if one[2]}:
        # A custom, not a standard: dates with points are written with the day first wherever they are used.
        return TimeForm(TimeKind.DATED, DateOrder.DAY_FIRST)
    written = "/".join(dates[0])
    raise BadTime(f"{written} may be day or month first: write the date with the year first, or with points")


def seconds_of(text: str, form: TimeForm) -> float:
    """Return a time as seconds: since 1970 without a zone, since midnight, or since the start. Raises BadTime."""
    if form.kind is TimeKind.ELAPSED:
        if not ELAPSED.match(text):
            raise BadTime(f"'{text}' is no number of seconds, as the other times are")
        return float(text.replace(",", "."))
    match = DATE_AND_TIME.match(text)
    if match is None:
        raise BadTime(f"'{text}' is no time of day")
    if bool(match[1]) != (form.kind is TimeKind.DATED):
        raise BadTime(f"'{text}' is not written as the other times are: {form.words}")
    return _day_s(match, form.order) + _of_day_s(match, text)


def wall_s(wall_time: str) -> float:
    """Return what a stamp with a zone says at its own place, as seconds since 1970 without a zone."""
    stamp = datetime.fromisoformat(wall_time).replace(tzinfo=None)
    return (stamp - datetime(1970, 1, 1)).total_seconds()


def _of_day_s(match: re.Match[str], text: str) -> float:
    hour, minute, second = int(match[5]), int(match[6]), int(match[7] or 0)
    half = (match[9] or "").upper()
    if half:
        if not 1 <= hour <= 12:
            raise BadTime(f"'{text}' is no time of day")
        hour = hour % 12 + (12 if half == "PM" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise BadTime(f"'{text}' is no time of day")
    return timedelta(hours=hour, minutes=minute, seconds=second).total_seconds() + float(f"0.{match[8] or 0}")


def _day_s(match: re.Match[str], order: DateOrder) -> float:
    if not match[1]:
        return 0.0
    parts = (int(match[1]), int(match[3]), int(match[4]))
    year, month, day = {
        DateOrder.YEAR_FIRST: parts,
        DateOrder.DAY_FIRST: (parts[2], parts[1], parts[0]),
        DateOrder.MONTH_FIRST: (parts[2], parts[0], parts[1]),
    }[order]
    try:
        whole = date(year if year > 99 else 2000 + year, month, day)
    except ValueError:
        raise BadTime(f"{match[1]}{match[2]}{match[3]}{match[2]}{match[4]} is no day, read as {order.value}") from None
    return (whole - date(1970, 1, 1)).days * DAY_S
