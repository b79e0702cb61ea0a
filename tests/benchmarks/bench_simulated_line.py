"""How fast the simulated line runs: one process, 20 devices, 9600 baud, reads of ten registers."""

from __future__ import annotations

import time
from collections.abc import Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from simulated_line.scenario.model import ScenarioFile
from simulated_line.site import build_site
from simulated_line.timeline import Timeline
from tests.benchmarks.figure import Figure

DEVICES = 20
EXCHANGES = 1500
REPLY_BYTES = 25
TIMEOUT_S = 0.06
SETTINGS = SerialSettings.of(9600, "8N1")
ABSENT = 99
PEER = "the wire itself"


def figures() -> Iterator[Figure]:
    """Yield real seconds per silent probe, and line time over real time, clean and faulty."""
    silent_s, _ = _run(_scenario({}), ABSENT)
    yield Figure("simulated_line", "silent_probe_s", silent_s, "s")
    _, times = _run(_scenario({}), 1)
    yield Figure("simulated_line", "times_wire_speed", times, "x", PEER, 1.0, more_is_better=True)
    names = [f"device {number}" for number in range(1, DEVICES + 1)]
    faulty = {"bit_error_rate": 1e-4, "biased": False, "glitches": {"before": 1.0, "after": 0.5, "devices": names}}
    _, times = _run(_scenario(faulty), 1)
    yield Figure("simulated_line", "times_wire_speed_faulty", times, "x", PEER, 1.0, more_is_better=True)


def _scenario(line: dict[str, object]) -> ScenarioFile:
    devices = [
        {
            "name": f"device {number}",
            "address": number,
            "settings": "9600 8N1",
            "place": number,
            "metres": 10.0 * number,
        }
        for number in range(1, DEVICES + 1)
    ]
    return ScenarioFile.model_validate({"name": "bench", "story": "twenty devices", "line": line, "device": devices})


def _run(scenario: ScenarioFile, address: int) -> tuple[float, float]:
    """Return real seconds per exchange, and line time over real time."""
    site = build_site(scenario, Timeline())
    line = site.open_line("bench", SETTINGS, keep_pace=lambda: None)
    request = build_adu(address, ReadHoldingRegisters(0, 10).pdu())
    began_s = time.perf_counter()
    for _ in range(EXCHANGES):
        until_s = line.write(request).end_not_after_s + TIMEOUT_S
        received = 0
        while received < REPLY_BYTES and (arrival := line.read(until_s)) is not None:
            received += len(arrival.data)
        site.timeline.run_until(site.timeline.now_s() + 0.004)
    real_s = time.perf_counter() - began_s
    return real_s / EXCHANGES, site.timeline.now_s() / real_s
