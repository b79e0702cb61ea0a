"""The request that reads neighbouring addresses of a table (Application V1.1b3, 6.1 to 6.4)."""

from __future__ import annotations

from typing import TypeAlias

from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_discrete_inputs import ReadDiscreteInputs
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.registers.tables import Table

ReadRequest: TypeAlias = ReadCoils | ReadDiscreteInputs | ReadHoldingRegisters | ReadInputRegisters
_READS: dict[Table, type[ReadRequest]] = {
    Table.COILS: ReadCoils,
    Table.DISCRETE_INPUTS: ReadDiscreteInputs,
    Table.HOLDING_REGISTERS: ReadHoldingRegisters,
    Table.INPUT_REGISTERS: ReadInputRegisters,
}


def read_request(table: Table, first: int, quantity: int) -> ReadRequest:
    """Return the request for so many addresses from `first` on. Raises ValueError where the standard has none."""
    return _READS[table](first, quantity)
