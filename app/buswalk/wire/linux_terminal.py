"""Sets a Linux terminal in one call: any speed, framing, and the marks on damaged bytes (TCSETS2, struct termios2).

In one call because each further one makes some adapters' drivers set the adapter again. Asking back tells what speed
and framing the driver has really taken. Numbers as on x86, ARM and RISC-V; elsewhere `is_known` says no.
"""

from __future__ import annotations

import struct
import sys
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import Parity, SerialSettings

GET, SET = 0x802C542A, 0x402C542B
_LAYOUT = struct.Struct("=4IB19s2I")
CUSTOM_SPEED = 0o010000
SPEED_BITS = 0o010017
INPUT_SPEED_BITS = SPEED_BITS << 16
SPEED_TOLERANCE = 0.02
"""A receiver takes 2 % (Serial Line V1.02, 3.2): a rate nearer than that is the one asked for."""


@dataclass(frozen=True, slots=True)
class TerminalState:
    """What the driver says it has set."""

    baud_rate: int
    parity: Parity
    stop_bits: int
    data_bits: int
    has_marks: bool

    def differs_from(self, settings: SerialSettings) -> bool:
        """Tell whether the driver has set something else than was asked."""
        off = abs(self.baud_rate - settings.baud_rate) > settings.baud_rate * SPEED_TOLERANCE
        framing = (self.parity, self.stop_bits, self.data_bits)
        return off or framing != (settings.parity, settings.stop_bits, settings.data_bits)

    def __str__(self) -> str:
        return f"{self.baud_rate} {self.data_bits}{self.parity.value}{self.stop_bits}"


if sys.platform != "win32":
    import fcntl
    import termios

    _PARITY_BITS = {
        Parity.NONE: 0,
        Parity.EVEN: termios.PARENB,
        Parity.ODD: termios.PARENB | termios.PARODD,
    }
    _STICKY_PARITY = 0o10000000000

    def is_known(file_descriptor: int) -> bool:
        """Tell whether this terminal can be set this way."""
        if sys.platform != "linux":
            return False
        try:
            fcntl.ioctl(file_descriptor, GET, bytes(_LAYOUT.size))
        except OSError:
            return False
        return True

    def set_terminal(file_descriptor: int, settings: SerialSettings, input_flags: int) -> None:
        """Set speed, framing and the wanted input flags; the rest stays as pyserial has made it.

        Raises:
            OSError: The terminal is gone, or refuses.
        """
        _, output, control, local, discipline, characters, *_ = _get(file_descriptor)
        sizes = {7: termios.CS7, 8: termios.CS8}
        control &= ~(SPEED_BITS | INPUT_SPEED_BITS | termios.CSIZE | termios.CSTOPB)
        control &= ~(termios.PARENB | termios.PARODD | _STICKY_PARITY)
        control |= getattr(termios, f"B{settings.baud_rate}", CUSTOM_SPEED) | sizes[settings.data_bits]
        control |= _PARITY_BITS[settings.parity] | (termios.CSTOPB if settings.stop_bits == 2 else 0)
        state = _LAYOUT.pack(
            input_flags, output, control, local, discipline, characters, settings.baud_rate, settings.baud_rate
        )
        fcntl.ioctl(file_descriptor, SET, state)

    def terminal_state(file_descriptor: int) -> TerminalState:
        """Return what the driver says it has set.

        Raises:
            OSError: The terminal is gone.
        """
        inputs, _, control, _, _, _, _, speed = _get(file_descriptor)
        parity = next(parity for parity, bits in _PARITY_BITS.items() if control & _parity_mask(control) == bits)
        stop_bits = 2 if control & termios.CSTOPB else 1
        data_bits = 7 if control & termios.CSIZE == termios.CS7 else 8
        return TerminalState(speed, parity, stop_bits, data_bits, bool(inputs & termios.PARMRK))

    def _parity_mask(control: int) -> int:
        return termios.PARENB | (termios.PARODD if control & termios.PARENB else 0)

    def _get(file_descriptor: int) -> tuple[int, int, int, int, int, bytes, int, int]:
        answer: tuple[int, int, int, int, int, bytes, int, int] = _LAYOUT.unpack(
            fcntl.ioctl(file_descriptor, GET, bytes(_LAYOUT.size))
        )
        return answer
