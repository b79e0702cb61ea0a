"""What is heard is joined by silence, its frames are named, and it is said who asks and who answers."""

from __future__ import annotations

from buswalk.cli.heard_words import LARGEST_BURST_BYTES, Burst, BurstJoiner, FrameNamer, asked_lines, burst_lines
from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark, Mark
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode, decode_untimed
from buswalk.domain.listening.heard_exchange import HeardPiece
from buswalk.domain.listening.who_asks import WhoAsks
from buswalk.domain.modbus.frame_splitter import Frame, split
from tests.fakes.command_in_process import handing, ran_on
from tests.fakes.failing_line import FailingLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

N81 = SerialSettings.of(9600, "8N1")
T35_S = 3.5 * 10 / 9600
"""Serial Line V1.02, 2.5.1.1."""
REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REFUSAL = bytes.fromhex("25 83 02 80 FA")
WRITE = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
"""Its answer is the same byte for byte (Application V1.1b3, 6.6)."""


def arrival(data: bytes, not_before_s: float, not_after_s: float, *marks: Mark) -> Arrival:
    return Arrival(data, marks, not_before_s, not_after_s)


def joined(*arrivals: Arrival) -> list[Burst]:
    joiner = BurstJoiner(N81)
    return [burst for one in arrivals for burst in joiner.take(one)] + list(joiner.finish())


def frames_of(*data: bytes) -> tuple[Frame, ...]:
    return tuple(piece for piece in split(b"".join(data)) if isinstance(piece, Frame))


def summed_up(pieces: list[HeardPiece]) -> list[str]:
    who = WhoAsks()
    who.take(pieces)
    return asked_lines(who.requests, who.unasked_replies)


def test_lumps_of_one_frame_are_one_burst() -> None:
    bursts = joined(arrival(REPLY[:4], 1.000, 1.004), arrival(REPLY[4:], 1.004, 1.010))

    assert bursts == [Burst(REPLY, (), 1.000, 1.010)]


def test_a_sure_silence_of_three_and_a_half_characters_parts_them() -> None:
    end_s = 1.010
    just_short = arrival(REPLY, end_s + T35_S - 1e-6, 1.030)
    just_over = arrival(REPLY, end_s + T35_S + 1e-6, 1.030)

    assert len(joined(arrival(REQUEST, 1.0, end_s), just_short)) == 1
    assert len(joined(arrival(REQUEST, 1.0, end_s), just_over)) == 2


def test_a_silence_that_the_adapter_hides_is_not_invented() -> None:
    """Handed over 20 ms apart by an adapter with a latency of 16 ms: nobody knows that there was a gap."""
    bursts = joined(arrival(REQUEST, 0.984, 1.000), arrival(REPLY, 1.004 - 0.001, 1.020))

    assert [one.data for one in bursts] == [REQUEST + REPLY]


def test_marks_keep_their_byte_when_lumps_are_joined() -> None:
    mark = ByteMark(1, LineMark.PARITY_ERROR)

    burst = joined(arrival(b"\x01\x02\x03", 1.0, 1.003), arrival(b"\x04\x05", 1.003, 1.005, mark))[0]

    assert burst.marks == (ByteMark(4, LineMark.PARITY_ERROR),)
    assert "    marked by the receiver: parity error on byte 5" in burst_lines(burst, FrameNamer())


def test_a_sender_without_end_is_shown_in_pieces() -> None:
    arrivals = [arrival(b"\x55", at * 0.001, at * 0.001 + 0.001) for at in range(2000)]

    bursts = joined(*arrivals)

    assert [len(one.data) for one in bursts] == [LARGEST_BURST_BYTES] * 3 + [2000 - 3 * LARGEST_BURST_BYTES]


def test_a_burst_says_when_how_long_who_and_what() -> None:
    lines = burst_lines(Burst(REQUEST, (), 1.000, 1.0083), FrameNamer())

    assert lines == [
        "   1.0083 s  8 bytes within 8.3 ms",
        "    request: address 37, function 03 (read holding registers)",
        "      25 03 00 00 00 02 C2 EF",
    ]


def test_bytes_around_a_frame_are_shown_as_none() -> None:
    lines = burst_lines(Burst(b"\xff" + REFUSAL, (), 1.0, 1.007), FrameNamer())

    assert lines[1:] == [
        "    no frame, 1 byte",
        "      FF",
        "    reply: address 37, function 03 refused with 02 (illegal data address)",
        "      25 83 02 80 FA",
    ]


def test_where_lengths_do_not_tell_the_order_does() -> None:
    """A write and its answer are equal: the first asks, the second answers; a third asks again."""
    namer = FrameNamer()

    roles = [namer.role_words(one) for one in frames_of(WRITE, WRITE, WRITE)]

    assert roles == [
        "request (by its length it could be a reply)",
        "reply",
        "request (by its length it could be a reply)",
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
