"""The guided job on the page Registers: what it needs before it begins, how far it has come, the way back."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import LookForMoved, StartReaddress
from buswalk.bus.write_messages import WritingTold
from buswalk.domain.readdressing.events import (
    CompanyLooked,
    LookedAfter,
    PlacesLooked,
    ReaddressEnd,
    ReaddressEnded,
)
from buswalk.domain.readdressing.plan import RegisterValue
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.ui.pages.registers.move_state import MoveOutcome, MoveState, MoveTyped
from buswalk.ui.pages.registers.registers_state import RegistersFace
from tests.fakes.told_line import found, kept
from tests.fakes.told_moves import (
    ENDED,
    LIBRARY,
    NEW,
    OLD,
    OPEN,
    PLACES,
    WHY,
    checking,
    lost,
    moved,
    probe_found,
    waiting,
    written,
)
from tests.ui.pages.registers.registers_bench import Page

SPEEDS = (1200, 2400, 4800, 9600, 19_200, 38_400, 57_600, 76_800, 115_200)


def opened(*items: object) -> Page:
    """The probe is shown by its list, in the view Move."""
    page = Page()
    page.parts.library = LIBRARY
    page.presenter.read_library()
    page.take([*probe_found(), OPEN, *items])  # type: ignore[list-item]
    page.presenter.choose_profile(0)
    page.presenter.show_move(1)
    return page


def typed(
    address: str = "45",
    writes: str = "100=45",
    confirmed: str = "45",
    speed: int = 4800,
    framing: int = 0,
    *,
    company: bool = False,
) -> MoveTyped:
    return MoveTyped(address, SPEEDS.index(speed), framing, writes, confirmed, company)


def form(page: Page) -> MoveState:
    return page.presenter.state.other.move


def outcome(page: Page) -> MoveOutcome:
    return page.presenter.state.other.outcome


def begun(page: Page, what: MoveTyped) -> Page:
    page.presenter.change_move(what)
    page.presenter.move()
    return page


# Before


def test_the_list_proposes_what_is_written_as_the_address_is_typed() -> None:
    page = opened()

    page.presenter.change_move(typed(writes="", confirmed=""))

    state = form(page)
    assert page.presenter.state.face is RegistersFace.MOVE
    assert state.device == "Device 1 at 4800 8N1."
    assert (state.address, state.writes) == ("45", "100=45")
    assert state.hint == "By the list: server address (register 100) = 45."
    assert state.places == "Then it is looked for in 2 places: 1 at 4800 8N1, 45 at 4800 8N1."


def test_what_was_typed_as_writes_is_kept_when_the_address_changes() -> None:
    page = opened()

    page.presenter.change_move(typed(writes="200=45, 255=1"))
    page.presenter.change_move(typed(address="46", writes="200=45, 255=1"))

    assert form(page).writes == "200=45, 255=1"
    assert form(page).hint.startswith("Not by the list: By the list:")


def test_another_speed_is_looked_for_in_four_places() -> None:
    page = opened()

    page.presenter.change_move(typed(writes="100=45, 101=4", speed=19_200, framing=1))

    assert form(page).places == (
        "Then it is looked for in 4 places: 1 at 4800 8N1, 45 at 4800 8N1, 1 at 19200 8E1, 45 at 19200 8E1."
    )


def test_what_is_checked_before_stands_there_with_how_long_it_takes() -> None:
    """246 others at 4800 baud: a request is 80 bits, the wait 0.1 s: 29 s, with 10 s of listening before it."""
    alone = form(opened()).alone

    assert "246 other addresses" in alone
    assert "two devices share address 1" in alone
    assert "0:43 in all" in alone
    assert "nothing is written" in alone


def test_cautions_name_loss_supply_and_local_rules() -> None:
    cautions = " ".join(form(opened()).cautions)

    for words in ("collide", "lost", "supply cycled", "mains", "licensed", "local rules"):
        assert words in cautions


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (typed(address="300"), "New address: '300' is no server's; write 1 to 247."),
        (typed(address=""), "New address: '' is no server's; write 1 to 247."),
        (typed(address="1"), "Nothing is changed yet: type the new address, or choose another speed."),
        (typed(writes="100:45"), "What is written: number 1, '100:45', has no value; write it such as 100=45."),
        (typed(writes="100=45, 70000=1"), "What is written: number 2, register: '70000' cannot be; write 0 to 65535"),
        (typed(writes="100=-1"), "What is written: number 1, value: '-1' cannot be; write 0 to 65535, or hex"),
        (typed(confirmed="1"), "To confirm, type '45' once more; '1' stands there."),
        (typed(confirmed=""), "To confirm, type '45' once more; '' stands there."),
    ],
)
def test_bad_input_is_told_in_one_sentence_and_nothing_begins(what: MoveTyped, said: str) -> None:
    page = begun(opened(), what)

    assert form(page).told.startswith(said)
    assert form(page).told.count(". ") == 0
    assert page.commands.of(StartReaddress) == []


def test_nothing_begins_while_writing_is_locked() -> None:
    page = opened(WritingTold(is_open=False, reason="", left_s=0.0))

    begun(page, typed())

    assert page.commands.of(StartReaddress) == []
    assert "locked" in form(page).refusal


def test_nothing_begins_where_the_lock_would_shut_in_the_midst() -> None:
    """The checks take 43 s, and a minute more is wanted."""
    page = begun(opened(WritingTold(is_open=True, reason=WHY, left_s=90.0)), typed())

    assert page.commands.of(StartReaddress) == []
    assert "open for 1:30 only" in form(page).told


def test_an_address_at_which_something_was_found_is_refused_at_once() -> None:
    page = begun(opened(*kept(found(45))), typed())

    assert page.commands.of(StartReaddress) == []
    assert form(page).told.startswith("Address 45 is taken")


def test_all_devices_at_once_cannot_be_moved() -> None:
    page = opened()
    page.presenter.choose_device(1)

    begun(page, typed())

    assert page.commands.of(StartReaddress) == []
    assert "0 is all" in form(page).device


def test_the_plan_says_what_was_typed_and_confirmed() -> None:
    page = begun(opened(), typed(writes="100=45, 0xFF=1"))

    (plan,) = [one.plan for one in page.commands.of(StartReaddress)]
    assert (plan.before, plan.after, plan.reason) == (OLD, NEW, WHY)
    assert plan.writes == (RegisterValue(100, 45), RegisterValue(255, 1))
    assert (plan.listen_s, len(plan.company), plan.may_have_company) == (10.0, 247, False)
    assert form(page).clear_confirmation == 1


def test_a_speed_alone_is_confirmed_by_the_new_setting() -> None:
    page = begun(opened(), typed(address="1", writes="101=4", confirmed="19200 8E1", speed=19_200, framing=1))

    assert [str(one.plan.after) for one in page.commands.of(StartReaddress)] == ["1 at 19200 8E1"]


def test_a_job_that_runs_is_stopped_first() -> None:
    page = opened(*kept(JobStarted(1, "watch", 9.0)))

    begun(page, typed())
    assert (page.commands.stops, page.commands.of(StartReaddress)) == (1, [])
    page.take(kept(JobEnded(1, "watch", JobEndKind.STOPPED, "", 10.0)))

    assert len(page.commands.of(StartReaddress)) == 1


# While it runs


def test_before_the_write_it_can_be_cancelled_and_says_that_nothing_was_written() -> None:
    page = begun(opened(), typed())
    page.take(checking())
    assert form(page).cancel == "Cancel"
    assert outcome(page).headline == "Nothing is written yet."
    assert page.presenter.state.main_refusal == "nothing has been written to a device yet"

    page.presenter.other.moves.stop()
    page.take(kept(JobEnded(2, "set address", JobEndKind.STOPPED, "stopped by the user; what was found stands", 30.0)))

    assert page.commands.stops == 1
    assert outcome(page).headline == "Nothing was written: stopped by the user."
    assert page.presenter.note.words == ""


def test_others_on_the_line_are_named_and_may_stay_when_that_is_ticked() -> None:
    page = begun(opened(), typed())
    given_up = ReaddressEnded(ReaddressEnd.GIVEN_UP, (), "nothing was written: others answer too: 11, 12", 50.0)
    page.take([*checking(), *kept(CompanyLooked(246, (11, 12), 50.0), given_up, ENDED)])

    assert outcome(page).headline == "Nothing was written: others answer too: 11, 12."
    assert [one.words for one in outcome(page).steps] == ["246 other addresses asked: 11, 12 answered"]
    assert form(page).has_company
    begun(page, typed(company=True))

    assert [one.plan.may_have_company for one in page.commands.of(StartReaddress)] == [False, True]


def test_a_supply_that_is_to_be_cycled_is_said_with_the_time_left() -> None:
    page = begun(opened(), typed())

    page.take(waiting(), at_s=75.0)

    assert "take its supply away" in outcome(page).headline
    assert "2:41 left" in outcome(page).headline
    assert "licensed" in outcome(page).headline
    assert form(page).cancel == "Stop waiting"
    assert not outcome(page).steps[-1].is_done
    assert page.presenter.state.sentence == "1 to 45: its supply is to be cycled now, 2:41 left."


def test_f5_looks_again_and_writes_nothing() -> None:
    """While the restart is waited for the job is stopped, then all places are asked."""
    page = begun(opened(), typed())
    page.take(waiting(), at_s=75.0)

    page.presenter.main_action()
    assert page.commands.stops == 1
    page.take(kept(JobEnded(2, "set address", JobEndKind.STOPPED, "stopped", 80.0)))

    (looked,) = [one.plan for one in page.commands.of(LookForMoved)]
    assert looked.places == PLACES
    assert len(page.commands.of(StartReaddress)) == 1
    page.take(
        kept(
            JobStarted(3, "look for it", 81.0),
            PlacesLooked(LookedAfter.AGAIN, PLACES, (NEW,), 85.0),
            ReaddressEnded(ReaddressEnd.MOVED, (NEW,), "the device is at 45 at 4800 8N1; label it now", 85.0),
            JobEnded(3, "look for it", JobEndKind.FINISHED, "", 85.0),
        )
    )
    assert outcome(page).headline == "The device is at 45 at 4800 8N1; label it now."


# After


def test_the_verdict_names_each_place_and_the_moved_device_stays_the_one_that_is_shown() -> None:
    page = begun(opened(), typed())

    page.take(moved(), at_s=60.0)

    rows = [[cell.words for cell in row] for row in outcome(page).rows]
    assert rows == [["1 at 4800 8N1", "silent"], ["45 at 4800 8N1", "answers"]]
    assert form(page).device == "Device 45 at 4800 8N1."
    assert page.presenter.list.profile().name == "soil-probe"
    assert page.presenter.state.sentence == "1 to 45: it is there, at once."


def test_a_moved_device_stands_among_what_was_changed_and_goes_back_by_the_same_job() -> None:
    page = begun(opened(), typed())
    page.take(moved(), at_s=60.0)
    (row,) = page.presenter.state.write.changes
    assert [cell.words for cell in row] == ["Device 1 at 4800 8N1", "1 → 45"]
    assert page.presenter.note.words == "1 not put back"

    page.presenter.show_face(0)
    page.presenter.put_back_row(0)

    state = form(page)
    assert page.presenter.state.face is RegistersFace.MOVE
    assert (state.address, state.writes) == ("1", "100=1")
    assert state.told.startswith("Filled in with what its registers held before.")
    begun(page, typed(address="1", writes="100=1", confirmed="1"))
    plan = page.commands.of(StartReaddress)[-1].plan
    assert (plan.before, plan.after, plan.writes) == (NEW, OLD, (RegisterValue(100, 1),))


def test_a_lost_device_is_said_with_what_to_do_and_cannot_be_put_back() -> None:
    page = begun(opened(), typed())

    page.take(lost(), at_s=60.0)

    assert "search with it alone" in outcome(page).headline
    assert outcome(page).put_back == ""
    assert page.presenter.state.write.changes[0][1].words == "1 → lost"
    page.presenter.put_back_row(0)
    assert form(page).told.startswith("It is not known where this device is")
    assert page.presenter.state.main_refusal == ""


def test_a_stop_behind_the_write_says_to_look_again() -> None:
    page = begun(opened(), typed())

    stopped = JobEnded(2, "set address", JobEndKind.STOPPED, "stopped by the user; so far", 57.0)
    page.take([*written(OLD), *kept(stopped)])

    assert outcome(page).headline.startswith("Broken off behind a write: stopped by the user. Look again")
    assert page.presenter.state.main_refusal == ""
    assert [one.name for one in outcome(page).steps] == [
        "Is it alone?",
        "What it held",
        "Write 100 = 45",
        "Where is it?",
    ]
