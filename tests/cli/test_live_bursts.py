"""Bursts while they are heard: joined by silence, shown when decided, with the frames that the summary will count."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.cli.live_bursts import LARGEST_BURST_BYTES, Burst, LiveBursts, ShownBurst, parted
from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark, Mark
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.heard_exchange import frames_with_roles
from buswalk.domain.listening.heard_so_far import NamedFrame
from buswalk.domain.modbus.frame_splitter import Role, Skipped
from tests.domain.listening.test_heard_so_far import PAUSES_S, ROLE, RUNS, arrivals_of
from tests.fakes.recorded_hall import damaged, recorded_hall

N81 = SerialSettings.of(9600, "8N1")
T35_S = 3.5 * 10 / 9600
"""Serial Line V1.02, 2.5.1.1."""
REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")


def arrival(data: bytes, not_before_s: float, not_after_s: float, *marks: Mark) -> Arrival:
    return Arrival(data, marks, not_before_s, not_after_s)


def shown_of(arrivals: Iterable[Arrival]) -> list[ShownBurst]:
    """Hear them as a command does: where the line was silent for long, that is told before the next one."""
    live = LiveBursts(N81)
    shown: list[ShownBurst] = []
    for one in arrivals:
        if live.silent_from_s is not None and one.not_before_s > live.silent_from_s:
            shown += live.take_silence()
        shown += live.take(one)
    return shown + list(live.finish())


def frames_of(shown: Iterable[ShownBurst]) -> list[NamedFrame]:
    return [piece for one in shown for piece in one.pieces if isinstance(piece, NamedFrame)]


def bytes_of(shown: ShownBurst) -> bytes:
    return b"".join(one.data if isinstance(one, Skipped) else one.adu for one in shown.pieces)


def assert_live_is_as_in_the_summary(arrivals: Sequence[Arrival]) -> None:
    shown = shown_of(arrivals)
    whole = frames_with_roles(decode(arrivals, N81))
    frames = frames_of(shown)
    assert [(one.offset, one.adu) for one in frames] == [(one.offset, one.adu) for one in whole]
    for one, true in zip(frames, whole, strict=True):
        assert ROLE.get(one.said, true.role) is true.role
    assert all(bytes_of(one) == one.burst.data for one in shown)
    assert b"".join(one.burst.data for one in shown) == b"".join(one.data for one in arrivals)


def test_lumps_of_one_frame_are_one_burst() -> None:
    (shown,) = shown_of([arrival(REPLY[:4], 1.000, 1.004), arrival(REPLY[4:], 1.004, 1.010)])

    assert shown.burst == Burst(REPLY, (), 1.000, 1.010)


def test_a_sure_silence_of_three_and_a_half_characters_parts_them() -> None:
    end_s = 1.010
    just_short = arrival(REPLY, end_s + T35_S - 1e-6, 1.030)
    just_over = arrival(REPLY, end_s + T35_S + 1e-6, 1.030)

    assert len(shown_of([arrival(REQUEST, 1.0, end_s), just_short])) == 1
    assert len(shown_of([arrival(REQUEST, 1.0, end_s), just_over])) == 2


def test_a_silence_that_the_adapter_hides_is_not_invented() -> None:
    """Handed over 20 ms apart by an adapter with a latency of 16 ms: nobody knows that there was a gap."""
    shown = shown_of([arrival(REQUEST, 0.984, 1.000), arrival(REPLY, 1.004 - 0.001, 1.020)])

    assert [one.burst.data for one in shown] == [REQUEST + REPLY]


def test_a_frame_with_a_pause_inside_is_shown_as_the_one_that_it_is() -> None:
    """Pauses of 2 to 10 ms inside frames are met; here 6 ms, and t3.5 is 3.6 ms."""
    shown = shown_of([arrival(REPLY[:3], 1.000, 1.003), arrival(REPLY[3:], 1.010, 1.016)])

    assert [(one.burst.data, bytes_of(one)) for one in shown] == [(REPLY, REPLY)]
    assert [one.adu for one in frames_of(shown)] == [REPLY]


def test_marks_keep_their_byte_when_lumps_are_joined_or_parted() -> None:
    mark = ByteMark(1, LineMark.PARITY_ERROR)

    (shown,) = shown_of([arrival(b"\xf9\xf9\xf9", 1.0, 1.003), arrival(b"\xf9\xf9", 1.003, 1.005, mark)])
    front, back = parted(shown.burst, 3)

    assert shown.burst.marks == (ByteMark(4, LineMark.PARITY_ERROR),)
    assert (front.marks, back.marks) == ((), (mark,))


def test_a_sender_without_end_is_shown_in_pieces() -> None:
    arrivals = [arrival(b"\x55", at * 0.001, at * 0.001 + 0.001) for at in range(2000)]

    shown = shown_of(arrivals)

    assert [len(one.burst.data) for one in shown] == [LARGEST_BURST_BYTES] * 3 + [2000 - 3 * LARGEST_BURST_BYTES]


def test_frames_without_end_and_without_a_silence_are_shown_in_pieces_and_whole() -> None:
    """A slow adapter hides all silences, and its lumps of 60 bytes never end where frames do."""
    data = (REQUEST + REPLY) * 200
    arrivals = [arrival(data[at : at + 60], at / 960, (at + 60) / 960) for at in range(0, len(data), 60)]

    shown = shown_of(arrivals)

    assert max(len(one.burst.data) for one in shown) < LARGEST_BURST_BYTES + 2 * 60 + len(REPLY)
    assert_live_is_as_in_the_summary(arrivals)


def test_a_last_burst_waits_for_silence_and_not_for_more() -> None:
    live = LiveBursts(N81)
    assert live.take(arrival(REQUEST, 1.0, 1.0083)) == ()
    assert live.silent_from_s is not None

    (shown,) = live.take_silence()

    assert shown.burst.data == REQUEST
    assert live.silent_from_s is None


@settings(max_examples=300)
@given(RUNS, st.lists(st.tuples(st.integers(1, 40), PAUSES_S), max_size=30))
def test_frames_shown_live_are_those_of_the_summary(data: bytes, cuts: list[tuple[int, float]]) -> None:
    assert_live_is_as_in_the_summary(arrivals_of(data, cuts))


@pytest.mark.parametrize("latency_s", [0.001, 0.016])
@pytest.mark.parametrize("rate", [0.0, 1e-3, 1e-2])
def test_a_recorded_hall_is_shown_live_as_in_its_summary(latency_s: float, rate: float) -> None:
    """Two rounds of all that is asked there, through a quick and a slow adapter, whole and with damaged bytes."""
    heard = damaged(recorded_hall(2, latency_s), rate, rate, seed=7)

    assert_live_is_as_in_the_summary(heard.arrivals)
    assert {Role.REQUEST, Role.REPLY} == {one.role for one in frames_with_roles(decode(heard.arrivals, N81))}
