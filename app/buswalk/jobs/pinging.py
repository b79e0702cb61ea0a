"""Asks one device again and again at an even pace: for wiggling wires, and for seeing a device come and go."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.search.ping import READS, Pinged, PingPlan
from buswalk.jobs.asking.asker import Asker, AskTiming


def ping(asker: Asker, plan: PingPlan) -> Iterator[Pinged]:
    """Ask until stopped.

    Raises:
        PortError: The port was lost.
        Stopped: The user's stop, which is how it ends.
    """
    of_function = ReadHoldingRegisters if plan.function == READS[0] else ReadInputRegisters
    request = of_function(plan.register_address, 1)
    timing = AskTiming(plan.wait_s)
    asker.use_settings(plan.settings)
    asked = answered = 0
    while True:
        due_s = asker.clock.now_s() + 1.0 / plan.a_second
        exchange = asker.ask(plan.server_address, request, timing)
        asked += 1
        answered += isinstance(exchange.outcome, NormalReply | ExceptionReply)
        yield Pinged(plan.server_address, exchange.number, exchange.outcome, asked, answered)
        asker.listen_until(due_s)
