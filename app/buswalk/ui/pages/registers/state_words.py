"""The sentence of state of the page Registers: numbers first. Plain text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.samples import Quality
from buswalk.ui.pages.registers.point_board import PointStory
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.wording import plural

ASK_NOTHING = "Ask nothing"
"""What F5 does where another client lives: whoever presses it twice out of habit disturbs nobody."""


@dataclass(frozen=True, slots=True)
class Counts:
    """How the points of a list stand."""

    points: int
    by_quality: dict[Quality, int]

    @classmethod
    def of(cls, profile: RegisterProfile, story: Callable[[str], PointStory | None]) -> Counts:
        """Count them."""
        found: dict[Quality, int] = {}
        for point in profile.points:
            known = story(point.name)
            if known is not None:
                quality = known.last.sample.quality
                found[quality] = found.get(quality, 0) + 1
        return cls(len(profile.points), found)


_WORDS = {
    Quality.GOOD: "read well",
    Quality.OUT_OF_RANGE: "outside its range",
    Quality.DOUBTFUL: "in doubt",
    Quality.NO_VALUE: "without value",
    Quality.REFUSED: "refused",
    Quality.NO_REPLY: "not answered",
}


def sentence_of(counts: Counts, settings: SerialSettings) -> str:
    """Return it; where nothing answers, at which settings it was asked."""
    if counts.points and counts.by_quality == {Quality.NO_REPLY: counts.points}:
        return f"{plural(counts.points, 'point')}: nobody answered at {settings}."
    head = plural(counts.points, "point")
    said = [f"{counts.by_quality[one]} {words}" for one, words in _WORDS.items() if counts.by_quality.get(one)]
    return f"{head}: {', '.join(said)}." if said else f"{head}, not read yet."


def no_device_words(*, has_port: bool) -> str:
    """Return what an empty page says at its top."""
    return "No device is known yet." if has_port else "No port is open."


def main_words(reading: ReadingDesk, server_address: int, *, is_once: bool) -> str:
    """Return what F5 does for a device."""
    if reading.living_line:
        return ASK_NOTHING
    if reading.reads(server_address):
        return "Pause"
    return "Read once" if is_once else "Watch"
