"""`quiet`: who answers, who went quiet, with which status it ends."""

from __future__ import annotations

import pytest

from tests.fakes.command_in_process import Ran, ran


def watched(port: str, rest: str) -> Ran:
    return ran(*f"quiet --clock virtual {rest} --port demo:{port}".split())


def test_the_planned_list_of_the_line_is_asked_in_the_order_of_its_cable() -> None:
    """On the first day 14 sits at 56, 24 has no supply, 45 is still at 1 as delivered."""
    ended = watched("greenhouse-first-day", "--seconds 20 --alone --json")

    (base,) = [one for one in ended.events if one["event"] == "presence_base"]
    rounds = [one for one in ended.events if one["event"] == "presence_round"]
    assert ended.status == 0
    assert set(base["silent"]) == {14, 24, 45}
    assert set(base["answering"]) == {11, 21, 22, 23, 31, 32, 41, 51}
    assert base["answering"][0] == 11
    assert all(one["took_s"] < 5.0 for one in rounds)
    assert ended.kinds[0] == "started"
    assert ended.kinds[-1] == "recorded"


def test_in_words_it_says_the_base_and_how_it_stands_at_the_end() -> None:
    ended = watched("greenhouse", "--seconds 10 --alone --address 21-23")

    base, end = ended.out.splitlines()
    assert base[8:] == "  base: 3 answer: 21, 22, 23"
    assert end.startswith("3 answer, 0 quiet; a round takes ")


def test_a_contact_that_opens_shows_who_goes_quiet() -> None:
    """Behind place 0 the pair is open for 2 s of each 8 s: long enough for two rounds of one device."""
    ended = watched("loose-contact", "--seconds 40 --alone --address 37 --json")

    kinds = [one for one in ended.kinds if one in ("went_quiet", "came_back")]
    assert kinds[:4] == ["went_quiet", "came_back", "went_quiet", "came_back"]


@pytest.mark.parametrize(
    ("port", "rest", "status"),
    [
        ("greenhouse", "--seconds 5 --alone --address 99", 1),
        ("another-client", "--seconds 30 --address 37", 1),
        ("another-client", "--seconds 30 --address 37 --live-line", 0),
        ("no-device", "--seconds 5", 2),
        ("greenhouse", "--seconds 5 --address 248", 2),
    ],
)
def test_what_else_can_come_of_it(port: str, rest: str, status: int) -> None:
    ended = watched(port, rest)

    assert ended.status == status
    assert "Traceback" not in ended.out + ended.err


def test_a_living_line_is_not_asked() -> None:
    ended = watched("another-client", "--seconds 30 --address 37")

    assert "nothing was asked; --live-line asks all the same" in ended.out
