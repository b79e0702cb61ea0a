"""The details of one address: every exchange of a real stream with its bytes, older ones read from elsewhere."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from buswalk.bus.messages import Kept
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ForeignReply
from buswalk.domain.visit.session_events import JobEnded
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.details_presenter import DetailsPresenter, DetailsSources
from buswalk.ui.pages.find.exchange_shelf import ExchangeShelf, OlderRead, OlderWanted
from buswalk.ui.pages.find.search_state import Act
from tests.ui.pages.find.find_stage import GREENHOUSE_PLAN, WALL_TIME, FindStage, greenhouse_stream, until


def exchanges(address: int) -> tuple[Exchange, ...]:
    """All exchanges of one address in the greenhouse."""
    events = [item.event for item in greenhouse_stream() if isinstance(item, Kept)]
    done = [event.exchange for event in events if isinstance(event, ExchangeDone)]
    return tuple(one for one in done if one.server_address == address)


def stage() -> FindStage:
    return FindStage().searching(GREENHOUSE_PLAN).play(until(greenhouse_stream(), JobEnded))


class SlowRecord:
    """Keeps what was wanted until the test lets it be read."""

    def __init__(self) -> None:
        self.wanted: list[OlderWanted] = []
        self.deliver: list[Callable[[OlderRead], None]] = []

    def __call__(self, wanted: OlderWanted, deliver: Callable[[OlderRead], None]) -> None:
        self.wanted.append(wanted)
        self.deliver.append(deliver)


def shelved(address: int, kept_each: int, older: SlowRecord | None = None) -> DetailsPresenter:
    shelf = ExchangeShelf(kept_each)
    for one in exchanges(address):
        shelf.take(one)
    details = DetailsPresenter(DetailsSources(stage().search.board, shelf, older))
    details.open(address)
    return details


def test_without_an_address_there_are_none() -> None:
    assert stage().search.state.details is None


def test_every_exchange_of_the_address_is_there() -> None:
    """11 finds the speed by itself: it is silent at first, and stays where it hears good frames."""
    search = stage().search

    search.open_details(11)

    details = search.state.details
    assert details is not None
    assert details.title == "11, controller of bay 1"
    assert len(details.exchanges) == len(exchanges(11))
    assert details.exchanges_title == f"Exchanges: {len(exchanges(11))}"
    assert {row.kind for row in details.exchanges} >= {OutcomeKind.NO_REPLY, OutcomeKind.ANSWERED}
    assert details.exchanges[details.chosen].kind is OutcomeKind.ANSWERED
    assert details.exchanges[details.chosen].turnaround.endswith(" ms")
    assert details.exchanges[0].when.startswith("09:15:1")
    assert "Answers at 4800 no parity: 2 of 2 further questions answered." in details.facts
    assert "Vendor name: Example Controls." in details.facts


def test_the_chosen_exchange_shows_each_byte_with_its_meaning() -> None:
    """21 = 0x15 is asked for one holding register at 0 (Application V1.1b3, 6.3): 15 03 00 00 00 01 and its CRC."""
    details = shelved(21, 500)
    answered = next(one for one in exchanges(21) if one.request.function_code == 3 and len(one.received) == 7)
    details.choose(answered.number)

    state = details.state(WALL_TIME)

    assert state is not None
    sent = [(row.data, row.meaning) for row in state.byte_rows if not row.is_received]
    came = [(row.data, row.meaning) for row in state.byte_rows if row.is_received]
    assert sent[:4] == [
        ("15", "server address 21"),
        ("03", "function 03, read holding registers"),
        ("00 00", "from register 0 (0x0000)"),
        ("00 01", "quantity 1"),
    ]
    assert sent[4][1] == "CRC, right"
    assert [row[1] for row in came[:3]] == ["server address 21", "function 03, read holding registers", "byte count 2"]
    assert came[-1][1] == "CRC, right"
    assert state.copied_bytes.startswith("sent      15 03 00 00 00 01 ")
    assert "\ncame back 15 03 02 " in state.copied_bytes


def test_an_address_where_nothing_was_asked_says_so() -> None:
    search = stage().search

    search.open_details(200)

    details = search.state.details
    assert details is not None
    assert details.exchanges == ()
    assert details.byte_rows == ()
    assert details.facts == ("Nothing has answered at this address.",)


def test_closing_brings_the_list_back() -> None:
    search = stage().search
    search.open_details(11)
    details = search.state.details
    assert details is not None

    search.act(details.ping)
    search.close_details()

    assert search.state.details is None


def test_what_went_from_the_shelf_is_offered_from_the_record() -> None:
    record = SlowRecord()
    details = shelved(11, 5, record)
    before = details.state(WALL_TIME)
    assert before is not None

    details.read_older()
    waiting = details.state(WALL_TIME)
    kept = exchanges(11)
    record.deliver[0](OlderRead(kept[-8:-5]))
    after = details.state(WALL_TIME)

    assert before.older is not None
    assert before.older.act is Act.OLDER
    assert record.wanted == [OlderWanted(11, kept[-5].number)]
    assert waiting is not None
    assert waiting.older is not None
    assert waiting.older.refusal == "They are being read."
    assert after is not None
    assert [row.number for row in after.exchanges] == [one.number for one in kept[-8:]]


def test_the_end_of_the_record_ends_the_offer() -> None:
    record = SlowRecord()
    details = shelved(11, 5, record)

    details.read_older()
    record.deliver[0](OlderRead(()))

    state = details.state(WALL_TIME)
    assert state is not None
    assert state.older is None


def test_a_record_that_cannot_be_read_is_said() -> None:
    record = SlowRecord()
    details = shelved(11, 5, record)

    details.read_older()
    record.deliver[0](OlderRead((), "the file is damaged there"))

    state = details.state(WALL_TIME)
    assert state is not None
    assert state.older_words == "Older ones cannot be read: the file is damaged there."


def test_what_is_read_for_an_address_that_is_closed_again_is_dropped() -> None:
    record = SlowRecord()
    details = shelved(11, 5, record)
    details.read_older()
    details.open(21)

    record.deliver[0](OlderRead(exchanges(11)[:2]))

    state = details.state(WALL_TIME)
    assert state is not None
    assert state.exchanges == ()


@pytest.mark.parametrize("kept_each", [5, 500])
def test_the_shelf_keeps_the_last_ones_and_counts_them_all(kept_each: int) -> None:
    shelf = ExchangeShelf(kept_each)
    every = exchanges(11)

    for one in every:
        shelf.take(one)

    assert shelf.of(11).exchanges == every[-kept_each:]
    assert shelf.of(11).is_whole is (kept_each == 500)
    assert shelf.count(11) == len(every)


def test_what_it_answered_in_place_of_another_is_there_with_whom_was_asked() -> None:
    """51 is slow: its answer comes while another address is already asked."""
    events = [item.event for item in greenhouse_stream() if isinstance(item, Kept)]
    done = [event.exchange for event in events if isinstance(event, ExchangeDone)]
    for_others = [one for one in done if isinstance(one.outcome, ForeignReply) and one.outcome.server_address == 51]
    search = stage().search

    search.open_details(51)

    details = search.state.details
    assert details is not None
    assert for_others
    shown = {row.number: row.came_back for row in details.exchanges}
    for one in for_others:
        assert shown[one.number] == f"in place of {one.server_address}"
    assert not any(shown[one.number].startswith("in place") for one in exchanges(51))
