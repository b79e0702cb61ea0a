"""Numbers and times as every page writes them."""

from __future__ import annotations

import pytest

from buswalk.ui.display import has_display
from buswalk.ui.wording import (
    address_list,
    counted,
    duration,
    milliseconds,
    plural,
    seconds_words,
    stamp,
    stamp_minutes,
    stamp_ms,
)

BEGAN = "2024-03-05T23:59:50+01:00"


def test_thousands_are_parted_by_a_narrow_space() -> None:
    assert counted(3214) == "3\u202f214"
    assert counted(2_000_000) == "2\u202f000\u202f000"
    assert counted(999) == "999"


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.014, "14 ms"), (0.0063, "6.3 ms"), (0.3, "300 ms"), (-0.0012, "−1.2 ms"), (0.002, "2 ms")]
)
def test_short_times_are_in_milliseconds(seconds: float, words: str) -> None:
    assert milliseconds(seconds) == words


@pytest.mark.parametrize(
    ("seconds", "words"), [(9, "0:09"), (285, "4:45"), (3723, "1:02:03"), (59.6, "1:00"), (-1, "0:00")]
)
def test_durations_are_written_as_clocks_do(seconds: float, words: str) -> None:
    assert duration(seconds) == words


def test_pauses_are_in_seconds() -> None:
    assert (seconds_words(0.7), seconds_words(8.0), seconds_words(44.6)) == ("0.7 s", "8 s", "45 s")


def test_a_moment_is_the_wall_time_of_its_session_and_goes_over_midnight() -> None:
    assert (stamp(BEGAN, 15.0), stamp_minutes(BEGAN, 15.0)) == ("00:00:05", "00:00")
    assert stamp_ms(BEGAN, 1.902) == "23:59:51.902"
    assert stamp("", 15.0) == ""


def test_one_and_many_are_told_apart() -> None:
    assert (plural(1, "device"), plural(3214, "device"), plural(2, "reply", "replies")) == (
        "1 device",
        "3\u202f214 devices",
        "2 replies",
    )


def test_addresses_are_written_as_ranges() -> None:
    assert address_list([1, 2, 3, 4, 5, 11, 56, 57]) == "1 to 5, 11, 56, 57"
    assert address_list(range(1, 100, 2), at_most=3) == "1, 3, 5 and 47 more"


@pytest.mark.parametrize(
    ("environment", "platform", "expected"),
    [
        ({}, "linux", False),
        ({"DISPLAY": ":0"}, "linux", True),
        ({"WAYLAND_DISPLAY": "wayland-0"}, "linux", True),
        ({"QT_QPA_PLATFORM": "offscreen"}, "linux", True),
        ({"QT_QPA_PLATFORM": "xcb"}, "linux", False),
        ({}, "win32", True),
        ({}, "darwin", True),
    ],
)
def test_a_missing_screen_is_noticed_before_qt_ends_the_process(
    environment: dict[str, str], platform: str, expected: bool
) -> None:
    assert has_display(environment, platform) is expected
