"""An adapter behind a port without framing hears each device in the device's own."""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival, LineMark
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.scenario.reading import load_scenario, named_scenario
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline
from tests.fakes.answering_line import with_check_sum

EVEN = SerialSettings.of(9600, "8E1")
NO_PARITY = SerialSettings.of(9600, "8N1")
ASK_51 = with_check_sum(bytes.fromhex("33 03 00 00 00 01"))


def received_after_a_change_in_mid_exchange(site: SimulatedSite) -> tuple[Arrival, ...]:
    """Ask 51, which has even parity, and go to no parity before it answers."""
    line = site.open_line("port", EVEN, keep_pace=lambda: None)
    line.write(ASK_51)
    line.apply(NO_PARITY)
    site.timeline.run_until(2.0)
    return line.discard()


def greenhouse() -> SimulatedSite:
    return build_site(load_scenario(named_scenario("greenhouse")), Timeline())


def test_an_adapter_that_follows_hears_a_device_of_another_framing() -> None:
    site = greenhouse()
    site.adapter.follow_framing()

    received = received_after_a_change_in_mid_exchange(site)

    data = b"".join(arrival.data for arrival in received)
    assert data[0] == 51
    assert with_check_sum(data[:-2]) == data
    assert not any(arrival.marks for arrival in received)


def test_an_adapter_that_does_not_follow_hears_damage() -> None:
    """The counter-check: bytes with an even number of ones have a parity bit of 0 where a stop bit is due."""
    received = received_after_a_change_in_mid_exchange(greenhouse())

    marks = [mark.mark for arrival in received for mark in arrival.marks]
    assert LineMark.FRAMING_ERROR in marks
