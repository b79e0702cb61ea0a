"""What a right reply says beyond its bytes: names, counters, states. Registers and bits are in the bytes' own lines."""

from __future__ import annotations

from buswalk.domain.modbus.functions.diagnose import COUNTERS, Diagnosed, SubFunction
from buswalk.domain.modbus.functions.get_comm_event_counter import CommEventCounter
from buswalk.domain.modbus.functions.get_comm_event_log import CommEventLog
from buswalk.domain.modbus.functions.mask_write_register import RegisterMasked
from buswalk.domain.modbus.functions.read_device_identification import DeviceIdentification
from buswalk.domain.modbus.functions.read_exception_status import ExceptionStatus
from buswalk.domain.modbus.functions.read_write_registers import RegistersReadAfterWriting
from buswalk.domain.modbus.functions.report_server_id import ServerId
from buswalk.domain.modbus.functions.write_multiple_coils import MultipleCoilsWritten
from buswalk.domain.modbus.functions.write_multiple_registers import MultipleRegistersWritten
from buswalk.domain.modbus.functions.write_single_coil import SingleCoilWritten
from buswalk.domain.modbus.functions.write_single_register import SingleRegisterWritten
from buswalk.domain.modbus.request import Reply


def reply_words(reply: Reply) -> tuple[str, ...]:
    """Return what a reply says, a line each; nothing where its bytes' own lines say it all."""
    match reply:
        case DeviceIdentification():
            return _identification_words(reply)
        case ServerId(data):
            return (f"it says of itself: {text_of(data)}",)
        case Diagnosed():
            return (_diagnosed_words(reply),)
        case ExceptionStatus(flags):
            return ("exception status, lowest bit first: " + " ".join(str(int(flag)) for flag in flags),)
        case CommEventCounter(is_busy, event_count):
            return (f"{count_words(event_count, 'event')} counted{_busy_words(is_busy)}",)
        case CommEventLog(is_busy, event_count, message_count, events):
            return (
                f"{count_words(event_count, 'event')} counted, {count_words(message_count, 'frame')} handled"
                f"{_busy_words(is_busy)}",
                f"log, latest first: {events.hex(' ').upper() or 'empty'}",
            )
        case RegistersReadAfterWriting(register_address, values):
            return tuple(
                f"register {register_address + at} = {value} (0x{value:04X}), read after writing"
                for at, value in enumerate(values)
            )
        case _:
            return _written_words(reply)


def _written_words(reply: Reply) -> tuple[str, ...]:
    match reply:
        case SingleCoilWritten(register_address, is_on):
            return (f"it confirms: coil {register_address} is {'on' if is_on else 'off'}",)
        case SingleRegisterWritten(register_address, value):
            return (f"it confirms: register {register_address} = {value}; read it back before believing it",)
        case MultipleCoilsWritten(register_address, quantity):
            return (f"it confirms: {count_words(quantity, 'coil')} from {register_address} on",)
        case MultipleRegistersWritten(register_address, quantity):
            return (
                f"it confirms: {count_words(quantity, 'register')} from {register_address} on; "
                "read them back before believing it",
            )
        case RegisterMasked(register_address, and_mask, or_mask):
            return (f"it confirms: register {register_address} masked, AND {and_mask:04X} OR {or_mask:04X}",)
        case _:
            return ()


def _identification_words(reply: DeviceIdentification) -> tuple[str, ...]:
    lines = [f"{one.name}: {one.text}" for one in reply.objects]
    if reply.more_follows:
        lines.append(f"more follows: ask again with --object {reply.next_object_id:02X}")
    return tuple(lines)


def _diagnosed_words(reply: Diagnosed) -> str:
    name = reply.sub_function.name.lower().replace("_", " ")
    if reply.sub_function in COUNTERS:
        return f"{name}: {reply.value}"
    if reply.sub_function is SubFunction.RETURN_DIAGNOSTIC_REGISTER:
        return f"{name}: {reply.value:016b}"
    return f"{name}: it sent back what was sent"


def _busy_words(is_busy: bool) -> str:
    return "; it is still busy with an earlier command" if is_busy else ""


def text_of(data: bytes) -> str:
    """Return bytes as text where they are, the rest in hex; the run status at the end of a server ID too."""
    shown = data.decode("ascii", errors="backslashreplace")
    return "".join(sign if sign.isprintable() else f"\\x{ord(sign):02x}" for sign in shown)


def count_words(count: int, what: str) -> str:
    """Return a count with its noun, such as `1 byte` and `2 bytes`; 'address' takes -es."""
    if count == 1:
        return f"1 {what}"
    return f"{count} {what}{'es' if what.endswith('s') else 's'}"
