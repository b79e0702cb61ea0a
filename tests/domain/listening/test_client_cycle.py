"""The cycle of another client learnt from frames heard: times are written by hand, one byte lasts 1 ms here."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_cycle import Asking, ClientCycle, learn_cycle
from buswalk.domain.listening.client_harm import LOST_BEFORE_STOP, Harm, HarmCount
from buswalk.domain.listening.heard_exchange import Fit, HeardExchange, HeardFrame, HeardPiece, UnansweredRequest

SETTINGS = SerialSettings.of(10_000, "8N1")
"""Ten bits a character: 1 ms."""
ASK_11 = bytes.fromhex("0B 03 00 00 00 01 84 A0")
ASK_99 = bytes.fromhex("63 03 00 00 00 01 8C 48")
REPLY_BYTES = 7


def frame(adu: bytes, begin_s: float) -> HeardFrame:
    end_s = begin_s + len(adu) * 0.001
    return HeardFrame(0, adu, begin_s, begin_s, end_s, end_s)


def answered(at_s: float, turnaround_s: float = 0.02) -> HeardPiece:
    reply = frame(bytes.fromhex("0B 03 02 00 07 61 87"), at_s + 0.008 + turnaround_s)
    return HeardExchange(frame(ASK_11, at_s), reply, Fit.EXACT)


def silent(at_s: float) -> HeardPiece:
    return UnansweredRequest(frame(ASK_99, at_s))


def learnt(pieces: list[HeardPiece]) -> ClientCycle:
    cycle = learn_cycle(pieces, SETTINGS)
    assert cycle is not None
    return cycle


def test_one_request_every_two_seconds_leaves_all_but_itself_and_a_margin() -> None:
    """8 ms request, 20 ms turnaround, 7 ms reply, 10 ms after it; 100 ms stay free before the next."""
    cycle = learnt([answered(2.0 * at) for at in range(8)])

    assert cycle.round_s == pytest.approx(2.0)
    assert cycle.longest_room_s == pytest.approx(2.0 - 0.045 - 0.1, abs=1e-6)
    expected = cycle.expected()
    assert expected is not None
    assert expected.not_before_s == pytest.approx(16.0)
    assert expected.not_after_s == pytest.approx(16.0)
    assert cycle.free_from_s() == pytest.approx(14.045)


def test_what_it_was_seen_to_vary_by_widens_the_margin() -> None:
    begun = [0.0, 1.7, 4.0, 5.7, 8.0, 9.7, 12.0, 13.7, 16.0, 17.7]

    expected = learnt([answered(at) for at in begun]).expected()

    assert expected is not None
    assert expected.not_before_s >= 17.7 + 1.7
    assert expected.margin_s >= 0.1


def test_three_tries_of_one_request_are_told_from_the_end_of_the_round() -> None:
    """99 is asked at 0.1, 0.4 and 0.7 s of each 3 s: after the third try, not after the first, there is room."""
    pieces: list[HeardPiece] = []
    for at in range(6):
        pieces += [answered(3.0 * at), *(silent(3.0 * at + one) for one in (0.1, 0.4, 0.7))]
    cycle = learnt(pieces)

    after_third = cycle.expected()
    cycle.is_at(Asking(0, 18.0))
    cycle.is_at(Asking(1, 18.1))
    after_first = cycle.expected()

    assert after_third is not None
    assert after_first is not None
    assert after_third.not_before_s == pytest.approx(18.0)
    assert after_first.not_before_s == pytest.approx(18.4)
    assert cycle.requests[1].busy_s == pytest.approx(0.3), "it may wait until it tries again"
    assert cycle.longest_room_s == pytest.approx(2.3 - 0.3 - 0.1)


@pytest.mark.parametrize(
    "pieces",
    [[], [answered(0.0)], [answered(0.0), silent(0.5), answered(2.0)]],
    ids=["nothing", "once", "too little"],
)
def test_too_little_is_no_cycle(pieces: list[HeardPiece]) -> None:
    assert learn_cycle(pieces, SETTINGS) is None


def test_its_place_is_not_known_once_it_is_lost() -> None:
    cycle = learnt([answered(2.0 * at) for at in range(8)])

    cycle.lose_place()

    assert cycle.expected() is None
    cycle.is_at(Asking(0, 100.0))
    assert cycle.expected() is not None


def test_one_lost_exchange_may_be_the_lines_own_more_are_harm() -> None:
    harm = HarmCount(listened_lost=0, listened_of=20)
    for _ in range(5):
        harm.was_well()
    harm.was(Harm.LOST)
    after_one = harm.suffers
    for _ in range(LOST_BEFORE_STOP - 1):
        harm.was(Harm.LOST)

    suffers = harm.suffers
    assert after_one is None
    assert suffers is not None
    assert (suffers.harm, suffers.count, suffers.of, suffers.listened_of) == (Harm.LOST, 2, 7, 20)


def test_harm_that_is_long_ago_does_not_count() -> None:
    harm = HarmCount(listened_lost=0, listened_of=20)
    harm.was(Harm.LOST)
    for _ in range(20):
        harm.was_well()
    harm.was(Harm.LOST)

    assert harm.suffers is None
