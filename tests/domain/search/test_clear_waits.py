"""The waits of a thorough search, against a plain simulation of requests and one late reply on a line of time."""

from __future__ import annotations

import pytest

from buswalk.domain.search.clear_waits import clear_waits_s

SPEEDS = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 76800, 115200)
BITS = 11
REQUEST_CHARACTERS, REPLY_CHARACTERS = 8, 7


def is_heard_whole(baud_rate: int, cycle_wait_s: float, turnaround_s: float) -> bool:
    """Lay out requests after the one that is answered, and see whether the reply meets one of them."""
    character_s = BITS / baud_rate
    begins_s, ends_s = turnaround_s, turnaround_s + REPLY_CHARACTERS * character_s
    at_s = cycle_wait_s
    while at_s < ends_s:
        if begins_s < at_s + REQUEST_CHARACTERS * character_s and at_s < ends_s:
            return False
        at_s += REQUEST_CHARACTERS * character_s + cycle_wait_s
    return True


@pytest.mark.parametrize("latency_s", [0.001, 0.016, 0.020])
@pytest.mark.parametrize("baud_rate", SPEEDS)
def test_every_turnaround_up_to_one_and_a_half_seconds_is_heard_in_one_of_the_passes(
    baud_rate: int, latency_s: float
) -> None:
    """Steps of 0.3 ms, which are none of those by which the waits were chosen."""
    waits_s = clear_waits_s(baud_rate, latency_s)

    missed = [
        turnaround_ms
        for turnaround_ms in (60.0 + 0.3 * step for step in range(4800))
        if not any(is_heard_whole(baud_rate, wait_s + latency_s, turnaround_ms / 1000) for wait_s in waits_s)
    ]

    assert missed == []


def test_at_9600_baud_three_short_passes_do() -> None:
    """One pass of 60 ms misses about a quarter of late replies; design figures: 60, 104, 112 ms."""
    waits_s = clear_waits_s(9600, 0.001)

    assert waits_s[0] == 0.060
    assert sum(waits_s) <= 0.060 + 0.104 + 0.112
    missed = sum(not is_heard_whole(9600, 0.061, 0.060 + 0.001 * step) for step in range(1440))
    assert 0.2 < missed / 1440 < 0.3
