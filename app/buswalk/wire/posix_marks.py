"""The input flags of a POSIX terminal that has damaged bytes marked. pyserial clears them at each reconfiguration."""

from __future__ import annotations

import sys

if sys.platform != "win32":
    import termios

    INPUT_FLAGS = 0
    MARKING = termios.PARMRK | termios.INPCK
    """With these a byte with wrong parity or framing arrives as FF 00 and the byte, and FF as FF FF (termios)."""
    PLAIN = 0
    """Raw input: nothing ignored, translated or stripped."""

    def set_marks(file_descriptor: int) -> bool:
        """Have damaged bytes marked; return whether the terminal took it.

        Raises:
            termios.error: The terminal is gone.
        """
        attributes = termios.tcgetattr(file_descriptor)
        attributes[INPUT_FLAGS] = MARKING
        try:
            termios.tcsetattr(file_descriptor, termios.TCSANOW, attributes)
        except termios.error:
            return False
        return bool(termios.tcgetattr(file_descriptor)[INPUT_FLAGS] & termios.PARMRK)
