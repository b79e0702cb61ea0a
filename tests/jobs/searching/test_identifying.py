"""Identification reads until nothing new comes, and never for ever (Application V1.1b3, 6.21)."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.search.events import Identity
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.identifying import MOST_REQUESTS, identify
from tests.fakes.answering_line import AnsweringLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents

MORE, NO_MORE = b"\xff", b"\x00"


def objects_reply(address: int, more: bytes, following: int, *objects: tuple[int, bytes]) -> bytes:
    """Function 2B, type 0E, read code 01, conformity 01, more follows, next object, count, then the objects."""
    listed = b"".join(bytes([number, len(text)]) + text for number, text in objects)
    return bytes([address, 0x2B, 0x0E, 0x01, 0x01]) + more + bytes([following, len(objects)]) + listed


def never_answers(address: int, pdu: bytes) -> bytes:
    return b""


def identified(answer: Callable[[int, bytes], bytes]) -> tuple[Identity, int]:
    clock = JumpingClock()
    line = AnsweringLine(clock, answer)
    identity = identify(Asker(line, clock, KeptEvents()), 37, AskTiming(0.1))
    return identity, len(line.writes)


def test_objects_that_come_in_two_replies_are_joined() -> None:
    def answer(address: int, pdu: bytes) -> bytes:
        if pdu[0] != 0x2B:
            return bytes([address, pdu[0] | 0x80, 0x01])
        if pdu[3] == 0:
            return objects_reply(address, MORE, 2, (0, b"Example"), (1, b"T-1"))
        return objects_reply(address, NO_MORE, 0, (2, b"1.1"))

    identity, asked = identified(answer)

    assert [(one.object_id, one.text) for one in identity.objects] == [(0, "Example"), (1, "T-1"), (2, "1.1")]
    assert (identity.server_id, asked) == (b"", 3)


def test_a_server_that_begins_again_at_its_first_object_is_not_asked_for_ever() -> None:
    """The standard lets a server answer an unknown object with those from 0 on."""

    def answer(address: int, pdu: bytes) -> bytes:
        return objects_reply(address, MORE, 0, (0, b"Example")) if pdu[0] == 0x2B else b""

    identity, asked = identified(answer)

    assert [one.text for one in identity.objects] == ["Example"]
    assert asked <= 3


def test_a_server_with_ever_new_objects_is_asked_a_bounded_number_of_times() -> None:
    def answer(address: int, pdu: bytes) -> bytes:
        if pdu[0] != 0x2B:
            return b""
        number = pdu[3]
        return objects_reply(address, MORE, number + 1, (number, b"x"))

    identity, asked = identified(answer)

    assert len(identity.objects) == MOST_REQUESTS
    assert asked == MOST_REQUESTS + 1


def test_a_silent_server_has_no_name() -> None:
    identity, asked = identified(never_answers)

    assert (identity, asked) == (Identity(), 2)
