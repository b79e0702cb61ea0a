"""Profiles stand in the order in which they fit; none is hidden."""

from __future__ import annotations

from buswalk.domain.registers.profile import AnswersWith, HoldsWords, RegisterProfile
from buswalk.domain.registers.profile_fits import Fit, profiles_by_fit
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import Identity

SENSOR = RegisterProfile("sensor", "sensor", (), fingerprint=(AnswersWith("T-RH"),))
METER = RegisterProfile("meter", "meter", (), fingerprint=(AnswersWith("H-2"),))
PLAIN = RegisterProfile("plain", "plain", ())
HOLDS = HoldsWords(Table.HOLDING_REGISTERS, 0, (1,))
WORDS_TOO = RegisterProfile("words-too", "words too", (), fingerprint=(AnswersWith("H-2"), HOLDS))
ALL = (SENSOR, PLAIN, METER)


def names(identity: Identity) -> list[tuple[str, Fit]]:
    return [(one.profile.name, one.fit) for one in profiles_by_fit(ALL, identity)]


def test_what_the_search_recognised_comes_first() -> None:
    assert names(Identity(profiles=("meter",)))[0] == ("meter", Fit.TOLD)


def test_what_a_device_tells_speaks_for_one_and_against_another() -> None:
    told = names(Identity(server_id=b"Example Meters h-2 3.0"))

    assert told == [("meter", Fit.TOLD), ("plain", Fit.NOT_TOLD), ("sensor", Fit.OTHER)]


def test_a_silent_device_leaves_all_in_their_order() -> None:
    assert [name for name, _ in names(Identity())] == ["sensor", "plain", "meter"]


def test_words_that_nobody_read_prove_nothing() -> None:
    (fit,) = profiles_by_fit((WORDS_TOO,), Identity(server_id=b"H-2"))

    assert fit.fit is Fit.NOT_TOLD
