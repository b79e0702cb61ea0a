"""Two pseudo terminals joined back to back: a server of another program on one end, buswalk on the other."""

from __future__ import annotations

import os
import select
import threading
import tty

MOST_BYTES_A_READ = 4096


class TerminalBridge:
    """Passes every byte on at once; `server_name` and `client_name` are what each side opens."""

    def __init__(self) -> None:
        self._ends = [os.openpty(), os.openpty()]
        for _, near in self._ends:
            tty.setraw(near)
        self.server_name, self.client_name = (os.ttyname(near) for _, near in self._ends)
        self._wake_read, self._wake_write = os.pipe()
        self._thread = threading.Thread(target=self._pass_on)
        self._thread.start()

    def _pass_on(self) -> None:
        (first, _), (second, _) = self._ends
        other = {first: second, second: first}
        while True:
            ready, _, _ = select.select([first, second, self._wake_read], [], [])
            if self._wake_read in ready:
                return
            for end in ready:
                os.write(other[end], os.read(end, MOST_BYTES_A_READ))

    def close(self) -> None:
        """Stop passing on and give all back."""
        os.close(self._wake_write)
        self._thread.join(5.0)
        for pair in self._ends:
            for descriptor in pair:
                os.close(descriptor)
        os.close(self._wake_read)
