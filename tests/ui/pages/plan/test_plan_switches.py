"""F7 on the page Plan: whose switches are shown, and what is said where that cannot be."""

from __future__ import annotations

from tests.ui.pages.plan.test_plan_presenter import DEVICES, planned


def test_the_switches_of_the_chosen_row_are_shown() -> None:
    bench = planned(*DEVICES)
    bench.page.choose(1)

    bench.page.to_switches()

    assert bench.switched == [DEVICES[1]]


def test_without_a_row_or_an_address_it_is_said_what_is_missing() -> None:
    bench = planned(*DEVICES)

    bench.page.choose(-1)
    bench.page.to_switches()
    without_row = bench.page.state.told
    bench.page.insert()
    bench.page.to_switches()

    assert without_row == "Choose a row first: its switches are shown then."
    assert bench.page.state.told == "This row has no address yet: write one, and its switches can be shown."
    assert bench.switched == []
