"""Speed and framing as the trade writes them."""

from __future__ import annotations

import pytest

from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import Parity, SerialSettings


@pytest.mark.parametrize(("framing", "bits"), [("8N1", 10), ("8N2", 11), ("8E1", 11), ("8O1", 11), ("7E1", 10)])
def test_a_framing_is_read_and_written_the_same(framing: str, bits: int) -> None:
    """An RTU character has 11 bits (Serial Line V1.02, 2.5.1); 8N1 has ten, outside the standard."""
    settings = SerialSettings.of(19200, framing)

    assert (settings.framing, settings.bits_per_character) == (framing, bits)
    assert str(settings) == f"19200 {framing}"


@pytest.mark.parametrize("framing", ["8X1", "9N1", "8N3", "8E", "", "8n", "N81"])
def test_a_framing_that_cannot_be_is_refused_and_says_what_can(framing: str) -> None:
    with pytest.raises(ValueError, match="such as 8E1"):
        SerialSettings.of(9600, framing)


@pytest.mark.parametrize("baud_rate", [0, -9600, 49, 4_000_001])
def test_a_speed_that_no_port_has_is_refused(baud_rate: int) -> None:
    with pytest.raises(ValueError, match="baud is outside"):
        SerialSettings(baud_rate, Parity.NONE, 1)


def test_an_arrival_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="bytes or marks"):
        Arrival(b"", (), 0.0, 0.0)


def test_a_mark_outside_the_bytes_is_refused() -> None:
    with pytest.raises(ValueError, match="mark at byte 1 of 1"):
        Arrival(b"\x00", (ByteMark(1, LineMark.BREAK),), 0.0, 0.0)


def test_a_transmission_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="begins before it ends"):
        Sent(1.0, 0.5, 2.0)
