"""Which framing bytes go out in where the program's own cannot be seen."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.attachments.framing_choice import framing_for
from simulated_line.scenario.reading import load_scenario, named_scenario
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline


def site(name: str) -> SimulatedSite:
    return build_site(load_scenario(named_scenario(name)), Timeline())


@pytest.mark.parametrize(
    ("baud_rate", "address", "expected"),
    [(9600, 21, "8N1"), (9600, 51, "8E1"), (19200, 31, "8E1"), (4800, 45, "8N1")],
)
def test_a_device_is_asked_in_its_own_framing(baud_rate: int, address: int, expected: str) -> None:
    """The planned settings of the greenhouse."""
    chosen = framing_for(site("greenhouse"), baud_rate, bytes((address, 3)))

    assert chosen == SerialSettings.of(baud_rate, expected)


@pytest.mark.parametrize("address", [0, 99, 31])
def test_others_are_asked_in_that_of_the_first_device_at_this_speed(address: int) -> None:
    """0 is for all, 99 for nobody, and 31 listens at another speed."""
    chosen = framing_for(site("greenhouse"), 9600, bytes((address, 3)))

    assert chosen == SerialSettings.of(9600, "8N1")


def test_at_a_speed_that_nobody_has_the_usual_framing_stands() -> None:
    chosen = framing_for(site("greenhouse"), 57600, b"\x01\x03")

    assert chosen == SerialSettings.of(57600, "8N1")
