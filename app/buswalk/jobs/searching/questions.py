"""Asks for a search, and keeps in its ledger what was asked; also asks where nobody should be."""

from __future__ import annotations

from collections import deque

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, ForeignReply, NormalReply, UnexpectedReply
from buswalk.domain.search.events import AnswersEverywhere, SearchPlan
from buswalk.domain.search.probe import Probe, ProbeFunction
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.controls import UNLIKELY_ADDRESSES, control_addresses
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.ledger import Ledger
from buswalk.jobs.searching.patience import Patience
from buswalk.jobs.searching.reading_replies import is_damaged, is_loud, request_ended_s

HEARD_KEPT = 64


class Questions:
    """What all parts of one search share: whom they ask, what they know, how patient they are."""

    def __init__(self, asker: Asker, evidence: Evidence, plan: SearchPlan) -> None:
        self.asker = asker
        self.evidence = evidence
        self.plan = plan
        self.ledger = Ledger(plan.memory)
        self.patience = Patience(plan)
        self.heard: deque[Arrival] = deque(maxlen=HEARD_KEPT)

    def ask(self, probe: Probe, timing: AskTiming) -> Exchange:
        """Ask; until something is made of what came, the probe counts as still awaited."""
        self.asker.use_settings(probe.settings)
        self.ledger.asks(probe)
        exchange = self.asker.ask(probe.server_address, probe.request(), timing)
        self.heard.extend(exchange.arrivals)
        self.ledger.has_asked(probe, request_ended_s(exchange), self.asker.clock.now_s())
        return exchange

    def listen_for(self, seconds: float) -> None:
        """Send nothing; what comes is kept."""
        self.listen_until(self.asker.clock.now_s() + seconds)

    def listen_until(self, time_s: float) -> None:
        """Send nothing until then, in line time."""
        self.heard.extend(self.asker.listen_until(time_s))

    def forget_energy(self) -> None:
        """What came so far is dealt with, and nothing is awaited any more."""
        self.evidence.take_late()
        self.evidence.take_strays()
        self.ledger.nothing_is_awaited()

    # Where nobody should be

    def everywhere_from(self, probe: Probe) -> AnswersEverywhere | None:
        """Ask where nobody should be, unless devices are known there; answers mean that the address is ignored."""
        controls = self.controls(probe)
        codes: list[int] = []
        for address in controls:
            exchange = self._ask_control(Probe(probe.settings, address, probe.function))
            match exchange.outcome:
                case NormalReply():
                    codes.append(0)
                case ExceptionReply(exception_code=code):
                    codes.append(code)
                case _ if is_damaged(exchange) and exchange.received[0] == address:
                    codes.append(0)  # more than one answers every address, and they damage each other
                case _:
                    return None
        if not codes:
            return None
        common = max(set(codes), key=codes.count)
        self.ledger.everywhere[probe.settings] = common
        return AnswersEverywhere(probe.settings, (probe.server_address, *controls), len(self.ledger.asked), common)

    def _ask_control(self, probe: Probe) -> Exchange:
        """Ask; again after silence where the answer to an older request came instead: it may be a slow one's."""
        patient = self.patience.patient(probe.settings)
        exchange = self.ask(probe, patient)
        if not isinstance(exchange.outcome, ForeignReply | UnexpectedReply):
            return exchange
        self.listen_for(self.plan.long_wait_s)
        return self.ask(probe, patient)

    def is_loud_by_itself(self, settings: SerialSettings) -> bool:
        """Ask where nobody should be: bytes that come there too are not of the device under suspicion."""
        likely = Probe(settings, UNLIKELY_ADDRESSES[0], ProbeFunction.HOLDING_REGISTERS)
        self.asker.use_settings(settings)
        for address in self.controls(likely)[:2]:
            self.evidence.take_strays()
            exchange = self.asker.ask(address, likely.request(), self.patience.patient(settings))
            self.heard.extend(exchange.arrivals)
            if is_loud(exchange) or self.evidence.take_strays():
                return True
        return False

    def controls(self, probe: Probe) -> tuple[int, ...]:
        """Return unlikely addresses that are neither planned nor known."""
        known = self.plan.planned | {one.server_address for one in self.ledger.found} | {probe.server_address}
        return control_addresses(known)
