"""What an adapter forgets when its program says so; line time only."""

from __future__ import annotations

from simulated_line.scenario.reading import load_scenario, named_scenario
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline

# Serial Line V1.02, 6.2.2 for the check sums; computed with a published CRC-16 routine, low byte first.
ASK_21 = bytes.fromhex("15 04 00 00 00 01 32 DE")
ASK_22 = bytes.fromhex("16 04 00 00 00 01 32 ED")
REPLY_BYTES = 7


def site(name: str) -> SimulatedSite:
    return build_site(load_scenario(named_scenario(name)), Timeline())


def test_received_bytes_that_wait_for_their_handover_are_forgotten() -> None:
    """A request of 8 bytes takes 8.3 ms at 9600 baud; within 0.2 s the reply is in, in lumps of 16 ms."""
    one = site("greenhouse")
    line = one.open_line("port", one.scenario.adapter_settings, keep_pace=lambda: None)
    line.write(ASK_21)
    one.timeline.run_until(0.2)

    one.adapter.purge_received()

    assert line.read(0.5) is None


def test_bytes_behind_those_on_the_line_are_not_sent() -> None:
    one = site("greenhouse")
    line = one.open_line("port", one.scenario.adapter_settings, keep_pace=lambda: None)
    line.write(ASK_21)
    line.write(ASK_22)

    one.adapter.purge_waiting()
    one.timeline.run_until(0.5)

    received = b"".join(arrival.data for arrival in line.discard())
    assert received[:1] == ASK_21[:1]
    assert len(received) == REPLY_BYTES
