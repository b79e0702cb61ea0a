"""What is heard is joined by silence, its frames are named, and it is said who asks and who answers."""

from __future__ import annotations

from buswalk.cli.heard_words import asked_lines, burst_lines
from buswalk.cli.live_bursts import LiveBursts
from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark, Mark
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode, decode_untimed
from buswalk.domain.listening.heard_exchange import HeardPiece
from buswalk.domain.listening.who_asks import WhoAsks
from tests.fakes.command_in_process import handing, ran_on
from tests.fakes.failing_line import FailingLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

N81 = SerialSettings.of(9600, "8N1")
REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REFUSAL = bytes.fromhex("25 83 02 80 FA")
WRITE = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
"""Its answer is the same byte for byte (Application V1.1b3, 6.6)."""


def arrival(data: bytes, not_before_s: float, not_after_s: float, *marks: Mark) -> Arrival:
    return Arrival(data, marks, not_before_s, not_after_s)


def shown(data: bytes, *marks: Mark) -> list[str]:
    """The lines of one burst that ended 8.3 ms after 1 s at the latest."""
    live = LiveBursts(N81)
    bursts = [*live.take(arrival(data, 1.0, 1.0083, *marks)), *live.take_silence()]
    return [line for one in bursts for line in burst_lines(one)]


def summed_up(pieces: list[HeardPiece]) -> list[str]:
    who = WhoAsks()
    who.take(pieces)
    return asked_lines(who.requests, who.unasked_replies)


def test_marks_are_told_with_their_byte() -> None:
    assert "    marked by the receiver: parity error on byte 5" in shown(
        b"\xf9" * 5, ByteMark(4, LineMark.PARITY_ERROR)
    )


def test_a_burst_says_when_how_long_who_and_what() -> None:
    lines = shown(REQUEST)

    assert lines == [
        "   1.0083 s  8 bytes within 8.3 ms",
        "    request: address 37, function 03 (read holding registers)",
        "      25 03 00 00 00 02 C2 EF",
    ]


def test_bytes_around_a_frame_are_shown_as_none() -> None:
    lines = shown(b"\xff" + REFUSAL)

    assert lines[1:] == [
        "    no frame, 1 byte",
        "      FF",
        "    reply: address 37, function 03 refused with 02 (illegal data address); its request was not heard",
        "      25 83 02 80 FA",
    ]


def test_where_nothing_tells_who_asks_only_the_likelier_is_said() -> None:
    """A write and its answer are equal (Application V1.1b3, 6.6): a read behind them tells that the second answers."""
    alone, decided = shown(WRITE + WRITE), shown(WRITE + WRITE + REQUEST)

    assert alone[1::2] == [
        "    request or reply, likelier a request: address 37, function 06 (write single register)",
        "    request or reply, likelier a reply: address 37, function 06 (write single register)",
    ]
    assert decided[1::2] == [
        "    request: address 37, function 06 (write single register)",
        "    reply: address 37, function 06 (write single register)",
        "    request: address 37, function 03 (read holding registers)",
    ]


def test_who_was_asked_and_who_answered_is_summed_up() -> None:
    other = bytes.fromhex("26 03 00 00 00 02 C2 DC")

    lines = summed_up(decode_untimed(REQUEST + REPLY + REQUEST + REFUSAL + other + other + WRITE + WRITE))

    assert lines == [
        "   address 37, function 03 (read holding registers), 2 from 0: 2 requests, 2 answered, 1 of them refused",
        "   address 37, function 06 (write single register), 00 0A 00 D2: 1 request, 1 answered",
        "   address 38, function 03 (read holding registers), 2 from 0: 2 requests, 0 answered",
    ]


def test_how_often_is_asked_and_how_soon_is_answered_is_said_as_far_as_it_is_known() -> None:
    """By hand: the request ended 1.2 ms before its read at the earliest, the reply of nine characters of 1.04 ms began
    9.4 to 10.5 ms before its own."""
    heard = []
    for second in (1.0, 3.0, 5.0):
        heard += [arrival(REQUEST, second - 0.0085, second), arrival(REPLY, second + 0.0205, second + 0.03)]

    lines = summed_up(decode(heard, N81))

    assert lines == [
        "   address 37, function 03 (read holding registers), 2 from 0: 3 requests, 3 answered; every 2.0 s; "
        "answers 19 ms to 22 ms after it"
    ]


def test_who_is_asked_by_all_and_who_answers_unasked_is_said_too() -> None:
    to_all = bytes.fromhex("00 06 00 63 00 01 B9 C5")

    lines = summed_up(decode_untimed(to_all + REPLY))

    assert lines == [
        "   all (broadcast), function 06 (write single register), 00 63 00 01: 1 request, which nobody answers",
        "   address 37: 1 answer whose request was not heard whole",
    ]


def test_a_burst_is_shown_when_silence_follows_and_not_only_when_more_comes() -> None:
    """The port is lost two seconds behind the only burst, and before the end: it had been shown by then."""
    clock = JumpingClock()
    line = FailingLine(clock, 60, PortError("COM7", PortProblem.VANISHED, "COM7 is gone"))
    line.play(1.0, REQUEST)

    ended = ran_on(handing(line, clock), "listen", "--port", "COM7", "--seconds", "5")

    assert (ended.status, line.writes) == (3, [])
    assert ended.out.splitlines()[1] == "    request: address 37, function 03 (read holding registers)"


def test_silence_says_how_much_it_proves() -> None:
    clock = JumpingClock()

    ended = ran_on(handing(ReplayingLine(clock), clock), "listen", "--port", "COM7", "--seconds", "0.5")

    assert ended.out == "silent for 0.5 s at 9600 8N1: no client with a period under 0.5 s at any speed\n"
    assert ended.status == 1
