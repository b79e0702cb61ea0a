"""A pair on which somebody sends without any silence: every byte once, and the work for a byte stays what it was."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.line_habits import Held, HeldLevel, LineHabits, Window
from simulated_line.scenario.model import ScenarioFile
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline

N81 = SerialSettings.of(9600, "8N1")
FRAME = "25 03 04 00 D7 01 C2 AE 08"
FRAME_S = 9 * 10 / 9600


def chattering(settings: str, period_s: float, extra_devices: int = 2) -> SimulatedSite:
    """A line with a talker that leaves no gap, and servers of two speeds that have to hear all of it."""
    devices = [
        {"name": f"device {number}", "address": number, "settings": "9600 8N1" if number % 2 else "19200 8E1"}
        for number in range(1, extra_devices + 1)
    ]
    chatter = [{"name": "talker", "settings": settings, "data": FRAME, "period_s": period_s}]
    file = {"name": "never silent", "story": "one talks on and on", "device": devices, "chatter": chatter}
    return build_site(ScenarioFile.model_validate(file), Timeline())


def received(site: SimulatedSite, until_s: float) -> bytes:
    """All that a program gets that reads all the time."""
    line = site.open_line("port", N81, lambda: None)
    data = bytearray()
    while (arrival := line.read(until_s)) is not None:
        data += arrival.data
    return bytes(data)


def test_a_minute_without_a_gap_arrives_whole() -> None:
    """57 600 characters fit into a minute at 9600 baud; work that grew with time would not end."""
    data = received(chattering("9600 8N1", FRAME_S), 60.0)

    assert len(data) in range(57_600 - 2 * 9, 57_600 + 1)
    assert data == (bytes.fromhex(FRAME) * 6_400)[: len(data)]


def test_what_is_asked_to_send_into_its_own_burst_sends_without_a_gap() -> None:
    """A UART has one shift register."""
    data = received(chattering("9600 8N1", 0.004), 5.0)

    assert data == (bytes.fromhex(FRAME) * 600)[: len(data)]
    assert len(data) in range(4_782, 4_801)


def test_bursts_without_a_gap_are_no_frame_for_a_server() -> None:
    """Serial Line V1.02, 2.5.1.1: only silence ends a frame. What each server counts is one bad frame, at the end."""
    site = chattering("9600 8N1", FRAME_S)

    site.timeline.run_until(5.0)

    assert site.devices["device 1"].answerer.counters.communication_errors == 0


def test_a_program_that_reads_seldom_gets_the_same_bytes() -> None:
    """Heard at a wrong speed, so through the bits; not a multiple of it, where samples would fall on edges."""
    site = chattering("12500 8E1", 9 * 11 / 12500)
    expected = received(chattering("12500 8E1", 9 * 11 / 12500), 3.0)
    line = site.open_line("port", N81, lambda: None)

    data = b""
    for second in (1.0, 2.0, 3.0):
        site.timeline.run_until(second)
        data += b"".join(one.data for one in line.discard())

    assert data == expected


def test_a_fault_that_begins_in_the_middle_leaves_what_was_heard_before_it() -> None:
    """F22 while somebody sends: the characters before it stand, then one break, then nothing."""
    site = chattering("9600 8N1", FRAME_S)
    held = LineHabits(held=Held(HeldLevel.SPACE, (Window(0.0, float("inf")),)))
    site.timeline.at(1.0, lambda: site.segment.change_habits(held))

    data = received(site, 3.0)

    whole = (bytes.fromhex(FRAME) * 200)[: len(data) - 2]
    assert len(data) in range(945, 956)
    assert data[:-2] == whole
    assert data[-1] == 0


def test_a_pair_that_becomes_held_is_noticed_without_anybody_sending() -> None:
    """F22 on a quiet line: the break arrives when its character has ended."""
    file = {"name": "held", "story": "a", "line": {"held": {"level": "space", "windows": [{"from_s": 5.0}]}}}
    site = build_site(ScenarioFile.model_validate(file), Timeline())
    line = site.open_line("port", N81, lambda: None)

    arrival = line.read(20.0)

    assert arrival is not None
    assert arrival.data == b"\x00"
    assert arrival.not_after_s == pytest.approx(5.0 + 10 / 9600, abs=0.001)
