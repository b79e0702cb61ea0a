"""Finding a described thing, such as a board or a profile, by the name or title that somebody wrote."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Protocol, TypeVar


class Named(Protocol):
    """What has a name of its file and a title for people."""

    @property
    def name(self) -> str:
        """Of the file, without its ending."""

    @property
    def title(self) -> str:
        """What people call it."""


Thing = TypeVar("Thing", bound=Named)


def thing_named(things: Sequence[Thing], name: str) -> Thing | None:
    """Return the one of a name or title, capitals or not; None if there is none."""
    wanted = " ".join(name.split()).casefold()
    return next((one for one in things if wanted in (one.name.casefold(), one.title.casefold())), None)


def nearest_name(things: Sequence[Named], name: str) -> str:
    """Return the name that is most like what was written; empty if none is."""
    wanted = " ".join(name.split()).casefold()
    near = get_close_matches(wanted, [one.name.casefold() for one in things], 1)
    return near[0] if near else ""
