"""What a device tells excludes types, or speaks for them."""

from __future__ import annotations

import pytest

from buswalk.domain.registers.fingerprint import KnownType, known_types, not_excluded
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import AnswersWith, HoldsWords, RegisterProfile
from buswalk.domain.registers.tables import Table

POINT = Point("level", Table.INPUT_REGISTERS, 0)
WORDS = HoldsWords(Table.HOLDING_REGISTERS, 40000, (0x5375, 0x6E53))
METER = KnownType("meter", ("Example", "H-2"))
STATION = KnownType("station", (), (WORDS,))
BOTH = KnownType("both", ("Example",), (WORDS,))


def test_only_profiles_with_a_fingerprint_are_known_by_one() -> None:
    plain = RegisterProfile("plain", "plain", (POINT,))
    station = RegisterProfile("both", "both", (POINT,), fingerprint=(AnswersWith("Example"), WORDS))

    assert known_types([plain, station]) == (BOTH,)
    with pytest.raises(ValueError, match="in every device"):
        KnownType("all")


@pytest.mark.parametrize(
    ("told", "left"),
    [
        (["Example Meters", "h-2"], [METER, BOTH]),
        (["Example Meters"], [BOTH]),
        (["H-2"], [STATION]),
        ([], [STATION]),
    ],
)
def test_every_text_must_be_told_and_what_is_told_spares_reading(told: list[str], left: list[KnownType]) -> None:
    assert list(not_excluded([METER, STATION, BOTH], told)) == left
