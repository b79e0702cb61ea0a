"""What places on the cable say of quiet devices; drawn by hand, a pair in a chain from the client (Serial Line 3.1)."""

from __future__ import annotations

import pytest

from buswalk.domain.presence.cable_cut import (
    Apart,
    BehindCut,
    CableCut,
    NoneQuiet,
    OnlyOne,
    Together,
    WholeLine,
    cable_cut,
)

ORDER = (11, 21, 22, 31, 41, 51, 56, 23, 24, 32, 1)
"""24 was silent from the beginning: it tells nothing."""
ALL = frozenset(ORDER) - {24}


@pytest.mark.parametrize(
    ("quiet", "says"),
    [
        ({23, 32, 1}, BehindCut(56, 23, 3)),
        ({1}, BehindCut(32, 1, 1)),
        ({31}, OnlyOne(31, 41)),
        ({32}, OnlyOne(32, 1)),
        ({21, 22}, Together((21, 22), 31)),
        ({23, 32}, Together((23, 32), 1)),
        ({21, 41}, Apart()),
        (set(ALL), WholeLine()),
        (set(), NoneQuiet()),
        ({99}, NoneQuiet()),
    ],
)
def test_places_tell_where_to_look(quiet: set[int], says: CableCut) -> None:
    assert cable_cut(ORDER, ALL - quiet, quiet) == says
