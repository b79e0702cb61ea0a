"""A served line whose adapter is held or unplugged: dead for a while, and no end of the program that serves it."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.arrival import Mark
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.attachments.peer import Act, Send
from simulated_line.attachments.real_time import RealTimeSite
from tests.fakes.asked_site import EXAMPLE, N81, written_site

REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
GOOD = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
STEPS = 400


class KeptPeer:
    """A program that asks when it is told to and keeps what it gets."""

    name = "kept"
    carries_framing = True

    def __init__(self) -> None:
        self.to_do: list[Act] = []
        self.received = b""

    def settings(self) -> SerialSettings:
        return N81

    def descriptors(self) -> list[int]:
        return []

    def acts(self) -> tuple[Act, ...]:
        acts, self.to_do = tuple(self.to_do), []
        return acts

    def deliver(self, data: bytes, marks: tuple[Mark, ...]) -> None:
        self.received += data

    def close(self) -> None:
        """Nothing is open."""


@pytest.mark.parametrize(
    "adapter",
    ["unplugged_from_s = 0.0\nback_after_s = 0.1\nback_as = 'again'\n", "busy_until_s = 0.1\n"],
    ids=["unplugged", "held"],
)
def test_what_is_sent_meanwhile_goes_nowhere_and_later_it_is_answered(tmp_path: Path, adapter: str) -> None:
    site = written_site(tmp_path, f"[adapter]\n{adapter}{EXAMPLE}")
    peer = KeptPeer()
    running = RealTimeSite(site, peer)
    peer.to_do.append(Send(REQUEST))
    while site.timeline.now_s() < 0.11:
        running.step(0.02)
    meanwhile = peer.received

    peer.to_do.append(Send(REQUEST))
    for _ in range(STEPS):
        running.step(0.02)
        if len(peer.received) >= len(GOOD):
            break

    assert meanwhile == b""
    assert peer.received == GOOD
    assert site.devices["example"].answerer.counters.server_messages == 1
