"""How soon a lone device answers: what is computed for the benchmark is what a search on the simulated line does."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from tests.fakes.searched_population import (
    FUNCTIONS,
    NEVER_S,
    LoneDevice,
    SimulatedFirstReply,
    quick_first_reply_s,
    timed_order,
)

ORDER = timed_order()
TOLERANCE_S = 0.010
"""A reply is handed over in steps of 1 ms, a byte at 4800 baud takes 2.3 ms, a change of settings 2 ms."""


@pytest.mark.parametrize(
    ("framing", "address", "functions", "turnaround_s"),
    [
        ("9600 8N1", 1, FUNCTIONS, 0.010),
        ("9600 8E1", 1, FUNCTIONS, 0.010),
        ("9600 8E1", 2, FUNCTIONS, 0.045),
        ("9600 8O1", 3, FUNCTIONS, 0.020),
        ("19200 8E1", 1, (3, 4), 0.020),
        ("19200 8E1", 200, FUNCTIONS, 0.020),
        ("4800 8N1", 7, (4,), 0.055),
    ],
)
def test_a_device_within_the_wait_answers_when_it_is_computed_to(
    tmp_path: Path, framing: str, address: int, functions: tuple[int, ...], turnaround_s: float
) -> None:
    speed, of_framing = framing.split()
    device = LoneDevice(SerialSettings.of(int(speed), of_framing), address, functions, turnaround_s)

    seen_s = SimulatedFirstReply(tmp_path, ORDER).first_reply_s(device)

    assert seen_s == pytest.approx(quick_first_reply_s(device, ORDER), abs=TOLERANCE_S)


def test_a_device_that_answers_nothing_asked_is_never_found(tmp_path: Path) -> None:
    device = LoneDevice(SerialSettings.of(9600, "8N1"), 1, (), 0.01)

    assert SimulatedFirstReply(tmp_path, ORDER).first_reply_s(device) == NEVER_S
    assert quick_first_reply_s(device, ORDER) == NEVER_S


@pytest.mark.parametrize("turnaround_s", [0.09, 0.15, 0.3])
@pytest.mark.parametrize("framing", ["8N1", "8E1"])
def test_a_slow_device_at_the_likeliest_place_is_found_within_three_seconds(
    tmp_path: Path, framing: str, turnaround_s: float
) -> None:
    """Its late answer comes while other settings are asked: bytes that nothing explains lead back to it."""
    device = LoneDevice(SerialSettings.of(9600, framing), 1, FUNCTIONS, turnaround_s)

    assert SimulatedFirstReply(tmp_path, ORDER).first_reply_s(device) < 3.0
