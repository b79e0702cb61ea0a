"""What a search makes of answers that no ordinary device gives."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import AskedRested, SearchEnd, SearchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from tests.fakes.answering_line import AnsweringLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.recording_line import RecordingLine
from tests.jobs.searching.simulated_search import NO_PARITY_9600, Searched

PLAN = SearchPlan(addresses=tuple(range(1, 248)), settings={NO_PARITY_9600: 1.0}, listen_s=0.0)


def refuses(address: int, pdu: bytes, code: int) -> bytes:
    return bytes([address, pdu[0] | 0x80, code])


def answers_data(address: int, pdu: bytes) -> bytes:
    """One register, 7; function 2B and 11 are refused as unknown (01)."""
    return bytes([address, pdu[0], 2, 0, 7]) if pdu[0] in (0x03, 0x04) else refuses(address, pdu, 1)


class LosingLine(RecordingLine):
    """Loses its port once, at the write with this number."""

    def __init__(self, line: AnsweringLine, lost_at: int) -> None:
        super().__init__(line)
        self._lost_at = lost_at
        self._writes = 0

    def write(self, data: bytes) -> Sent:
        """Write, or lose the port."""
        self._writes += 1
        if self._writes == self._lost_at:
            raise PortError("port", PortProblem.VANISHED, "gone")
        return super().write(data)


def never_answers(address: int, pdu: bytes) -> bytes:
    return b""


def result_of(answer: Callable[[int, bytes], bytes], plan: SearchPlan = PLAN) -> tuple[Searched, AnsweringLine]:
    clock = JumpingClock()
    line = AnsweringLine(clock, answer)
    evidence = Evidence()
    search = Search(Asker(line, clock, evidence), evidence, plan)
    return Searched(list(search.run())), line


def test_a_program_that_refuses_at_every_address_is_said_so_within_twenty_requests() -> None:
    """A common library's server answers exception 04 at every address it does not serve."""
    result, line = result_of(lambda address, pdu: refuses(address, pdu, 4))

    (everywhere,) = result.everywhere
    assert (everywhere.exception_code, result.addresses) == (4, set())
    assert everywhere.asked <= 20
    assert {data[0] for _, data in line.writes[: everywhere.asked]} == set(everywhere.addresses_tried)


def test_a_program_that_knows_one_function_everywhere_is_said_so_though_a_device_was_found_by_another_before() -> None:
    """It kept silent where nobody should be, as long as that was asked with the other function."""

    def answers_04_everywhere(address: int, pdu: bytes) -> bytes:
        return answers_data(address, pdu) if pdu[0] == 0x04 or address == 5 else b""

    result, _ = result_of(answers_04_everywhere)

    (everywhere,) = result.everywhere
    assert (everywhere.exception_code, result.addresses) == (0, {5})


def test_one_lost_answer_makes_no_device_of_each_address() -> None:
    lost = iter([173])

    def answers_but_once(address: int, pdu: bytes) -> bytes:
        return b"" if address == 173 and next(lost, 0) else answers_data(address, pdu)

    result, _ = result_of(answers_but_once)

    assert len(result.everywhere) == 1
    assert len(result.addresses) == 8


def test_where_all_unlikely_addresses_are_known_nothing_is_concluded() -> None:
    known = (173, 211, 94, 158, 226, 137, 201, 118)

    result, _ = result_of(
        lambda address, pdu: answers_data(address, pdu) if address in known else b"",
        replace(PLAN, addresses=known, planned=frozenset(known)),
    )

    assert (result.addresses, result.everywhere) == (set(known), [])


def test_behind_a_gateway_that_refuses_for_absent_devices_those_with_data_are_found() -> None:
    """Exception 0B: the gateway's target does not respond (Application V1.1b3, 7)."""

    def gateway(address: int, pdu: bytes) -> bytes:
        return answers_data(address, pdu) if address in (1, 5, 60) else refuses(address, pdu, 0x0B)

    result, _ = result_of(gateway)

    assert [one.exception_code for one in result.everywhere] == [0x0B]
    assert result.addresses == {1, 5, 60}
    assert result.end.end is SearchEnd.ALL_ASKED


def test_a_program_that_has_data_everywhere_is_one_finding_and_ends_the_asking_there() -> None:
    result, line = result_of(answers_data)

    (everywhere,) = result.everywhere
    assert (everywhere.exception_code, result.addresses) == (0, set())
    assert len(line.writes) <= 20


def test_devices_at_the_addresses_asked_for_comparison_are_no_answer_everywhere() -> None:
    """The plan names them, so others are asked."""

    def answer(address: int, pdu: bytes) -> bytes:
        return answers_data(address, pdu) if address in (94, 173, 211) else b""

    planned = frozenset({94, 173, 211})
    result, _ = result_of(answer, replace(PLAN, addresses=(94, 173, 211), planned=planned))

    assert (result.everywhere, result.addresses) == ([], {94, 173, 211})


def test_a_device_that_knows_only_input_registers_is_found_by_function_04() -> None:
    result, _ = result_of(lambda address, pdu: answers_data(address, pdu) if (address, pdu[0]) == (9, 4) else b"")

    (found,) = result.found
    assert (found.server_address, int(found.function), found.is_refusal) == (9, 4, False)


def test_a_refusal_is_presence() -> None:
    result, _ = result_of(lambda address, pdu: refuses(address, pdu, 2) if address == 9 else b"")

    (found,) = result.found
    assert (found.server_address, found.is_refusal, found.confirmations) == (9, True, 2)


def test_each_address_is_asked_with_03_and_04_and_no_address_beyond() -> None:
    """Serial Line V1.02, 2.2: servers have 1 to 247."""
    result, line = result_of(never_answers)

    asked = [(data[0], data[1]) for _, data in line.writes]
    assert sorted(asked[:494]) == [(address, function) for address in range(1, 248) for function in (3, 4)]
    assert result.end.asked == 494


def test_where_nothing_answers_all_are_asked_once_more_each_after_a_rest() -> None:
    """0.6 s: a common library's server takes the next frame within 0.5 s for its neighbour's answer, and drops it."""
    result, line = result_of(never_answers)

    again = line.writes[494:]
    gaps_s = [later - earlier for (earlier, _), (later, _) in pairwise(again)]
    (rested,) = [one for one in result.events if isinstance(one, AskedRested)]
    assert sorted(data[0] for _, data in again) == list(range(1, 248))
    assert min(gaps_s) > 0.6
    assert rested.needed_s == pytest.approx(again[-1][0] - again[0][0], rel=0.05)


def test_a_search_never_sends_anything_but_reads() -> None:
    def answer(address: int, pdu: bytes) -> bytes:
        return answers_data(address, pdu) if address < 20 else b""

    settings = {NO_PARITY_9600: 0.6, SerialSettings.of(19200, "8E1"): 0.4}
    _, line = result_of(answer, replace(PLAN, settings=settings))

    assert {data[1] for _, data in line.writes} == {0x03, 0x04, 0x11, 0x2B}


def test_a_search_that_goes_on_does_not_say_again_that_everything_answers() -> None:
    def gateway(address: int, pdu: bytes) -> bytes:
        return answers_data(address, pdu) if address == 60 else refuses(address, pdu, 0x0B)

    clock = JumpingClock()
    evidence = Evidence()
    asker = Asker(AnsweringLine(clock, gateway), clock, evidence)
    first = Search(asker, evidence, replace(PLAN, addresses=(1, 2, 3)))
    list(first.run())

    again = Searched(list(Search(asker, evidence, replace(PLAN, memory=first.memory)).run()))

    assert (again.everywhere, again.addresses) == ([], {60})


def only_03_at_1(address: int, pdu: bytes) -> bytes:
    return answers_data(address, pdu) if (address, pdu[0]) == (1, 0x03) else b""


@pytest.mark.parametrize("turnaround_s", [0.02, 0.3])
@pytest.mark.parametrize("lost_at", range(1, 7))
def test_a_port_lost_at_any_write_does_not_lose_the_device(lost_at: int, turnaround_s: float) -> None:
    """Its only chance is one question with 03, which may have been asked, answered late, or half confirmed."""
    plan = replace(PLAN, addresses=(1, 2))
    clock = JumpingClock()
    line = LosingLine(AnsweringLine(clock, only_03_at_1, turnaround_s), lost_at)
    evidence = Evidence()
    asker = Asker(line, clock, evidence)
    first = Search(asker, evidence, plan)
    with pytest.raises(PortError):
        list(first.run())
    evidence.take_late()
    evidence.take_strays()

    after = Searched(list(Search(asker, evidence, replace(plan, memory=first.memory)).run()))

    assert after.end.devices == 1
