"""Of whom an answer is expected: in a search a planned device owes one at its own setting only."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import Kept
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Found, Identity
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PlanKept
from buswalk.ui.expected_devices import ExpectedDevices

PLAIN = SerialSettings.of(9600, "8N1")
AS_ASKED = SerialSettings.of(9600, "8N2")
OTHER = SerialSettings.of(19_200, "8E1")
PLAN = PlanKept((PlannedDevice(1, 37, "heat meter", PLAIN), PlannedDevice(2, 38, "pump")), 0.0)
FOUND = Found(
    server_address=56,
    settings=OTHER,
    function=3,
    is_refusal=False,
    answered=2,
    confirmations=2,
    doubts=(),
    identity=Identity(),
    exchange_numbers=(1,),
)


def after(*events: object) -> ExpectedDevices:
    expected = ExpectedDevices()
    for event in events:
        expected.take(Kept(1, event, 0.0))
    return expected


@pytest.mark.parametrize(
    ("server_address", "settings", "is_expected"),
    [
        (37, AS_ASKED, True),
        (37, OTHER, False),
        (38, PLAIN, False),
        (56, OTHER, True),
        (56, PLAIN, False),
        (9, PLAIN, False),
    ],
)
def test_in_a_search_an_answer_is_owed_at_the_own_setting_only(
    server_address: int, settings: SerialSettings, *, is_expected: bool
) -> None:
    expected = after(PLAN, JobStarted(1, "search", 0.0), FOUND)

    assert expected.is_expected(server_address, settings) is is_expected


def test_outside_of_a_search_whoever_is_asked_owes_an_answer() -> None:
    expected = after(PLAN, JobStarted(1, "search", 0.0), JobEnded(1, "search", JobEndKind.FINISHED, "", 9.0))

    assert expected.is_expected(9, OTHER)
