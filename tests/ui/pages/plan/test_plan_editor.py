"""Editing a planned list: every act can be undone, nothing is lost."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.site.planned_list import DraftDevice
from buswalk.ui.pages.plan.plan_editor import PlanColumn, PlanEditor

QUICK = settings(deadline=None, max_examples=60)


def editor(*addresses: str) -> PlanEditor:
    """A list of devices with these addresses, the first one chosen."""
    made = PlanEditor()
    made.replace_all("test", tuple(DraftDevice(address, f"device {address}", "takes any") for address in addresses))
    return made


def addresses(made: PlanEditor) -> list[str]:
    """Addresses in cable order."""
    return [draft.address for draft in made.drafts]


def test_moving_a_row_keeps_it_chosen() -> None:
    made = editor("11", "21", "31")

    made.move(1)

    assert (addresses(made), made.chosen) == (["21", "11", "31"], 1)


def test_a_row_does_not_move_off_the_cable() -> None:
    made = editor("11", "21")

    assert not made.move(-1)
    assert addresses(made) == ["11", "21"]


def test_another_number_in_the_place_moves_the_row() -> None:
    made = editor("11", "21", "31")

    made.edit(0, PlanColumn.PLACE, "3")

    assert addresses(made) == ["21", "31", "11"]


def test_a_new_row_stands_behind_the_chosen_one() -> None:
    made = editor("11", "21")

    made.insert()

    assert (addresses(made), made.chosen) == (["11", "", "21"], 1)


def test_what_cannot_be_read_stays_as_typed() -> None:
    made = editor("11")

    made.edit(0, PlanColumn.SETTING, "fast")

    assert made.drafts[0].setting == "fast"
    assert made.devices[0].settings is None


def test_pasted_rows_fill_an_empty_row() -> None:
    made = editor("11")
    made.insert()

    made.add("paste", (DraftDevice("12"), DraftDevice("13")))

    assert addresses(made) == ["11", "12", "13"]


def test_undoing_says_what_it_takes_back() -> None:
    made = editor("11", "21")
    made.delete()

    assert made.undoes == "delete of place 1"
    assert made.undo()
    assert addresses(made) == ["11", "21"]


ACTS: list[Callable[[PlanEditor], object]] = [
    lambda made: made.insert(),
    lambda made: made.delete(),
    lambda made: made.move(1),
    lambda made: made.move(-1),
    lambda made: made.choose(0),
    lambda made: made.choose(2),
    lambda made: made.edit(made.chosen, PlanColumn.ADDRESS, "77"),
    lambda made: made.edit(made.chosen, PlanColumn.NAME, "x"),
    lambda made: made.add("paste", (DraftDevice("9"),)),
]


@given(st.lists(st.sampled_from(ACTS), max_size=30))
@QUICK
def test_undoing_everything_brings_back_the_first_list(acts: list[Callable[[PlanEditor], object]]) -> None:
    made = editor("11", "21", "31")
    for act in acts:
        act(made)

    while made.undoes not in ("", "test"):
        made.undo()

    assert addresses(made) == ["11", "21", "31"]


@given(st.lists(st.sampled_from(ACTS), max_size=30))
@QUICK
def test_the_chosen_row_is_always_there(acts: list[Callable[[PlanEditor], object]]) -> None:
    made = editor("11", "21")

    for act in acts:
        act(made)

    assert -1 <= made.chosen < len(made.drafts)
