"""Recognising asks for words only where they decide, each span once, and never a silent device twice."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.modbus.functions.read_device_identification import IdentificationObject
from buswalk.domain.registers.fingerprint import KnownType
from buswalk.domain.registers.profile import HoldsWords
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import Identity
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.recognising import MOST_READS, recognise
from tests.fakes.answering_line import AnsweringLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents

SELF_DESCRIBING = HoldsWords(Table.HOLDING_REGISTERS, 40000, (0x5375, 0x6E53))
STATION = KnownType("station", (), (SELF_DESCRIBING, HoldsWords(Table.HOLDING_REGISTERS, 40070, (307,))))
INVERTER = KnownType("inverter", (), (SELF_DESCRIBING, HoldsWords(Table.HOLDING_REGISTERS, 40070, (103,))))
METER = KnownType("meter", ("H-2",))


def holding(words: dict[int, int]) -> Callable[[int, bytes], bytes]:
    """Answer function 03 (Application V1.1b3, 6.3), and refuse with 02 what is not there."""

    def answer(address: int, pdu: bytes) -> bytes:
        first, quantity = int.from_bytes(pdu[1:3], "big"), int.from_bytes(pdu[3:5], "big")
        span = range(first, first + quantity)
        if pdu[0] != 3 or any(one not in words for one in span):
            return bytes([address, pdu[0] | 0x80, 0x02])
        return bytes([address, 3, 2 * quantity]) + b"".join(words[one].to_bytes(2, "big") for one in span)

    return answer


def silent(address: int, pdu: bytes) -> bytes:
    return b""


def recognised(
    answer: Callable[[int, bytes], bytes], identity: Identity, *types: KnownType
) -> tuple[tuple[str, ...], int]:
    clock = JumpingClock()
    line = AnsweringLine(clock, answer)
    names = recognise(Asker(line, clock, KeptEvents()), 37, AskTiming(0.1), identity, types)
    return names, len(line.writes)


def test_words_decide_between_two_types_and_are_read_once() -> None:
    device = holding({40000: 0x5375, 40001: 0x6E53, 40070: 307})

    assert recognised(device, Identity(), INVERTER, STATION) == (("station",), 2)


def test_what_a_device_tells_spares_reading() -> None:
    told = Identity((IdentificationObject(1, b"H-2"),))

    assert recognised(holding({}), told, METER, STATION) == (("meter",), 0)
    assert recognised(holding({}), Identity(server_id=b"\x02H-2\xff"), METER, STATION) == (("meter",), 0)


def test_a_refusal_is_no_match_and_the_next_is_asked() -> None:
    other = KnownType("other", (), (HoldsWords(Table.HOLDING_REGISTERS, 9, (1,)),))

    assert recognised(holding({9: 1}), Identity(), STATION, other) == (("other",), 2)


def test_a_silent_device_is_asked_once() -> None:
    assert recognised(silent, Identity(), STATION, INVERTER) == ((), 1)


def test_reading_for_one_device_has_an_end() -> None:
    many = [KnownType(f"t{at}", (), (HoldsWords(Table.HOLDING_REGISTERS, at, (1,)),)) for at in range(50)]

    assert recognised(holding({}), Identity(), *many) == ((), MOST_READS)
