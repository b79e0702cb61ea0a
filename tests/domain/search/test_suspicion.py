"""Who may have made bytes that nobody waited for."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.probe import Probe, ProbeFunction
from buswalk.domain.search.suspicion import Energy, Suspect, turnaround_density, worth_asking

N9600, E9600, N19200 = (SerialSettings.of(9600, "8N2"), SerialSettings.of(9600, "8E1"), SerialSettings.of(19200, "8N2"))


def suspect(settings: SerialSettings, address: int, late_s: float, energy: Energy) -> Suspect:
    probe = Probe(settings, address, ProbeFunction.HOLDING_REGISTERS)
    return Suspect(probe, 0.1, energy.at_s - late_s, energy)


def test_all_devices_together_answer_somewhere_within_one_and_a_half_seconds() -> None:
    """Shares of the population: 85 % within 60 ms, 10 % to 200 ms, 4 % to 600 ms, 1 % to 1.5 s."""
    step_s = 0.0005
    shares = [turnaround_density(step_s * (place + 0.5)) * step_s for place in range(3000)]

    assert sum(shares) == pytest.approx(1.0, abs=1e-6)
    assert sum(shares[:120]) == pytest.approx(0.85, abs=1e-6)
    assert turnaround_density(1.6) == turnaround_density(-0.001) == 0.0


def test_the_one_asked_shortly_before_is_asked_first_with_room_for_what_it_took() -> None:
    energy = Energy(10.0, N19200, b"\x8c\x4c")
    early, recent = suspect(E9600, 1, 0.9, energy), suspect(E9600, 2, 0.1, energy)

    chosen = worth_asking([early, recent])

    assert chosen[0] is recent
    assert 0.1 < chosen[0].wait_s < 0.25


def test_its_address_among_the_bytes_outweighs_all_else() -> None:
    """The address byte of a reply arrives intact in most framings."""
    energy = Energy(10.0, SerialSettings.of(9600, "8O1"), b"\x0a\x30\xb1\xe6")

    chosen = worth_asking([suspect(N9600, 1, 0.08, energy), suspect(N9600, 10, 0.23, energy)])

    assert chosen[0].probe.server_address == 10


def test_one_that_was_asked_before_would_have_answered_that_first() -> None:
    energy = Energy(10.0, N19200, b"\x8c\x4c")
    second, other = suspect(N9600, 1, 0.9, energy), suspect(N9600, 2, 0.9, energy)

    chosen = worth_asking([suspect(N9600, 1, 1.4, energy), second, other])

    assert chosen[0].probe.server_address == 2
    assert chosen[-1].late_s == pytest.approx(0.9)
    assert chosen[-1].likeliness < other.likeliness


def test_bytes_in_its_own_settings_would_have_been_an_answer() -> None:
    energy = Energy(10.0, N9600, b"\x8c\x4c\xff")

    chosen = worth_asking([suspect(N9600, 1, 0.1, energy), suspect(N19200, 1, 0.1, energy)])

    assert chosen[0].probe.settings == N19200


def test_many_bytes_at_low_speed_are_no_quick_reply() -> None:
    """Ten characters at 9600 baud last 10 ms; a whole reply at 115200 is over in 0.7 ms."""
    energy = Energy(10.0, N9600, bytes(10))

    assert energy.speed_factor(SerialSettings.of(115200, "8N2")) < energy.speed_factor(SerialSettings.of(4800, "8N2"))


def test_where_the_pair_was_quiet_before_the_first_byte_tells_who_answered() -> None:
    """0x18 at 19200 is how address 2 begins at 9600; address 1 would begin with 0x06. Worked by hand."""
    energy = Energy(10.0, N19200, b"\x18\x06\x18\x06", quiet_before_s=0.02)

    likely, unlikely = suspect(N9600, 2, 0.9, energy), suspect(N9600, 1, 0.5, energy)

    assert worth_asking([likely, unlikely])[0] is likely
    assert worth_asking([likely, unlikely])[0].suspicion > 20 * unlikely.suspicion


def test_what_our_sending_may_have_hidden_tells_nothing_of_its_begin() -> None:
    """Within 1.2 characters at 9600 a reply may have no edge: the first byte heard may be any of it."""
    hidden = Energy(10.0, N19200, b"\x18\x06\x18\x06", quiet_before_s=0.001)

    assert suspect(N9600, 2, 0.3, hidden).suspicion == suspect(N9600, 1, 0.3, hidden).suspicion


def test_what_is_over_too_soon_is_no_reply_at_low_speed() -> None:
    """Five characters of 11 bits (serial line 1.02, 2.5.1), the shortest reply: 5.7 ms at 9600, 1.4 ms at 38400."""
    heard_in = SerialSettings.of(57600, "8N2")
    short = Energy(10.0, heard_in, b"\x02\x03\x22\x03\xc3", 0.02, 0.02, lasted_at_most_s=0.0016)

    assert short.speed_factor(N9600) < 0.1
    assert short.speed_factor(SerialSettings.of(38400, "8E1")) == 1.0
