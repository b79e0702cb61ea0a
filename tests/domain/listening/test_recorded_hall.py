"""The decoder on traffic of the simulated hall, whose truth is the client's schedule; damage by seeds."""

from __future__ import annotations

import numpy as np
import pytest

from buswalk.domain.listening.decoder import BYTES_A_CUT, decode, decode_untimed
from buswalk.domain.listening.grammar import false_frames_a_byte
from buswalk.domain.listening.who_asks import WhoAsks
from buswalk.domain.modbus.exchange import Turnaround
from tests.fakes.heard_pieces import frames_in, placed_bytes
from tests.fakes.recorded_hall import ROUND, SETTINGS, SPACING_S, Recording, damaged, judged, recorded_hall

ROUNDS = 20
FEWEST_FOUND = 0.998
FEWEST_RIGHT = 0.99


@pytest.fixture(scope="module")
def hall() -> Recording:
    """Twenty rounds of the other client."""
    return recorded_hall(ROUNDS)


def test_of_a_clean_recording_every_frame_role_and_partner_is_right(hall: Recording) -> None:
    pieces = decode(hall.arrivals, SETTINGS)

    seen = judged(hall, pieces)
    assert (seen.found, seen.right, seen.invented) == (len(hall.frames), len(hall.frames), 0)


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_damage_costs_nearly_nothing_but_the_damaged_frames(hall: Recording, seed: int) -> None:
    """One byte in a thousand changed, one in a thousand lost or added; only frames that stayed whole are counted."""
    hurt = damaged(hall, changed=1e-3, lost_or_added=1e-3, seed=seed)

    pieces = decode(hurt.arrivals, SETTINGS)

    seen = judged(hurt, pieces)
    assert len(hurt.frames) < len(hall.frames)
    assert seen.found_share >= FEWEST_FOUND
    assert seen.right_share >= FEWEST_RIGHT
    assert b"".join(data for _, data in placed_bytes(pieces)) == hurt.data


def test_an_adapter_that_hands_over_request_and_reply_together_hides_no_partner() -> None:
    """16 ms is the default step of a common bridge family (standards notes, USB serial chip latency timer)."""
    heard = recorded_hall(ROUNDS // 4, latency_s=0.016)

    seen = judged(heard, decode(heard.arrivals, SETTINGS))

    assert len(heard.arrivals) < len(heard.data) / 4
    assert (seen.found, seen.right, seen.invented) == (len(heard.frames), len(heard.frames), 0)


def test_bytes_alone_say_all_that_arrivals_say(hall: Recording) -> None:
    """Also of a request in four bytes that nobody answers: it is all that lies between two frames."""
    seen = judged(hall, decode_untimed(hall.data))

    assert sum(len(one.adu) == 4 and one.partner < 0 for one in hall.frames) == ROUNDS
    assert (seen.found, seen.right, seen.invented) == (len(hall.frames), len(hall.frames), 0)


def test_who_is_asked_what_how_often_and_how_fast_is_what_the_client_does(hall: Recording) -> None:
    who = WhoAsks()
    who.take(decode(hall.arrivals, SETTINGS))

    asked = {(one.server_address, one.pdu): one for one in who.requests}
    assert {bytes([address]) + pdu for address, pdu in asked} == {bytes.fromhex(text) for text in ROUND}
    assert all(one.asked == ROUNDS for one in who.requests)
    period_s = SPACING_S * (len(ROUND) + 1)
    assert [one.period_s for one in who.requests] == pytest.approx([period_s] * len(ROUND), abs=0.002)
    assert who.round_s == pytest.approx(period_s, abs=0.002)
    meter = asked[(43, bytes.fromhex("03 00 00 00 04"))].turnaround
    assert isinstance(meter, Turnaround)
    assert 0.049 <= meter.not_less_than_s <= meter.not_more_than_s <= 0.202, "50 ms at least, 200 at most: type meter"
    silent = asked[(99, bytes.fromhex("03 00 00 00 02"))]
    assert (silent.answered, silent.refused) == (0, 0)
    refused = asked[(5, bytes.fromhex("03 02 58 00 02"))]
    assert (refused.answered, refused.refused) == (ROUNDS, ROUNDS)


def test_random_bytes_make_no_more_frames_than_the_bound() -> None:
    """Ten megabytes: about five are expected, so four standard deviations are allowed; the bench measures closer."""
    random = np.random.default_rng(31)
    size = 160 * BYTES_A_CUT

    found = len(frames_in(decode_untimed(random.bytes(size))))

    expected = false_frames_a_byte() * size
    assert found <= expected + 4 * expected**0.5
