"""What recorded exchanges tell of a map, so that a learner that was stopped goes on where it was."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_discrete_inputs import ReadDiscreteInputs
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.observation import MaybeOld
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.registers.map_learning.known_map import Read, Seen
from buswalk.domain.registers.map_learning.plan import LearntRead
from buswalk.domain.registers.tables import Table

ILLEGAL_ADDRESS, ILLEGAL_VALUE = 0x02, 0x03
_TABLES = {one.read_function: one for one in Table}


def learnt_reads(exchanges: Iterable[Exchange], server_address: int) -> Iterator[LearntRead]:
    """Yield the reads of one server that say something for sure; silence and doubtful replies are asked again."""
    for exchange in exchanges:
        request = exchange.request
        is_old = any(isinstance(one, MaybeOld) for one in exchange.observations)
        if is_old or exchange.server_address != server_address:
            continue
        if not isinstance(request, ReadCoils | ReadDiscreteInputs | ReadHoldingRegisters | ReadInputRegisters):
            continue
        seen = _seen(exchange)
        if seen is not None:
            read = Read(request.register_address, request.quantity)
            yield LearntRead(_TABLES[request.function_code], read, seen)


def _seen(exchange: Exchange) -> Seen | None:
    match exchange.outcome:
        case NormalReply():
            return Seen.READ
        case ExceptionReply(exception_code=code) if code == ILLEGAL_ADDRESS:
            return Seen.REFUSED
        case ExceptionReply(exception_code=code) if code == ILLEGAL_VALUE:
            return Seen.TOO_MUCH
        case _:
            return None
