"""What receivers make of frames under each fault of the line, byte for byte.

The patterns were computed with two independent bit models (ideal edges, samples in the middle of bits) for the running
example, the reply of address 37; ! is a framing error, p a parity error. Where samples fall on edges (half, a quarter,
a twelfth of the true speed) a few parts per million decide, so there counts and marks are held, not bytes.
"""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.uart import Character, Recovery, receive
from simulated_line.pair.waveform import Waveform, burst_duration_s, burst_toggles, character_bits, combined_toggles
from simulated_line.station import CharacterFault

GOOD = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")


def heard(data: bytes, sender: str, receiver: str, recovery: Recovery = Recovery.NEXT_EDGE) -> tuple[Character, ...]:
    """Characters that a receiver makes of a burst."""
    waveform = Waveform(1, burst_toggles(data, _settings(sender), ()))
    return receive(waveform, _settings(receiver), recovery, -1.0, 10.0)


def _settings(text: str) -> SerialSettings:
    baud_rate, framing = text.split()
    return SerialSettings.of(int(baud_rate), framing)


def as_text(characters: tuple[Character, ...]) -> str:
    """Bytes with their marks."""
    return " ".join(
        f"{one.byte:02X}"
        + ("!" if CharacterFault.FRAMING in one.faults else "")
        + ("p" if CharacterFault.PARITY in one.faults else "")
        for one in characters
    )


@pytest.mark.parametrize(
    ("sender", "receiver", "expected"),
    [
        ("9600 8N1", "9600 8N1", "25 03 04 00 D7 01 C2 AE 08"),
        ("9600 8N1", "9600 8N2", "25 03 04 00 D7 01 C2 AE 08"),
        ("9600 8N2", "9600 8N1", "25 03 04 00 D7 01 C2 AE 08"),
        ("9600 8N1", "19200 8N1", "66! 98 00! 60! 00! 7E! 7E! 00! 18! F8 E6 80 80"),
        ("9600 8E1", "9600 8N1", "25 03! 04 00! D7! 01 C2 AE 08"),
        ("9600 8N2", "9600 8E1", "25 03p 04 00p D7p 01 C2 AE 08"),
        ("9600 8O1", "9600 8E1", "25p 03p 04p 00p D7p 01p C2p AEp 08p"),
    ],
    ids=["same", "stop bits", "stop bits back", "twice the speed", "8E1 as 8N1", "8N2 as 8E1", "8O1 as 8E1"],
)
def test_other_settings(sender: str, receiver: str, expected: str) -> None:
    """F06, F36, F37 of the fault catalogue: a framing error on each byte with an even number of ones, and so on."""
    assert as_text(heard(GOOD, sender, receiver)) == expected


def test_without_pauses_8n1_heard_as_8e1_is_seven_bytes_of_garbage() -> None:
    """F36: the next start bit is read as stop."""
    assert len(heard(GOOD, "9600 8N1", "9600 8E1")) == 7


def test_with_the_older_recovery_8e1_heard_as_8n1_has_no_right_crc() -> None:
    """F36: the failed stop bit is taken for a start bit (16550 data sheets); the count of bytes is not proved."""
    characters = heard(GOOD, "9600 8E1", "9600 8N1", Recovery.STOP_AS_START)

    assert bytes(one.byte for one in characters) != GOOD


@pytest.mark.parametrize(
    ("sender", "receiver", "least", "most", "share_of_errors"),
    [
        ("19200 8N1", "9600 8N1", 4, 5, (0.0, 0.8)),
        ("9600 8N1", "38400 8N1", 16, 18, (0.55, 0.75)),
        ("9600 8N1", "115200 8N1", 17, 22, (0.99, 1.0)),
        ("38400 8N1", "9600 8N1", 1, 3, (0.0, 1.0)),
        ("115200 8N1", "9600 8N1", 1, 2, (0.0, 1.0)),
    ],
)
def test_far_off_speeds_change_the_count_and_bring_framing_errors(
    sender: str, receiver: str, least: int, most: int, share_of_errors: tuple[float, float]
) -> None:
    """F07, F08, F09: count, duration and marks; the bytes hang on parts per million."""
    characters = heard(GOOD, sender, receiver)
    share = sum(CharacterFault.FRAMING in one.faults for one in characters) / len(characters)

    assert least <= len(characters) <= most
    assert share_of_errors[0] <= share <= share_of_errors[1]


def test_twelve_times_too_fast_there_are_only_zeros() -> None:
    """F08."""
    assert {one.byte for one in heard(GOOD, "9600 8N1", "115200 8N1")} == {0x00}


def test_four_times_too_fast_the_bytes_are_runs_of_four() -> None:
    """F08: the alphabet 00 78 80 F8."""
    assert {one.byte for one in heard(GOOD, "9600 8N1", "38400 8N1")} <= {0x00, 0x78, 0x80, 0xF8}


def test_swapped_wires_on_a_floating_pair_give_eight_bytes() -> None:
    """F03: driven levels inverted, idle still mark: not the complement, one framing error or more."""
    settings = SerialSettings.of(9600, "8N1")
    end_s = burst_duration_s(len(GOOD), settings, ())
    waveform = Waveform(1, combined_toggles([burst_toggles(GOOD, settings, ()), (0.0, end_s)]))

    characters = receive(waveform, settings, Recovery.NEXT_EDGE, -1.0, 10.0)

    assert as_text(characters) == "6D 7E DF 51! 7F 8F 94 EF"


def test_a_swapped_biased_idle_is_one_break_and_then_nothing() -> None:
    """F04: idle reads as space."""
    characters = receive(Waveform(1, (0.5,)), SerialSettings.of(9600, "8N1"), Recovery.NEXT_EDGE, 0.0, 10.0)

    assert [(one.byte, CharacterFault.BREAK in one.faults) for one in characters] == [(0x00, True)]


@pytest.mark.parametrize(
    ("low_bits", "expected"),
    list(enumerate(["FF", "FE", "FC", "F8", "F0", "E0", "C0", "80", "00", "00!"], start=1)),
)
def test_a_low_pulse_can_only_give_a_byte_of_one_family(low_bits: int, expected: str) -> None:
    """F13: FF shifted left; nine bits low are 00, ten and more 00 with a framing error."""
    settings = SerialSettings.of(9600, "8N1")
    pulse = Waveform(1, (0.1, 0.1 + low_bits * settings.bit_s))

    assert as_text(receive(pulse, settings, Recovery.NEXT_EDGE, 0.0, 1.0)) == expected


def test_a_pulse_under_half_a_bit_is_no_start_bit() -> None:
    settings = SerialSettings.of(9600, "8N1")
    pulse = Waveform(1, (0.1, 0.1 + 0.4 * settings.bit_s))

    assert receive(pulse, settings, Recovery.NEXT_EDGE, 0.0, 1.0) == ()


def test_ascii_mode_heard_with_eight_bits_begins_with_a_colon() -> None:
    """F38 (Serial Line V1.02, 2.5.2): 7E1 letters, bit 7 set by parity, then carriage return and line feed."""
    characters = heard(b":250304\r\n", "9600 7E1", "9600 8N1")

    assert as_text(characters) == "3A B2 35 30 33 30 B4 8D 0A"


@pytest.mark.parametrize(("framing", "bit"), [("8E1", 0), ("8O1", 1)])
def test_the_parity_bit_of_the_standards_example(framing: str, bit: int) -> None:
    """Serial Line V1.02, 2.6.1: 1100 0101 has even parity bit 0, odd parity bit 1."""
    assert character_bits(0b1100_0101, SerialSettings.of(9600, framing))[9] == bit


@pytest.mark.parametrize(
    ("off_percent", "framing", "is_read"),
    [
        (2.0, "8E1", True),
        (-2.0, "8E1", True),
        (4.0, "8N1", True),
        (-4.0, "8N1", True),
        (6.0, "8N1", False),
        (-6.0, "8N1", False),
    ],
)
def test_how_far_a_clock_may_be_off(off_percent: float, framing: str, is_read: bool) -> None:
    """Serial Line V1.02, 3.2: 2 % must be accepted. The ideal limit is 5.26 % for 8N1, computed."""
    true = SerialSettings.of(100_000, framing)
    sender = SerialSettings.of(round(100_000 * (1 + off_percent / 100)), framing)

    characters = receive(Waveform(1, burst_toggles(GOOD, sender, ())), true, Recovery.NEXT_EDGE, -1.0, 1.0)

    clean = bytes(one.byte for one in characters) == GOOD and not any(one.faults for one in characters)
    assert clean == is_read
