"""What the strip says and shows, read as the user reads it. Rules: our own description of the window."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import Kept
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply, StrayArrival
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import BytesBefore, EchoHeard, ForeignFrame
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ForeignReply,
    NotSent,
    NotSentReason,
    Outcome,
    ShortReply,
    Stopped,
)
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobStarted, PlanKept, PortFailed, PortReturned, SessionStarted
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.strip.presenter import StripPresenter
from buswalk.ui.strip.slots import Cut, HeardSlot, Slot, StripMode
from tests.fakes.exchanges import ExchangeMaker

FOREIGN = build_adu(60, bytes([0x03, 0x00, 0x00, 0x00, 0x0A]))


def kept(event: object, at_s: float = 0.0) -> Kept:
    return Kept(1, event, at_s)


def done(exchange: Exchange) -> Kept:
    return kept(ExchangeDone(exchange), exchange.ended_s)


def ticked(presenter: StripPresenter, ticks: int) -> None:
    for _ in range(ticks):
        presenter.tick()


def test_before_anything_the_line_is_quiet() -> None:
    state = StripPresenter().state

    assert (state.sentence.headline, state.sentence.words) == ("Line quiet", "nothing asked yet")
    assert state.spoken == "Line strip, last: Line quiet"


@pytest.mark.parametrize(
    ("outcome", "headline", "words"),
    [
        (CorruptReply(b"\x01\x02\x03\x04\x05\x06\x07\x08\x09", 9), "24 damaged", "9 bytes, CRC does not fit"),
        (ShortReply(b"\x18\x03\x02", 7), "24 cut short", "3 of 7 bytes came"),
        (ForeignReply(FOREIGN, 60), "60 foreign reply", "came in place of 24"),
        (EchoOnly(0.3), "24 own echo only", "nothing else in 300 ms"),
        (DamagedEcho(b"\x18"), "24 damaged echo", "two sent at the same time"),
        (NotSent(NotSentReason.LINE_NOT_QUIET, ""), "24 not sent", "the line was never quiet"),
        (BroadcastSent(), "to all, no reply due", "sent to every device"),
        (Stopped(b""), "24 stopped", "while waiting for its reply"),
    ],
)
def test_each_outcome_has_its_two_lines(outcome: Outcome, headline: str, words: str) -> None:
    presenter = StripPresenter()

    presenter.take(done(ExchangeMaker().made(24, outcome)))

    assert (presenter.state.sentence.headline, presenter.state.sentence.words) == (headline, words)


def test_an_answer_is_told_with_its_range_of_time_and_the_settings() -> None:
    presenter = StripPresenter()

    presenter.take(done(ExchangeMaker().answered(56, 0.014)))

    assert presenter.state.sentence.headline == "56 answered"
    assert presenter.state.sentence.words == "12 to 14 ms · 9600 8N1"


def test_an_answer_before_its_request_had_ended_has_no_time() -> None:
    """A second client talks into our request: a wait below nothing would be nonsense."""
    presenter = StripPresenter()

    presenter.take(done(ExchangeMaker().answered(56, -0.009)))

    assert presenter.state.sentence.words == "came too early · 9600 8N1"


def test_a_refusal_names_its_code_and_what_that_means() -> None:
    """Application V1.1b3, 7: exception code 02 is ILLEGAL DATA ADDRESS."""
    presenter = StripPresenter()

    presenter.take(done(ExchangeMaker().refused(11, 2)))

    assert presenter.state.sentence.headline == "11 refused, code 2"
    assert presenter.state.sentence.words == "illegal data address"
    slot = presenter.state.items[-1]
    assert isinstance(slot, Slot)
    assert slot.exception_code == 2


def test_no_reply_counts_what_was_asked_and_answered_in_the_last_minute() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()

    for _ in range(6):
        presenter.take(done(maker.silent(24)))

    assert presenter.state.sentence.headline == "24 no reply in 300 ms"
    assert presenter.state.sentence.words == "asked 6 times in 60 s, 0 answers"


def test_silence_in_a_search_is_no_fault_unless_the_address_is_planned() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    presenter.take(kept(PlanKept((PlannedDevice(1, 14, "controller", SerialSettings.of(9600, "8N1")),), 0.0)))
    presenter.take(kept(JobStarted(1, "search", 0.0)))

    presenter.take(done(maker.silent(95, 0.06)))
    unplanned = presenter.state.sentence
    presenter.take(done(maker.silent(14, 0.06)))
    planned = presenter.state.sentence

    assert (unplanned.headline, unplanned.words) == ("95 silent, as expected", "9600 8N1 · waited 60 ms")
    assert (unplanned.narrow_headline, unplanned.narrow_words) == ("95 silent", "as expected · 60 ms")
    assert planned.headline == "14 no reply in 60 ms"


def test_in_a_search_only_tens_and_what_is_not_silent_are_labelled() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    presenter.take(kept(JobStarted(1, "search", 0.0)))

    for address in (69, 70, 71):
        presenter.take(done(maker.silent(address, 0.06)))
    presenter.take(done(maker.answered(72)))

    assert [item.label for item in presenter.state.items if isinstance(item, Slot)] == ["", "70", "", "72"]


def test_an_abnormal_sentence_keeps_its_tint_for_five_seconds() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    presenter.take(done(maker.silent(24)))

    presenter.take(done(maker.answered(56)))
    ticked(presenter, 49)
    before = presenter.state
    ticked(presenter, 1)
    after = presenter.state

    assert (before.sentence.headline, before.is_tinted) == ("24 no reply in 300 ms", True)
    assert (after.sentence.headline, after.is_tinted) == ("56 answered", False)


def test_a_worse_sentence_takes_the_place_of_one_that_stays_and_a_lesser_one_does_not() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()

    presenter.take(done(maker.silent(24)))
    presenter.take(done(maker.made(22, CorruptReply(b"\x00" * 9, 9))))
    worse = presenter.state.sentence.headline
    presenter.take(done(maker.silent(24)))
    lesser = presenter.state.sentence.headline

    assert (worse, lesser) == ("22 damaged", "22 damaged")


def test_a_pause_over_a_tenth_of_a_second_is_a_cut_with_its_length() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    presenter.take(done(maker.answered(21)))
    maker.now_s += 0.7

    presenter.take(done(maker.answered(22)))

    assert [type(item) for item in presenter.state.items] == [Slot, Cut, Slot]
    cut = presenter.state.items[1]
    assert isinstance(cut, Cut)
    assert cut.words == "0.7 s"


def test_no_pause_is_cut_where_the_line_was_busy() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()

    for address in (21, 22, 23):
        presenter.take(done(maker.answered(address)))

    assert [type(item) for item in presenter.state.items] == [Slot, Slot, Slot]


def test_a_slow_reply_leans_right() -> None:
    """Position is log(turnaround / 2 ms) / log(wait / 2 ms): 24.5 ms is half way to a wait of 300 ms."""
    presenter = StripPresenter()
    maker = ExchangeMaker()
    presenter.use_wait(0.3)

    for turnaround_s in (0.002, 0.0244949, 0.3):
        presenter.take(done(maker.answered(21, turnaround_s)))

    leans = [item.lean for item in presenter.state.items if isinstance(item, Slot)]
    assert leans == pytest.approx([0.0, 0.5, 1.0], abs=0.001)


def test_a_credited_late_reply_redraws_the_slot_of_its_request() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    asked = maker.silent(51)
    late_adu = build_adu(51, bytes([0x03, 0x02, 0x00, 0x01]))
    presenter.take(done(asked))

    presenter.take(kept(StrayArrival(Arrival(late_adu, (), asked.ended_s, asked.ended_s + 0.12))))
    presenter.take(kept(LateReply(51, (asked.number,), late_adu, asked.ended_s + 0.12, Credit.CREDITED)))
    ticked(presenter, 5)

    (slot,) = presenter.state.items
    assert isinstance(slot, Slot)
    assert slot.kind is OutcomeKind.LATE_REPLY
    assert presenter.state.sentence.headline == "51 late reply"
    assert presenter.state.sentence.words == "120 ms after the wait"


def test_a_doubtful_late_reply_redraws_nothing() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    asked = maker.silent(51)
    presenter.take(done(asked))

    presenter.take(kept(LateReply(51, (1, 2), b"\x33\x03", 1.0, Credit.DOUBTFUL)))

    (slot,) = presenter.state.items
    assert isinstance(slot, Slot)
    assert slot.kind is OutcomeKind.NO_REPLY
    assert presenter.state.sentence.words == "fits two open questions"


def test_a_frame_of_another_client_has_a_slot_without_a_peg() -> None:
    presenter = StripPresenter()

    presenter.take(kept(StrayArrival(Arrival(FOREIGN[:3], (), 1.0, 1.01))))
    presenter.take(kept(StrayArrival(Arrival(FOREIGN[3:], (), 1.01, 1.02))))
    ticked(presenter, 2)

    (heard,) = presenter.state.items
    assert isinstance(heard, HeardSlot)
    assert heard.kind is OutcomeKind.FOREIGN_FRAME
    assert presenter.state.sentence.headline == "60 foreign frame"


def test_a_foreign_frame_inside_an_exchange_is_seen_too() -> None:
    presenter = StripPresenter()

    presenter.take(done(ExchangeMaker().answered(21, 0.014, ForeignFrame(FOREIGN))))

    assert [type(item) for item in presenter.state.items] == [Slot, HeardSlot]
    assert presenter.state.sentence.headline == "60 foreign frame"


def test_bytes_before_a_good_reply_are_a_stray_beside_it() -> None:
    presenter = StripPresenter()

    presenter.take(done(ExchangeMaker().answered(22, 0.014, BytesBefore(b"\x00"), EchoHeard(8))))

    (slot,) = presenter.state.items
    assert isinstance(slot, Slot)
    assert (slot.has_stray_before, slot.has_echo, slot.kind) == (True, True, OutcomeKind.ANSWERED)
    assert (presenter.state.sentence.headline, presenter.state.sentence.words) == (
        "22 stray byte",
        "00 before its reply",
    )


def test_above_thirty_a_second_normal_ones_are_skipped_and_it_says_so() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    for _ in range(10):
        for _ in range(12):
            presenter.take(done(maker.answered(21)))
        presenter.tick()
    shown_before = len(presenter.state.items)

    for _ in range(40):
        presenter.take(done(maker.answered(21)))
    presenter.take(done(maker.made(22, CorruptReply(b"\x00" * 9, 9))))

    assert presenter.state.share_words == "1 in 5 shown"
    assert len(presenter.state.items) - shown_before < 15
    newest = presenter.state.items[-1]
    assert isinstance(newest, Slot)
    assert newest.kind is OutcomeKind.DAMAGED


def test_a_lost_port_is_told_with_its_time_and_the_last_that_was_seen() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker(now_s=3600.0)
    presenter.take(kept(SessionStarted("2024-03-05T09:14:08+01:00", factor=1.0, is_simulated=False, program="buswalk")))
    presenter.take(done(maker.answered(23)))

    presenter.take(kept(PortFailed("COM5", "gone", 3600.0)))
    lost = presenter.state
    presenter.take(kept(PortReturned("COM5", 41.0, 3641.0)))
    back = presenter.state

    assert (lost.mode, lost.lost_words) == (StripMode.NO_PORT, "no port since 10:14:08")
    assert (lost.sentence.headline, lost.sentence.words) == ("No port", "last: 23 answered, 10:14:08")
    assert (back.mode, back.sentence.words) == (StripMode.LINE, "back after 0:41")


def test_the_cursor_shows_an_earlier_exchange_and_space_holds_the_picture() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()
    for address in (21, 22, 23):
        presenter.take(done(maker.answered(address)))

    presenter.move_cursor(-1)
    presenter.move_cursor(-1)
    presenter.hold()
    presenter.take(done(maker.answered(24)))
    held = presenter.state
    presenter.hold()
    going_on = presenter.state

    assert (held.sentence.headline, len(held.items), held.is_held) == ("22 answered", 3, True)
    assert (going_on.sentence.headline, len(going_on.items), going_on.chosen) == ("24 answered", 4, None)


def test_a_reader_hears_abnormal_outcomes_and_at_most_one_in_five_seconds() -> None:
    presenter = StripPresenter()
    maker = ExchangeMaker()

    presenter.take(done(maker.answered(21)))
    nothing = presenter.state.announced
    presenter.take(done(maker.silent(24)))
    first = presenter.state.announced
    presenter.take(done(maker.silent(31)))
    soon = presenter.state.announced
    ticked(presenter, 50)
    presenter.take(done(maker.silent(31)))
    later = presenter.state.announced

    assert nothing == ""
    assert first.startswith("24 no reply")
    assert soon == first
    assert later.startswith("31 no reply")


def test_a_new_session_begins_with_an_empty_strip() -> None:
    presenter = StripPresenter()
    presenter.take(done(ExchangeMaker().answered(21)))

    presenter.take(kept(SessionStarted("2024-03-05T09:14:08+01:00", factor=1.0, is_simulated=False, program="buswalk")))

    assert presenter.state.items == ()
    assert presenter.state.sentence.headline == "Line quiet"
