"""Devices that a search has found, after one of them was moved: those who keep lists of them take it from here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.plan import Reach, is_one_place
from buswalk.domain.search.events import Found
from buswalk.domain.search.prior import asked_as


def moved(found: Found, looked: PlacesLooked) -> Found:
    """Return a found device where it is after a look: elsewhere if one of these places was its and one other answers.

    Where none answers, or several do, it is not known where it is: it stays in the list as it was found.
    """
    here = Reach(found.server_address, found.settings)
    if len(looked.answered) != 1 or not any(is_one_place(here, one) for one in looked.asked):
        return found
    (now,) = looked.answered
    if is_one_place(here, now):
        return found
    return replace(found, server_address=now.server_address, settings=asked_as(now.settings))


def all_moved(found: Iterable[Found], looked: PlacesLooked) -> tuple[Found, ...]:
    """Return all of them, in order, each where it is after a look."""
    return tuple(moved(one, looked) for one in found)
