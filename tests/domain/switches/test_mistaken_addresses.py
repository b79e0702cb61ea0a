"""Where the search looks early for planned devices; images by hand: 37 is levers 1, 3 and 6 of eight, 0010 0101."""

from __future__ import annotations

import pytest

from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.mistaken_addresses import mistaken_addresses
from tests.fakes.switch_boards import plain, shipped_boards

EIGHT = plain(8)
LIBRARY = BoardLibrary((EIGHT,), frozenset(), ())
READ_FROM_OTHER_END, ON_TAKEN_AS_OFF, UPSIDE_DOWN = 0b1010_0100, 0b1101_1010, 0b0101_1011


def device(address: int, board: str = "", place: int = 1) -> PlannedDevice:
    return PlannedDevice(place, address, f"device {address}", board=board)


def test_a_device_may_be_where_its_switches_lead_if_read_wrongly() -> None:
    mistaken = dict(mistaken_addresses([device(37, EIGHT.name)], LIBRARY))

    assert {READ_FROM_OTHER_END, ON_TAKEN_AS_OFF, UPSIDE_DOWN} <= mistaken.keys()
    assert next(iter(mistaken)) == READ_FROM_OTHER_END
    assert 37 not in mistaken
    assert sum(mistaken.values()) == pytest.approx(1.0)


def test_every_device_counts_alike_and_those_without_a_board_add_nothing() -> None:
    alone = dict(mistaken_addresses([device(37, EIGHT.name)], LIBRARY))
    beside = dict(mistaken_addresses([device(37, EIGHT.name), device(9), device(8, "nobody's", 2)], LIBRARY))

    assert beside == pytest.approx({address: share / 3 for address, share in alone.items() if address not in (8, 9)})
    assert mistaken_addresses([device(9)], LIBRARY) == ()


def test_another_planned_address_is_asked_anyway() -> None:
    planned = [device(37, EIGHT.name), device(READ_FROM_OTHER_END, "", 2)]

    assert READ_FROM_OTHER_END not in dict(mistaken_addresses(planned, LIBRARY))


def test_every_shipped_board_leads_to_addresses_of_servers() -> None:
    boards = shipped_boards()
    library = BoardLibrary(boards, frozenset(), ())

    for board in boards:
        mistaken = mistaken_addresses([device(12, board.name)], library)
        assert all(1 <= address <= 247 and share > 0.0 for address, share in mistaken)
