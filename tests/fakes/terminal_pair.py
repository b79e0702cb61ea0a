"""A pseudo terminal: the test holds the far end, the line under test opens the near one by name."""

from __future__ import annotations

import os
import select
import tty


class TerminalPair:
    """Both descriptors; the near one is kept open too, so that the pair outlives the program's closing."""

    def __init__(self) -> None:
        self._far, self._near = os.openpty()
        tty.setraw(self._near)
        self.name = os.ttyname(self._near)

    @property
    def near(self) -> int:
        """Descriptor of the end that the program opens: to ask how it is set."""
        return self._near

    def send(self, data: bytes) -> None:
        """Let bytes come to the program."""
        os.write(self._far, data)

    def received(self, byte_count: int) -> bytes:
        """Return the next bytes that the program wrote, fewer only after a second of silence."""
        data = b""
        while len(data) < byte_count and select.select([self._far], [], [], 1.0)[0]:
            data += os.read(self._far, byte_count - len(data))
        return data

    def vanish(self) -> None:
        """Take the far end away, as when an adapter is unplugged."""
        if self._far >= 0:
            os.close(self._far)
            self._far = -1

    def close(self) -> None:
        """Give both ends back."""
        self.vanish()
        if self._near >= 0:
            os.close(self._near)
            self._near = -1
