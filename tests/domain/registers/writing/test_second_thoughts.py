"""What is weighed before a second confirmation: the budget of wearing memory, and who takes a broadcast.

100 000 writes are what is quoted for such memory (common practice, no source); at one write a minute they are gone in
69 days, at one in ten minutes in almost two years: 100 000 / 1440 = 69.4 and 694 days.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import OldRead, WriteAnswer, WriteBegun, Written
from buswalk.domain.registers.writing.intended import IntendedWrite, RawPlace, SecondConfirmation
from buswalk.domain.registers.writing.second_thoughts import (
    WearSoFar,
    all_devices_words,
    lasting_words,
    typed_confirmation,
    wear_so_far,
    wear_words,
)
from buswalk.domain.registers.writing.visit_writes import visit_writes
from tests.fakes.asked_site import N81

BEGAN = datetime.fromisoformat("2026-03-04T08:00:00+01:00")
PLACE = IntendedWrite(37, N81, RawPlace(Table.HOLDING_REGISTERS, 5), (21,))


@pytest.mark.parametrize(
    ("every_s", "words"), [(1.0, "27 hours"), (60.0, "69 days"), (600.0, "694 days"), (3600.0, "11 years")]
)
def test_the_budget_lasts_as_long_as_the_rate_so_far_allows(every_s: float, words: str) -> None:
    """Worked by hand: 100 000 s = 27.8 h; 100 000 min = 69.4 d; 1 000 000 min = 694.4 d; 100 000 h = 11.4 years."""
    assert lasting_words(WearSoFar(4, 4 * every_s).life_s) == words


def test_without_a_rate_the_budget_alone_is_said() -> None:
    assert WearSoFar(3, 0.0).life_s == float("inf")
    assert "100 000 writes are quoted" in wear_words(WearSoFar(3, 0.0))
    assert "rate" not in wear_words(WearSoFar(3, 0.0))


def test_writes_of_several_sessions_are_counted_from_the_first_of_them_on() -> None:
    """Refused ones wear nothing."""
    writes = visit_writes(
        [
            (-1, WriteBegun(1, PLACE, OldRead((20,), 3), "x", 30.0)),
            (-1, Written(1, 4, 6, WriteAnswer.CONFIRMED, 0, 30.0)),
            (1, WriteBegun(1, PLACE, OldRead((21,), 5), "x", 10.0)),
            (1, Written(1, 6, 6, WriteAnswer.REFUSED, 4, 10.0)),
            (1, WriteBegun(2, PLACE, OldRead((21,), 7), "x", 20.0)),
        ]
    )
    began = {-1: BEGAN, 1: BEGAN + timedelta(hours=1)}

    wear = wear_so_far(writes, PLACE.target, began, BEGAN + timedelta(hours=1, seconds=60))

    assert wear == WearSoFar(2, 3630.0)
    assert wear_so_far(writes, PLACE.target, {}, BEGAN) == WearSoFar(2, 0.0)


@pytest.mark.parametrize(
    ("known", "begin", "typed"),
    [
        ((), "No device is known here", "all devices"),
        ((21,), "1 device is known here, and it takes it: 21.", "all devices, 1 known"),
        ((11, 21, 56), "3 devices are known here, and all of them take it: 11, 21, 56.", "all 3 devices"),
        (tuple(range(1, 16)), "15 devices are known here", "all 15 devices"),
    ],
)
def test_a_broadcast_names_who_takes_it_and_is_confirmed_by_how_many(
    known: tuple[int, ...], begin: str, typed: str
) -> None:
    assert all_devices_words(known).startswith(begin)
    assert typed_confirmation(SecondConfirmation.ALL_DEVICES, known) == typed
    assert typed_confirmation(SecondConfirmation.WEARS_MEMORY, known) == "wears the memory"


def test_of_many_devices_the_first_are_named_and_the_rest_counted() -> None:
    assert "11, 12 and 3 more. So does any that is not known." in all_devices_words(range(1, 16))
