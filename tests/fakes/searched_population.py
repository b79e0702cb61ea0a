"""One device alone on a lead, drawn from the usual population, and how soon a search has its first right reply.

Every moment counts from the begin of the first request. Figures of the population are judgement, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.line_events import ExchangeDone, LateReply
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import MarksSeen
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.search.coverage import Learnt
from buswalk.domain.search.events import SearchMemory, SearchPlan
from buswalk.domain.search.order import ProbeCosts, Step, ordered_steps
from buswalk.domain.search.prior import asked_as, usual_settings
from buswalk.domain.search.probe import Probe, probe_cost_s
from tests.jobs.searching.simulated_search import SimulatedSearch

ADDRESSES = tuple(range(1, 248))
LATENCY_S, CHANGE_S, WAIT_S = 0.001, 0.002, 0.060
PLAN = SearchPlan(addresses=ADDRESSES, settings=usual_settings(), wait_s=WAIT_S, listen_s=0.0)
FUNCTIONS = (1, 3, 4)
REPLY_BYTES = 5
LOOKED_BACK = 40
"""So many requests before the first that reaches the device are asked too: late energy goes back to them."""
NEVER_S = float("inf")


@dataclass(frozen=True, slots=True)
class LoneDevice:
    """A device: where it is, which functions it answers, how soon it begins to."""

    settings: SerialSettings
    server_address: int
    functions: tuple[int, ...]
    turnaround_s: float

    def understands(self, probe: Probe) -> bool:
        """Tell whether a request reaches it and is one that it answers."""
        reached = asked_as(self.settings) in probe.reaches()
        return reached and probe.server_address == self.server_address and probe.function in self.functions


@dataclass(frozen=True, slots=True)
class Timed:
    """A request of an unanswered search: begin and end of its bytes."""

    probe: Probe
    begin_s: float
    end_s: float


def timed_order() -> tuple[Timed, ...]:
    """Return all requests of a quick search that nothing answers, with their times; computed."""
    steps: list[Step] = ordered_steps(ADDRESSES, PLAN.settings, Learnt(), ProbeCosts(WAIT_S + LATENCY_S, CHANGE_S))
    timed: list[Timed] = []
    at_s = 0.0
    for step in steps:
        settings = step.probe.settings
        cost_s = probe_cost_s(settings, WAIT_S + LATENCY_S)
        if timed and settings != timed[-1].probe.settings:
            at_s += CHANGE_S
        timed.append(Timed(step.probe, at_s, at_s + 8 * settings.character_s))
        at_s += cost_s
    return tuple(timed)


def quick_first_reply_s(device: LoneDevice, order: tuple[Timed, ...]) -> float:
    """Return the first byte of the first right reply of a device that begins within the wait; computed.

    A device with parity that answers a request sent without is asked again in its framing: that reply is the right one.
    """
    first = next((one for one in order if device.understands(one.probe)), None)
    if first is None:
        return NEVER_S
    at_s = first.end_s + device.turnaround_s
    framing = asked_as(device.settings)
    if first.probe.settings == framing:
        return at_s
    heard_s = REPLY_BYTES * framing.character_s + inter_frame_delay_s(framing) + LATENCY_S
    return at_s + heard_s + CHANGE_S + 8 * framing.character_s + device.turnaround_s


class SimulatedFirstReply:
    """Runs real searches on the simulated line, each from shortly before the first request that reaches its device."""

    def __init__(self, folder: Path, order: tuple[Timed, ...]) -> None:
        self._path = folder / "lone-device.toml"
        self._order = order

    def first_reply_s(self, device: LoneDevice) -> float:
        """Return when the first byte of the first right reply comes; infinity if the device is not found."""
        reached = [place for place, one in enumerate(self._order) if device.understands(one.probe)]
        begin = max(0, reached[0] - LOOKED_BACK) if reached else len(self._order)
        if begin == len(self._order):
            return NEVER_S
        asked = frozenset(one.probe for one in self._order[:begin])
        self._path.write_text(_scenario(device))
        search = SimulatedSearch(self._path)
        asked_as_number: dict[int, Exchange] = {}
        taken = 0
        for _ in search.job(replace(PLAN, memory=SearchMemory(asked=asked))).run():
            for event in search.line_events[taken:]:
                if isinstance(event, ExchangeDone):
                    asked_as_number[event.exchange.number] = event.exchange
                at_s = _right_reply_s(event, device, asked_as_number)
                if at_s is not None:
                    return self._order[begin].begin_s + at_s
            taken = len(search.line_events)
        return NEVER_S


def _right_reply_s(event: object, device: LoneDevice, asked: dict[int, Exchange]) -> float | None:
    """A late reply is right if it was heard in the framing of the device: then it came without marks."""
    match event:
        case ExchangeDone(exchange) if _is_right(exchange, device):
            return exchange.arrivals[0].not_after_s - _bytes_s(exchange.arrivals[0], exchange.settings)
        case LateReply(adu=adu, exchange_numbers=numbers, at_s=at_s) if adu[0] == device.server_address and any(
            asked_as(device.settings) == asked[one].settings for one in numbers
        ):
            return at_s - REPLY_BYTES * device.settings.character_s
        case _:
            return None


def _is_right(exchange: Exchange, device: LoneDevice) -> bool:
    return (
        exchange.server_address == device.server_address
        and isinstance(exchange.outcome, NormalReply | ExceptionReply)
        and not any(isinstance(one, MarksSeen) for one in exchange.observations)
    )


def _bytes_s(arrival: Arrival, settings: SerialSettings) -> float:
    return len(arrival.data) * settings.character_s + LATENCY_S


def _scenario(device: LoneDevice) -> str:
    return (
        'name = "lone-device"\nstory = "drawn"\n'
        f'[[device]]\nname = "device"\naddress = {device.server_address}\nsettings = "{device.settings}"\n'
        f"place = 1\nmetres = 1.0\n[device.habits]\nfunctions = {list(device.functions)}\n"
        'unknown_function = "silence"\n'
        f"turnaround = {{ least_s = {device.turnaround_s}, median_s = {device.turnaround_s} }}\n"
    )
