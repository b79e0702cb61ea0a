"""The first byte of a reply, heard in other settings: the same as a whole receiver makes of it, bit by bit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.crc16 import crc_bytes
from buswalk.domain.search.first_byte import first_bytes_heard
from simulated_line.pair.uart import Recovery, receive
from simulated_line.pair.waveform import Waveform, burst_toggles

SPEEDS = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200)
FRAMINGS = ("8N1", "8N2", "8E1", "8O1")
REPLIES = {1: bytes([1, 0]), 3: bytes([2, 0, 215]), 4: bytes([2, 0, 215])}
settings = st.builds(SerialSettings.of, st.sampled_from(SPEEDS), st.sampled_from(FRAMINGS))


@given(settings, settings, st.integers(1, 247), st.sampled_from([1, 3, 4]), st.sampled_from([0, 1, 2]))
def test_a_whole_receiver_hears_one_of_them(
    sent_in: SerialSettings, heard_in: SerialSettings, address: int, function: int, refusal: int
) -> None:
    """The receiver of the simulated line knows nothing of replies: it samples whatever edges there are."""
    body = bytes([address, function | 0x80, refusal]) if refusal else bytes([address, function]) + REPLIES[function]
    reply = body + crc_bytes(body)
    heard = receive(Waveform(1, burst_toggles(reply, sent_in, ())), heard_in, Recovery.NEXT_EDGE, -1.0, 10.0)

    expected = first_bytes_heard(sent_in, address, function, heard_in)

    assert not expected or heard[0].byte in expected


@pytest.mark.parametrize("framing", FRAMINGS)
def test_at_its_own_speed_it_is_the_address_whatever_the_framing(framing: str) -> None:
    sent_in = SerialSettings.of(9600, framing)

    assert first_bytes_heard(sent_in, 37, 3, SerialSettings.of(9600, "8N1")) == {37}


def test_half_the_speed_of_the_receiver_doubles_each_bit() -> None:
    """Worked by hand for address 2 at 9600: start, 0, 1, 0, 0 ... makes start, 0, 00, 11, 00, and one more 0."""
    heard = first_bytes_heard(SerialSettings.of(9600, "8N1"), 2, 3, SerialSettings.of(19200, "8N1"))

    assert heard == {0b00011000}


def test_of_a_reply_that_is_quicker_than_the_receiver_nothing_is_told() -> None:
    assert not first_bytes_heard(SerialSettings.of(115200, "8N1"), 2, 3, SerialSettings.of(9600, "8N1"))
