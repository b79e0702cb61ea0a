"""Does a plan hold together."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.plan_check import DoubledAddress, check_plan
from buswalk.domain.site.planned_device import PlannedDevice

SLOW, FAST = SerialSettings.of(9600, "8N1"), SerialSettings.of(19200, "8E1")


def test_doubled_addresses_missing_settings_and_mixed_settings_are_seen() -> None:
    devices = (
        PlannedDevice(1, 11, "a", SLOW),
        PlannedDevice(2, 14, "b"),
        PlannedDevice(3, 11, "c", FAST),
        PlannedDevice(4, 12, "d", SLOW),
    )

    check = check_plan(devices)

    assert check.checked == 4
    assert check.doubled == (DoubledAddress(11, (1, 3)),)
    assert check.without_setting == (2,)
    assert check.settings == (SLOW, FAST)


def test_nothing_is_wrong_with_an_empty_plan() -> None:
    check = check_plan(())

    assert (check.checked, check.doubled, check.without_setting, check.settings) == (0, (), (), ())
