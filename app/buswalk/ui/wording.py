"""Numbers, times, addresses as every page writes them: thin spaces, true minus, units after a space. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

THIN_SPACE = "\u202f"
"""The narrow space that does not break a line."""
MINUS = "\u2212"
MS_DECIMAL_BELOW = 10
SECONDS_AS_WORD_BELOW_S = 60


def counted(number: int) -> str:
    """Return a count with thin spaces between thousands: 3 214."""
    return f"{number:,}".replace(",", THIN_SPACE).replace("-", MINUS)


def plural(number: int, one: str, many: str = "") -> str:
    """Return a count with its noun: 1 device, 3 214 devices."""
    return f"{counted(number)} {one if number == 1 else many or one + 's'}"


def milliseconds(seconds: float) -> str:
    """Return a time in ms, with one decimal below 10."""
    value = seconds * 1000.0
    if abs(value) < MS_DECIMAL_BELOW and abs(value - round(value)) > 0.05:
        return f"{value:.1f} ms".replace("-", MINUS)
    return f"{value:.0f} ms".replace("-", MINUS)


def seconds_words(seconds: float) -> str:
    """Return a pause or an age: 0.7 s, 8 s."""
    return f"{seconds:.1f} s" if seconds < MS_DECIMAL_BELOW and seconds != round(seconds) else f"{seconds:.0f} s"


def duration(seconds: float) -> str:
    """Return 4:45, or 1:02:03 from an hour on; also under a minute, 0:09, as clocks do."""
    whole = max(0, round(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def stamp(wall_time: str, at_s: float) -> str:
    """Return the time of day of a moment of line time, 24 h with seconds; '' if the session's start is not known."""
    return _moment(wall_time, at_s).strftime("%H:%M:%S") if wall_time else ""


def stamp_ms(wall_time: str, at_s: float) -> str:
    """Return the time of day with milliseconds."""
    if not wall_time:
        return ""
    moment = _moment(wall_time, at_s)
    return f"{moment:%H:%M:%S}.{moment.microsecond // 1000:03d}"


def stamp_minutes(wall_time: str, at_s: float) -> str:
    """Return the time of day without seconds."""
    return _moment(wall_time, at_s).strftime("%H:%M") if wall_time else ""


def _moment(wall_time: str, at_s: float) -> datetime:
    return datetime.fromisoformat(wall_time) + timedelta(seconds=at_s)


def hex_bytes(data: bytes) -> str:
    """Return bytes as the trade writes them."""
    return data.hex(" ").upper()


def address_list(addresses: Sequence[int], *, at_most: int = 12) -> str:
    """Return addresses as ranges, 1 to 5, 11, 56; what is more than `at_most` pieces is counted."""
    pieces: list[str] = []
    ordered = sorted(set(addresses))
    begin = 0
    for i in range(1, len(ordered) + 1):
        if i == len(ordered) or ordered[i] != ordered[i - 1] + 1:
            run = ordered[begin:i]
            pieces += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(one) for one in run]
            begin = i
    left = len(pieces) - at_most
    return ", ".join(pieces[:at_most]) + (f" and {left} more" if left > 0 else "")
