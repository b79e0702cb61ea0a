"""What answers is explained by the switches of what is planned and silent."""

from __future__ import annotations

from pathlib import Path

from buswalk.bus.messages import Batch, StreamItem
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept
from buswalk.plan_in_use import PlanInUse
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger
from tests.fakes.told_line import USUAL, copper_opened, found, kept

BAY_1 = PlannedDevice(1, 11, "controller, bay 1", USUAL, "levers-7-line-end", "bay 1")
BAY_2 = PlannedDevice(2, 14, "controller, bay 2", USUAL, "levers-7-line-end", "bay 2")


def batch(*items: StreamItem) -> Batch:
    return Batch(4.0, 1.0, is_walking=True, items=items)


def in_use(folder: Path) -> PlanInUse:
    """On a line where 11 answers as planned, and 56 in place of 14."""
    plan = PlanInUse(str(folder), lambda: True)
    plan.take(batch(*copper_opened(), *kept(PlanKept((BAY_1, BAY_2), 0.0), found(11), found(56))))
    return plan


def test_find_offers_the_switches_that_explain_a_stranger(tmp_path: Path) -> None:
    plan = in_use(tmp_path)

    explained = plan.explained()

    assert explained == ExplainedStranger("controller, bay 2", 14, 56)


def test_what_answers_next_is_looked_at_anew(tmp_path: Path) -> None:
    plan = in_use(tmp_path)
    plan.explained()

    plan.take(batch(*kept(found(14))))

    assert plan.explained() is None
