"""Asks a POSIX terminal to mark bytes with wrong parity or framing. pyserial clears this at each reconfiguration."""

from __future__ import annotations

import sys

from buswalk.domain.line.line_traits import MarkReporting

if sys.platform == "win32":

    def set_marks(_: int) -> MarkReporting:
        """There are no such marks here."""
        return MarkReporting.NOT_AVAILABLE

else:
    import termios

    INPUT_FLAGS = 0

    def set_marks(file_descriptor: int) -> MarkReporting:
        """Set PARMRK and INPCK; return whether the terminal took them."""
        attributes = termios.tcgetattr(file_descriptor)
        attributes[INPUT_FLAGS] |= termios.PARMRK | termios.INPCK
        attributes[INPUT_FLAGS] &= ~(termios.IGNPAR | termios.ISTRIP | termios.IGNBRK | termios.BRKINT)
        try:
            termios.tcsetattr(file_descriptor, termios.TCSANOW, attributes)
        except termios.error:
            return MarkReporting.NOT_AVAILABLE
        taken = termios.tcgetattr(file_descriptor)[INPUT_FLAGS]
        return MarkReporting.PER_BYTE if taken & termios.PARMRK else MarkReporting.NOT_AVAILABLE
