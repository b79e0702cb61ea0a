"""Every function code as `ask` takes it: which options it needs and takes, and the request they make. One table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

from buswalk.cli.parts import WrongUse
from buswalk.domain.modbus.functions.diagnose import Diagnose, SubFunction
from buswalk.domain.modbus.functions.get_comm_event_counter import GetCommEventCounter
from buswalk.domain.modbus.functions.get_comm_event_log import GetCommEventLog
from buswalk.domain.modbus.functions.mask_write_register import MaskWriteRegister
from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_device_identification import ReadCode, ReadDeviceIdentification
from buswalk.domain.modbus.functions.read_discrete_inputs import ReadDiscreteInputs
from buswalk.domain.modbus.functions.read_exception_status import ReadExceptionStatus
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.functions.read_write_registers import ReadWriteRegisters
from buswalk.domain.modbus.functions.report_server_id import ReportServerId
from buswalk.domain.modbus.functions.table import function_words
from buswalk.domain.modbus.functions.write_multiple_coils import WriteMultipleCoils
from buswalk.domain.modbus.functions.write_multiple_registers import WriteMultipleRegisters
from buswalk.domain.modbus.functions.write_single_coil import WriteSingleCoil
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.request import Request


@dataclass(frozen=True, slots=True)
class Given:
    """What the command line gave of a request; None where an option was left out."""

    register: int | None = None
    quantity: int | None = None
    values: tuple[int, ...] | None = None
    write_register: int | None = None
    and_mask: int | None = None
    or_mask: int | None = None
    sub_function: int | None = None
    data: bytes | None = None
    read_code: int | None = None
    object: int | None = None


@dataclass(frozen=True, slots=True)
class RequestForm:
    """One function code: options that must be given, those that may, and the request they make."""

    function_code: int
    needs: tuple[str, ...]
    takes: tuple[str, ...]
    build: Callable[[Given], Request]


def _span(given: Given) -> tuple[int, int]:
    return given.register or 0, 1 if given.quantity is None else given.quantity


def _values(given: Given) -> tuple[int, ...]:
    return given.values or ()


def _one_value(given: Given) -> int:
    values = _values(given)
    if len(values) != 1:
        raise ValueError(f"it writes one value, and --values has {len(values)}")
    return values[0]


def _states(given: Given) -> tuple[bool, ...]:
    wrong = [one for one in _values(given) if one not in (0, 1)]
    if wrong:
        raise ValueError(f"--values {wrong[0]} is no state of a coil: write 1 or on, 0 or off")
    return tuple(one == 1 for one in _values(given))


def _single_coil(given: Given) -> Request:
    _one_value(given)
    return WriteSingleCoil(given.register or 0, _states(given)[0])


def _diagnose(given: Given) -> Request:
    number = given.sub_function or 0
    if number not in tuple(SubFunction):
        known = ", ".join(f"{one:02X} {one.name.lower().replace('_', ' ')}" for one in SubFunction)
        raise ValueError(f"sub-function {number:02X} is reserved in the standard; choose one of {known}")
    return Diagnose(SubFunction(number), b"\x00\x00" if given.data is None else given.data)


def _identification(given: Given) -> Request:
    number = 1 if given.read_code is None else given.read_code
    if number not in tuple(ReadCode):
        raise ValueError(f"read code {number:02X} is none: choose 01 basic, 02 regular, 03 extended or 04 one object")
    return ReadDeviceIdentification(ReadCode(number), given.object or 0)


_WRITES = ("register", "values")
"""Where a write goes must be said: register 0 as a silent default could move something."""
_MASKS = ("register", "and_mask", "or_mask")

FORMS: tuple[RequestForm, ...] = (
    RequestForm(0x01, (), ("register", "quantity"), lambda given: ReadCoils(*_span(given))),
    RequestForm(0x02, (), ("register", "quantity"), lambda given: ReadDiscreteInputs(*_span(given))),
    RequestForm(0x03, (), ("register", "quantity"), lambda given: ReadHoldingRegisters(*_span(given))),
    RequestForm(0x04, (), ("register", "quantity"), lambda given: ReadInputRegisters(*_span(given))),
    RequestForm(0x05, _WRITES, (), _single_coil),
    RequestForm(0x06, _WRITES, (), lambda given: WriteSingleRegister(given.register or 0, _one_value(given))),
    RequestForm(0x07, (), (), lambda _: ReadExceptionStatus()),
    RequestForm(0x08, (), ("sub_function", "data"), _diagnose),
    RequestForm(0x0B, (), (), lambda _: GetCommEventCounter()),
    RequestForm(0x0C, (), (), lambda _: GetCommEventLog()),
    RequestForm(0x0F, _WRITES, (), lambda given: WriteMultipleCoils(given.register or 0, _states(given))),
    RequestForm(0x10, _WRITES, (), lambda given: WriteMultipleRegisters(given.register or 0, _values(given))),
    RequestForm(0x11, (), (), lambda _: ReportServerId()),
    RequestForm(
        0x16,
        _MASKS,
        (),
        lambda given: MaskWriteRegister(given.register or 0, given.and_mask or 0, given.or_mask or 0),
    ),
    RequestForm(
        0x17,
        ("write_register", "values"),
        ("register", "quantity"),
        lambda given: ReadWriteRegisters(*_span(given), given.write_register or 0, _values(given)),
    ),
    RequestForm(0x2B, (), ("read_code", "object"), _identification),
)


def request_of(function_code: int, given: Given) -> Request:
    """Return the request that a function code and its options make.

    Raises:
        WrongUse: The function is not built, an option is missing or not for it, or the standard refuses the request.
    """
    form = next((one for one in FORMS if one.function_code == function_code), None)
    if form is None:
        known = ", ".join(f"{one.function_code:02X}" for one in FORMS)
        raise WrongUse(f"--function {function_code:02X} is not built: choose one of {known} (hex)")
    name = f"function {function_code:02X} ({function_words(function_code)})"
    present = {one.name for one in fields(Given) if getattr(given, one.name) is not None}
    missing = [one for one in form.needs if one not in present]
    foreign = sorted(present.difference(form.needs, form.takes))
    if missing:
        raise WrongUse(f"{name} needs {option_words(missing)}: write it too")
    if foreign:
        raise WrongUse(f"{name} does not take {option_words(foreign)}: leave it out, or choose another --function")
    try:
        return form.build(given)
    except ValueError as reason:
        raise WrongUse(f"{name} cannot be asked so: {reason}") from reason


def option_words(names: list[str]) -> str:
    """Return options as they are written, such as `--register and --values`."""
    return " and ".join(f"--{one.replace('_', '-')}" for one in names)
