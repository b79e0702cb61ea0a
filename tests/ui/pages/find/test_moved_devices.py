"""Found devices that were set to another address or speed: where they stand then, and what is said of them."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import (
    LookedAfter,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnd,
    ReaddressEnded,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.registers.writing.events import WriteAnswer
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.search_state import Act, FoundRow
from buswalk.ui.tones import Tone
from tests.ui.pages.find.find_stage import FindStage, greenhouse

SLOW = SerialSettings.of(4800, "8N1")
OLD, NEW = Reach(1, SLOW), Reach(45, SLOW)
WRITE = RegisterValue(100, 45)


def moved(*answered: Reach) -> FindStage:
    """The soil probe, found at 1, was to be moved to 45, where it is planned."""
    stage = greenhouse()
    return stage.keep(
        ReaddressBegun(OLD, NEW, (WRITE,), "as planned", 500.0),
        SettingWritten(OLD, WRITE, 900, WriteAnswer.CONFIRMED, 0, 501.0),
        PlacesLooked(LookedAfter.WRITING, (OLD, NEW), answered, 502.0),
        ReaddressEnded(ReaddressEnd.MOVED_AT_ONCE, answered, "it was looked for; label it now", 502.0),
        at_s=502.0,
    )


def rows(stage: FindStage) -> dict[int, FoundRow]:
    return {one.address: one for one in stage.search.state.found.rows}


def test_a_moved_device_stands_at_its_new_address_as_planned() -> None:
    stage = moved(NEW)

    found = rows(stage)
    assert 1 not in found
    assert (found[45].setting, found[45].doubt, found[45].doubt_tone) == ("4800 no parity", "moved from 1", Tone.INK2)
    assert found[45].state is AddressState.ANSWERED
    assert stage.search.board.state_of(1) is AddressState.SILENT


def test_its_details_say_what_came_of_the_write() -> None:
    stage = moved(NEW)

    stage.search.open_details(45)

    details = stage.search.state.details
    assert details is not None
    assert "It was written to: it was looked for; label it now." in details.facts


def test_a_device_that_waits_for_a_restart_is_in_doubt_where_it_is() -> None:
    found = rows(moved(OLD))[1]

    assert (found.doubt, found.doubt_tone) == ("may yet move", Tone.DOUBT)
    assert "45 at 4800 8N1" in found.doubt_spoken


def test_a_lost_device_stays_in_the_list_as_lost() -> None:
    found = rows(moved())[1]

    assert (found.doubt, found.doubt_tone) == ("lost when moved", Tone.DOUBT)


def test_where_both_places_answer_both_are_doubtful() -> None:
    assert rows(moved(OLD, NEW))[1].doubt == "several answer"


def test_details_lead_to_the_guided_job() -> None:
    stage = greenhouse()
    stage.search.open_details(1)

    details = stage.search.state.details
    assert details is not None
    assert details.move is not None
    assert (details.move.act, details.move.key, details.move.address) == (Act.MOVE, "F2", 1)
    stage.search.open_details(2)
    assert stage.search.state.details is not None
    assert stage.search.state.details.move is None
