"""The write box of the page Registers: locked first, one value at a time, looks, putting back."""

from __future__ import annotations

from buswalk.bus.messages import LockWriting, PutBack, UnlockWriting, WriteValue, WritingTold
from buswalk.domain.registers.writing.events import (
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
from tests.fakes.told_line import USUAL, kept
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

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert (order.intended.words, order.seen) == ((0x1194,), (6000,))


def test_a_write_that_was_given_up_says_why() -> None:
    page = opened()
    intended = IntendedWrite(11, USUAL, KnownPlace(VALVE), (5000,))

    page.take(kept(WriteGivenUp(intended, "what stands there has changed from 4.500 V to 4.600 V", 21.0)))

    assert page.presenter.state.write.told.startswith("Not written: what stands there has changed")


def test_memory_that_wears_needs_a_second_confirmation_after_three_writes() -> None:
    page = opened()
    intended = IntendedWrite(11, USUAL, KnownPlace(MODE), (0,))
    for number in (1, 2, 3):
        page.take(
            kept(
                WriteBegun(number, intended, OldRead((1,), 60), "x", 20.0),
                Written(number, 61, 6, WriteAnswer.CONFIRMED, 0, 20.0),
                ReadBack(number, 0.0, 62, (0,), Verdict.HELD, 20.1),
            )
        )
    page.focus("Mode")
    assert "accept the wear" in page.presenter.state.write.confirm

    page.presenter.write("off")
    assert page.commands.of(WriteValue) == []
    page.presenter.confirm(is_confirmed=True)
    page.presenter.write("off")

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert order.confirmed == {SecondConfirmation.WEARS_MEMORY}


def test_a_broadcast_needs_its_own_confirmation_and_knows_no_way_back() -> None:
    page = opened()
    page.presenter.choose_device(1)
    page.presenter.choose_profile(1)
    page.focus("Mixing valve")

    page.presenter.write("5")
    assert page.commands.of(WriteValue) == []
    page.presenter.confirm(is_confirmed=True)
    page.presenter.write("5")

    (order,) = [one.order for one in page.commands.of(WriteValue)]
    assert order.intended.server_address == 0
    assert SecondConfirmation.ALL_DEVICES in order.confirmed


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
