"""The running example: address 37 is asked for two holding registers, and what arrives is put together by hand."""

from __future__ import annotations

from itertools import pairwise

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.question import Question
from buswalk.domain.modbus.reply_collector import Conclusion, Ending, ReplyCollector
from buswalk.domain.modbus.request import Request
from tests.fakes.replaying_line import PLAIN_TRAITS

N81 = SerialSettings.of(9600, "8N1")
CHARACTER_S = 10 / 9600
REQUEST = ReadHoldingRegisters(0, 2)
REQUEST_ADU = bytes.fromhex("25 03 00 00 00 02 C2 EF")
GOOD = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REFUSAL = bytes.fromhex("25 83 02 80 FA")
SENT = Sent(0.0, 8 * CHARACTER_S, 8 * CHARACTER_S)
WRITE_ADU = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
WRITE = WriteSingleRegister(10, 210)
TIMEOUT_S = 0.5


def question(
    request: Request = REQUEST, adu: bytes = REQUEST_ADU, *, address: int = 37, echo: Echo = Echo.NOT_HEARD
) -> Question:
    """A request that has just left at 9600 8N1."""
    return Question(address, request, adu, N81, SENT, PLAIN_TRAITS, echo)


def arrivals_of(data: bytes, cuts: tuple[int, ...] = (), begin_s: float = 0.020) -> list[Arrival]:
    """Bytes back to back from a moment behind the request on, handed over in lumps cut at these places."""
    edges = [0, *sorted({cut for cut in cuts if 0 < cut < len(data)}), len(data)]
    lumps = [data[first:last] for first, last in pairwise(edges) if last > first]
    arrivals: list[Arrival] = []
    at_s = SENT.end_not_after_s + begin_s
    for lump in lumps:
        first_ends_s = at_s + CHARACTER_S
        at_s += len(lump) * CHARACTER_S
        arrivals.append(Arrival(lump, (), first_ends_s - 0.001, at_s))
    return arrivals


def concluded(asked: Question, arrivals: list[Arrival], ending: Ending = Ending.RAN_OUT) -> Conclusion:
    """All arrivals taken, then the end."""
    collector = ReplyCollector(asked)
    for arrival in arrivals:
        collector.take(arrival)
    return collector.conclude(SENT.end_not_after_s + TIMEOUT_S, ending)


def of_kind(conclusion: Conclusion, kind: type) -> list[object]:
    """The observations of one kind."""
    return [one for one in conclusion.observations if isinstance(one, kind)]
