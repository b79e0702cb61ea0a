"""Bytes for a program that is slow to read."""

from __future__ import annotations

from simulated_line.attachments.outbox import MOST_WAITING_BYTES, Outbox


class SlowReader:
    """Takes so many bytes, until it is given more room."""

    def __init__(self, room: int) -> None:
        self.room = room
        self.got = b""

    def write(self, data: bytes) -> int:
        taken = data[: self.room]
        self.got += taken
        self.room -= len(taken)
        return len(taken)


def test_what_is_taken_in_part_follows_later_in_order() -> None:
    reader = SlowReader(room=3)
    outbox = Outbox(reader.write)

    outbox.put(b"abcde")
    outbox.put(b"fg")
    reader.room = 100
    outbox.push()

    assert reader.got == b"abcdefg"


def test_what_does_not_fit_is_lost_as_a_whole() -> None:
    reader = SlowReader(room=0)
    outbox = Outbox(reader.write)
    outbox.put(b"a" * (MOST_WAITING_BYTES - 1))

    outbox.put(b"bc")
    outbox.put(b"d")
    reader.room = 2 * MOST_WAITING_BYTES
    outbox.push()

    assert reader.got == b"a" * (MOST_WAITING_BYTES - 1) + b"d"


def test_what_is_cleared_never_comes() -> None:
    reader = SlowReader(room=1)
    outbox = Outbox(reader.write)
    outbox.put(b"ab")

    outbox.clear()
    reader.room = 10
    outbox.push()

    assert reader.got == b"a"
