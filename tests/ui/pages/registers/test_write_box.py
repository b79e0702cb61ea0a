"""The write box of the page Registers: locked first, one value at a time, looks, putting back."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from buswalk.bus.messages import Kept
from buswalk.bus.write_messages import (
    EarlierWritesTold,
    LockWriting,
    PutBack,
    PutBackPlace,
    UnlockWriting,
    WriteValue,
    WritingTold,
)
from buswalk.domain.registers.writing.earlier_writes import RecordedWrites, earlier_writes
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    OldRead,
    ReadBack,
    WriteAnswer,
    WriteBegun,
    WriteGivenUp,
    Written,
)
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace, SecondConfirmation
from buswalk.domain.registers.writing.verdict import Verdict
from buswalk.ui.pages.registers.registers_state import StepKind, WriteFace
from tests.fakes.registers_stage import (
    MODE,
    OPEN,
    VALVE,
    read,
    told,
    written,
)
from tests.fakes.told_line import USUAL, WALL_TIME, copper_opened, found, kept
from tests.ui.pages.registers.registers_bench import Page

# Writing


def opened() -> Page:
    page = Page([*read(), OPEN])
    page.focus("Mixing valve")
    return page


def test_writing_is_locked_until_somebody_says_why() -> None:
    page = Page(read())
    page.focus("Mixing valve")
    assert page.presenter.state.write.title == "Writing is locked"

    page.presenter.write("5")
    page.presenter.toggle_lock()
    page.presenter.unlock("  ")
    assert page.commands.of(UnlockWriting) == []
    assert page.presenter.state.write.face is WriteFace.QUESTION
    page.presenter.unlock("balancing, bay 1 clear")

    assert page.commands.sent == [UnlockWriting("balancing, bay 1 clear")]


def test_an_open_lock_counts_down_and_ctrl_u_locks() -> None:
    page = opened()

    write = page.presenter.state.write
    page.presenter.toggle_lock()

    assert write.title == "Writing is open for 4:12"
    assert (write.old_value, write.hint) == ("4.500 V", "0.000 to 10.000 V")
    assert "The valve moves at once" in write.cautions[0]
    assert "local rules and licensed practice" in write.cautions[0]
    assert page.commands.sent == [LockWriting()]


def test_a_value_is_ordered_with_what_was_seen_before() -> None:
    """5 V at a scale of 0.001 is 5000 = 0x1388; comma and unit as people type them."""
    page = opened()

    page.presenter.write("5,000 V")

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert (order.intended.words, order.seen, order.reason) == ((5000,), (0x1194,), "balancing, bay 1 clear")


def test_what_the_list_forbids_is_not_sent_and_said() -> None:
    page = opened()

    for typed, said in (
        ("12", "outside of what the list allows"),
        ("warm", "is no value of mixing_valve"),
        ("", "Type"),
    ):
        page.presenter.write(typed)
        assert said in page.presenter.state.write.told
    page.focus("Pipe")

    assert page.presenter.state.write.refusal.startswith("Input registers cannot be written")
    assert page.commands.of(WriteValue) == []


def test_looks_are_done_or_waited_for_and_put_back_is_offered() -> None:
    page = opened()

    page.take(written(), at_s=23.0)

    write = page.presenter.state.write
    assert write.headline.endswith("Mixing valve: 4.500 V → 5.000 V")
    assert [(one.kind, one.when, one.value, one.verdict) for one in write.steps] == [
        (StepKind.DONE, "at 0 s", "5.000 V", "held"),
        (StepKind.DONE, "at 2 s", "5.000 V", "held"),
        (StepKind.WAITING, "at 10 s", "–", "waiting, in 7 s"),
        (StepKind.WAITING, "at 60 s", "–", "waiting, in 57 s"),
    ]
    assert (write.put_back, write.focus_wanted) == ("Put 4.500 V back", 1)
    assert page.presenter.note.words == "1 not put back"
    assert write.changes == ()
    page.presenter.put_back()
    assert page.commands.of(PutBack) == [PutBack(1, "balancing, bay 1 clear")]


def test_what_was_changed_elsewhere_is_listed_and_put_back_from_there() -> None:
    page = opened()
    page.take(written(), at_s=23.0)
    page.focus("Mode")

    (row,) = page.presenter.state.write.changes
    page.presenter.put_back_row(0)

    assert [cell.words for cell in row] == ["Mixing valve of 11 (holding register 0)", "4.500 V → 5.000 V"]
    assert page.commands.of(PutBack) == [PutBack(1, "balancing, bay 1 clear")]


def test_a_value_written_twice_is_put_back_to_what_stood_there_first() -> None:
    page = opened()
    page.take(written(), at_s=23.0)
    second = IntendedWrite(11, USUAL, KnownPlace(VALVE), (6000,))
    page.take(
        kept(
            WriteBegun(2, second, OldRead((5000,), 70), "balancing", 30.0),
            Written(2, 71, 6, WriteAnswer.CONFIRMED, 0, 30.0),
            ReadBack(2, 0.0, 72, (6000,), Verdict.HELD, 30.1),
        ),
        at_s=31.0,
    )

    assert page.presenter.state.write.put_back == "Put 4.500 V back"
    page.presenter.put_back()

    assert page.commands.of(PutBackPlace) == [PutBackPlace(second.target, "balancing, bay 1 clear")]


def test_a_write_that_was_given_up_says_why() -> None:
    page = opened()
    intended = IntendedWrite(11, USUAL, KnownPlace(VALVE), (5000,))

    page.take(kept(WriteGivenUp(intended, "what stands there has changed from 4.500 V to 4.600 V", 21.0)))

    assert page.presenter.state.write.told.startswith("Not written: what stands there has changed")


def test_memory_that_wears_is_asked_about_after_three_writes_with_its_budget_at_the_rate_so_far() -> None:
    """A write a minute: 100 000 minutes are 69 days (100 000 / 1440 = 69.4)."""
    page = opened()
    intended = IntendedWrite(11, USUAL, KnownPlace(MODE), (0,))
    for number in (1, 2, 3):
        page.take(
            kept(
                WriteBegun(number, intended, OldRead((1,), 60), "x", 60.0 * number),
                Written(number, 61, 6, WriteAnswer.CONFIRMED, 0, 60.0 * number),
                ReadBack(number, 0.0, 62, (0,), Verdict.HELD, 60.0 * number),
            )
        )
    page.focus("Mode")
    page.presenter.tick(240.0)
    assert page.presenter.state.write.write_words == "Write…"

    page.presenter.write("off")
    assert page.commands.of(WriteValue) == []
    question = page.presenter.state.write.second
    assert (page.presenter.state.write.title, question.button) == (
        "Write once more to memory that wears?",
        "Write once more",
    )
    assert question.sentences[0] == "0 (off) for Mode of 11 (holding register 5)."
    assert question.sentences[1].startswith("It was written 3 times in this visit, in 3 minutes. At the rate so far ")
    assert "are gone in 69 days" in question.sentences[1]
    page.presenter.confirm()

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert order.confirmed == {SecondConfirmation.WEARS_MEMORY}


def test_a_broadcast_needs_its_own_confirmation_and_knows_no_way_back() -> None:
    page = opened()
    page.take(kept(found(24), found(56)))
    page.presenter.choose_device(3)
    page.presenter.choose_profile(1)
    page.focus("Mixing valve")

    page.presenter.write("5")
    assert page.commands.of(WriteValue) == []
    write = page.presenter.state.write
    assert (write.face, write.title) == (WriteFace.SECOND, "Write to all devices at once?")
    assert write.second.sentences == (
        "5.000 V for Mixing valve of all devices (holding register 0).",
        "3 devices are known here, and all of them take it: 11, 24, 56. So does any that is not known.",
        "None answers: nothing is read back, nothing can be put back, and the same address may mean something else in "
        "each. Read each of them afterwards.",
    )
    assert write.second.button == "Write to all 3 devices"
    page.presenter.confirm()

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert order.intended.server_address == 0
    assert SecondConfirmation.ALL_DEVICES in order.confirmed


def broadcast_asked() -> Page:
    """A write to all devices that waits to be confirmed apart."""
    page = opened()
    page.presenter.choose_device(1)
    page.presenter.choose_profile(1)
    page.focus("Mixing valve")
    page.presenter.write("5")
    return page


LEAVES: dict[str, Callable[[Page], object]] = {
    "escape": lambda page: page.presenter.leave_question(),
    "another point": lambda page: page.focus("Mode"),
    "a lock that shuts": lambda page: page.take([WritingTold(is_open=False, reason="", left_s=0.0)]),
    "another session": lambda page: page.take(told()),
}


@pytest.mark.parametrize("leave", LEAVES.values(), ids=LEAVES.keys())
def test_a_second_question_is_left_without_a_write(leave: Callable[[Page], object]) -> None:
    page = broadcast_asked()
    assert page.presenter.has_question

    leave(page)
    page.presenter.confirm()

    assert not page.presenter.desk.has_question
    assert page.commands.of(WriteValue) == []


# Earlier sessions

YESTERDAY = "2026-03-04T08:00:00+01:00"


def earlier(*events: object) -> EarlierWritesTold:
    """What a killed session of the record of the day before left, as the bus process tells it."""
    record = RecordedWrites("2026-03-04-COM5.buswalk.sqlite", ((2, YESTERDAY),), tuple((2, one) for one in events))
    return EarlierWritesTold(earlier_writes((record,)))


def valve_left() -> EarlierWritesTold:
    """4.5 V to 5 V, and then it was killed before the first look."""
    intended = IntendedWrite(11, USUAL, KnownPlace(VALVE), (5000,))
    return earlier(WriteBegun(1, intended, OldRead((0x1194,), 60), "balancing", 20.0))


def test_what_an_earlier_session_changed_is_listed_without_a_search_and_put_back_from_there() -> None:
    page = Page()
    session, port = copper_opened()
    page.take([session, valve_left(), port, OPEN])

    assert page.presenter.note.words == "1 not put back"
    focused = page.presenter.state.write
    assert focused.headline == "2026-03-04 08:00:20  Mixing valve: 4.500 V → 5.000 V"
    assert (focused.put_back, focused.changes) == ("Put 4.500 V back", ())
    page.focus("holding register 1")
    state = page.presenter.state
    assert state.devices.words[0] == "11 (written to before)"
    assert [cell.words for cell in state.write.changes[0]] == [
        "Mixing valve of 11 (holding register 0)",
        "4.500 V → 5.000 V",
    ]
    assert state.write.changes_note == (
        "It is of an earlier session: written 2026-03-04 08:00:20, session 2 of 2026-03-04-COM5.buswalk.sqlite, "
        "'balancing'."
    )
    page.presenter.put_back_row(0)

    target = IntendedWrite(11, USUAL, KnownPlace(VALVE), (5000,)).target
    assert page.commands.sent == [PutBackPlace(target, "balancing, bay 1 clear")]


def test_a_place_changed_before_and_again_now_goes_back_to_what_stood_there_first() -> None:
    page = Page()
    session, port = copper_opened()
    page.take([session, valve_left(), port, *read()[2:], OPEN])
    again = IntendedWrite(11, USUAL, KnownPlace(VALVE), (6000,))
    begun = WriteBegun(1, again, OldRead((5000,), 70), "x", 30.0)
    page.take(kept(begun, ReadBack(1, 0.0, 72, (6000,), Verdict.HELD, 30.1)))
    page.focus("Mixing valve")

    assert page.presenter.state.write.put_back == "Put 4.500 V back"
    assert page.presenter.state.write.verdict.endswith("So far; the reading goes on meanwhile.")
    page.presenter.put_back()

    assert [one.target for one in page.commands.of(PutBackPlace)] == [again.target]


def test_a_session_that_was_broken_off_reads_on_no_more() -> None:
    page = Page()
    session, port = copper_opened()
    intended = IntendedWrite(11, USUAL, KnownPlace(VALVE), (5000,))
    begun = WriteBegun(1, intended, OldRead((0x1194,), 60), "balancing", 20.0)
    look = ReadBack(1, 0.0, 62, (5000,), Verdict.HELD, 20.1)

    page.take([session, earlier(begun, Written(1, 61, 6, WriteAnswer.CONFIRMED, 0, 20.0), look), port])

    verdict = page.presenter.state.write.verdict
    assert verdict.endswith("stands there. That was the last look: the session was broken off.")


def test_what_stands_there_as_before_leaves_the_list() -> None:
    page = Page()
    session, port = copper_opened()
    page.take([session, valve_left(), port])
    back = IntendedWrite(11, USUAL, KnownPlace(VALVE), (0x1194,))

    page.take(kept(FoundAsBefore(back, (0x1194,), 80, 40.0)))

    assert page.presenter.state.write.changes == ()
    assert page.presenter.note.words == ""


def test_writes_told_by_the_record_are_not_counted_twice_where_the_port_is_opened_again() -> None:
    """The record tells the second session of this window what the first one wrote; another port has its own list."""
    page = opened()
    page.take(written(), at_s=23.0)
    mine = tuple((1, one.event) for one in written() if isinstance(one, Kept))
    record = RecordedWrites("today.buswalk.sqlite", ((1, WALL_TIME),), mine, goes_on=True)
    session, port = copper_opened()

    page.take([session, EarlierWritesTold(earlier_writes((record,))), port])
    assert page.presenter.note.words == "1 not put back"
    page.take(copper_opened("COM9"))

    assert page.presenter.note.words == ""


def test_without_a_record_the_window_still_knows_its_own_writes_when_the_port_is_opened_again() -> None:
    page = opened()
    page.take(written(), at_s=23.0)

    page.take(copper_opened())

    assert page.presenter.note.words == "1 not put back"


def test_raw_places_are_written_as_such() -> None:
    page = Page([*told(), OPEN])
    page.presenter.choose_profile(2)
    page.focus("holding register 0")

    page.presenter.write("7")

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert isinstance(order.intended.place, RawPlace)
    assert "no list says" in page.presenter.state.write.cautions[0].lower()


def test_a_lock_that_was_shut_by_time_is_shown_locked() -> None:
    page = opened()

    page.take([WritingTold(is_open=False, reason="", left_s=0.0)])

    assert page.presenter.state.write.face is WriteFace.LOCKED
