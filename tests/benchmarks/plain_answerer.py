"""A plain process at the far end of pseudo terminals: answers every request of eight bytes at once, always the same.

Started as a script with the number of terminals; prints their names, one a line, and ends when its input is closed.
It knows nothing of the project, so that what it costs is the same for every client.
"""

from __future__ import annotations

import os
import select
import sys
import tty

REQUEST_BYTES = 8
MOST_BYTES_A_READ = 256


def main(terminal_count: int, reply: bytes) -> None:
    """Serve until the input is closed."""
    pairs = [os.openpty() for _ in range(terminal_count)]
    for _, near in pairs:
        tty.setraw(near)
        print(os.ttyname(near), flush=True)
    received = {far: 0 for far, _ in pairs}
    starter = sys.stdin.fileno()
    while True:
        ready, _, _ = select.select([starter, *received], [], [])
        if starter in ready:
            return
        for far in ready:
            received[far] += len(os.read(far, MOST_BYTES_A_READ))
            if received[far] >= REQUEST_BYTES:
                received[far] = 0
                os.write(far, reply)


if __name__ == "__main__":
    main(int(sys.argv[1]), bytes.fromhex(sys.argv[2]))
