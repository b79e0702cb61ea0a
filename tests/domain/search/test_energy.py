"""What a search does about bytes that no request explains."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.search.energy import (
    CHATTERS_AFTER_REQUESTS,
    CHATTERS_AFTER_S,
    FRUITLESS_HOLDS,
    LOOKED_AT,
    LOUD_AMONG_THEM,
    LOUD_IN_A_ROW,
    ChatterJudge,
    EnergyJudge,
    Reaction,
)


def test_on_a_quiet_line_energy_is_worth_holding_still() -> None:
    judge = EnergyJudge(is_living=False)

    assert judge.was_loud() is Reaction.HOLD_STILL
    assert not judge.is_restless


def test_on_a_living_line_only_what_was_just_asked_is_asked_again() -> None:
    judge = EnergyJudge(is_living=True)

    assert judge.was_loud() is Reaction.ASK_AGAIN
    assert judge.is_restless


def test_holds_that_find_nothing_make_a_line_restless() -> None:
    judge = EnergyJudge(is_living=False)
    for _ in range(FRUITLESS_HOLDS):
        judge.was_loud()
        judge.was_quiet()

    assert judge.was_loud() is Reaction.ASK_AGAIN


def test_a_find_makes_holding_still_worth_it_again() -> None:
    judge = EnergyJudge(is_living=False)
    for _ in range(FRUITLESS_HOLDS):
        judge.was_loud()
    judge.found_something()

    assert judge.was_loud() is Reaction.HOLD_STILL


def test_bytes_after_every_request_end_the_search() -> None:
    judge = EnergyJudge(is_living=True)
    reactions = [judge.was_loud() for _ in range(LOUD_IN_A_ROW)]

    assert reactions == [Reaction.ASK_AGAIN] * (LOUD_IN_A_ROW - 1) + [Reaction.GIVE_UP]


@given(st.lists(st.booleans(), max_size=200))
def test_giving_up_takes_as_many_loud_requests_as_it_says(is_loud: list[bool]) -> None:
    judge = EnergyJudge(is_living=False)
    for at, loud in enumerate(is_loud):
        if not loud:
            judge.was_quiet()
            continue
        gives_up = judge.was_loud() is Reaction.GIVE_UP
        so_far = is_loud[: at + 1]
        in_a_row = len(so_far) >= LOUD_IN_A_ROW and all(so_far[-LOUD_IN_A_ROW:])
        assert gives_up is (in_a_row or sum(so_far[-LOOKED_AT:]) >= LOUD_AMONG_THEM)


def test_a_line_that_is_loud_three_times_in_four_is_given_up() -> None:
    judge = EnergyJudge(is_living=True)
    reactions: list[Reaction] = []
    for _ in range(10):
        reactions += [judge.was_loud(), judge.was_loud(), judge.was_loud()]
        judge.was_quiet()

    assert reactions[-1] is Reaction.GIVE_UP
    assert Reaction.GIVE_UP not in reactions[:-1]


def test_a_line_that_is_loud_every_second_time_is_searched_to_the_end() -> None:
    judge = EnergyJudge(is_living=True)
    reactions: list[Reaction] = []
    for _ in range(200):
        reactions.append(judge.was_loud())
        judge.was_quiet()

    assert set(reactions) == {Reaction.ASK_AGAIN}


def test_a_line_chatters_after_enough_requests_and_enough_time() -> None:
    """Few requests, or many within a short time, are no chatter yet."""
    few, quick, chatter = ChatterJudge(), ChatterJudge(), ChatterJudge()
    for at in range(CHATTERS_AFTER_REQUESTS):
        quick.was_loud(at * 0.1)
        chatter.was_loud(at * CHATTERS_AFTER_S / (CHATTERS_AFTER_REQUESTS - 1))
    for at in range(CHATTERS_AFTER_REQUESTS - 1):
        few.was_loud(at * CHATTERS_AFTER_S)

    assert [one.is_chattering for one in (few, quick, chatter)] == [False, False, True]
    assert not chatter.is_without_end


def test_one_silence_ends_a_chatter() -> None:
    judge = ChatterJudge()
    for at in range(LOUD_IN_A_ROW):
        judge.was_loud(at * 10.0)
    had_no_end = judge.is_without_end

    judge.was_quiet()

    assert had_no_end
    assert (judge.is_chattering, judge.is_without_end, judge.requests, judge.seconds) == (False, False, 0, 0.0)
