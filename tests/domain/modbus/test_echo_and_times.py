"""Our own transmission heard back, and what arrivals say of times."""

from __future__ import annotations

import pytest

from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark
from buswalk.domain.line.line_traits import Echo
from buswalk.domain.modbus.exchange import Turnaround
from buswalk.domain.modbus.functions.write_single_register import SingleRegisterWritten
from buswalk.domain.modbus.observation import (
    EchoDamaged,
    EchoHeard,
    MarksSeen,
    PauseInside,
    VeryEarly,
)
from buswalk.domain.modbus.outcome import (
    DamagedEcho,
    EchoOnly,
    NormalReply,
    ShortReply,
)
from tests.fakes.answered_question import (
    CHARACTER_S,
    GOOD,
    REQUEST_ADU,
    SENT,
    WRITE,
    WRITE_ADU,
    arrivals_of,
    concluded,
    of_kind,
    question,
)


def echoed(data: bytes, end_s: float) -> Arrival:
    """Bytes whose last one ended at a moment, surely."""
    return Arrival(data, (), end_s - (len(data) - 1) * CHARACTER_S - 0.0002, end_s)


def test_an_echo_in_front_of_a_reply_is_taken_off() -> None:
    arrivals = [echoed(REQUEST_ADU, SENT.end_not_after_s), *arrivals_of(GOOD)]

    conclusion = concluded(question(echo=Echo.NOT_KNOWN), arrivals)

    assert isinstance(conclusion.outcome, NormalReply)
    assert conclusion.observations == (EchoHeard(8),)


@pytest.mark.parametrize("echo", [Echo.NOT_KNOWN, Echo.HEARD])
def test_an_echo_alone_is_no_confirmation_of_a_write(echo: Echo) -> None:
    """The confirmation of function 06 is byte for byte the request: time tells them apart."""
    arrivals = [echoed(WRITE_ADU, SENT.end_not_after_s)]

    conclusion = concluded(question(WRITE, WRITE_ADU, echo=echo), arrivals)

    assert isinstance(conclusion.outcome, EchoOnly)


def test_two_copies_are_echo_and_confirmation() -> None:
    arrivals = [echoed(WRITE_ADU, SENT.end_not_after_s), *arrivals_of(WRITE_ADU)]

    conclusion = concluded(question(WRITE, WRITE_ADU, echo=Echo.HEARD), arrivals)

    assert conclusion.outcome == NormalReply(WRITE_ADU, SingleRegisterWritten(10, 210))
    assert EchoHeard(8) in conclusion.observations


def test_one_copy_that_came_too_late_for_an_echo_is_the_confirmation() -> None:
    conclusion = concluded(question(WRITE, WRITE_ADU, echo=Echo.NOT_KNOWN), arrivals_of(WRITE_ADU))

    assert isinstance(conclusion.outcome, NormalReply)


def test_where_the_time_leaves_it_open_a_write_is_not_believed() -> None:
    unsure = Arrival(WRITE_ADU, (), SENT.end_not_before_s - 0.005, SENT.end_not_after_s + 0.030)

    conclusion = concluded(question(WRITE, WRITE_ADU, echo=Echo.NOT_KNOWN), [unsure])

    assert isinstance(conclusion.outcome, EchoOnly)


def test_an_echo_that_came_back_changed_is_said() -> None:
    """Somebody else was sending at the same time."""
    changed = bytes.fromhex("25 03 00 00 40 02 C2 EF")

    conclusion = concluded(question(echo=Echo.HEARD), [echoed(changed, SENT.end_not_after_s)])

    assert conclusion.outcome == DamagedEcho(changed)
    assert conclusion.observations == (EchoDamaged(changed),)


def test_the_first_two_bytes_of_a_reply_are_not_an_echo() -> None:
    """With nothing known of the adapter, `25 03` could begin either; it came after our sending."""
    conclusion = concluded(question(echo=Echo.NOT_KNOWN), arrivals_of(GOOD[:2]))

    assert conclusion.outcome == ShortReply(GOOD[:2], 9)


# Times


def test_turnaround_is_a_range_from_which_the_characters_are_taken_off() -> None:
    conclusion = concluded(question(), arrivals_of(GOOD, begin_s=0.020))

    assert isinstance(conclusion.turnaround, Turnaround)
    assert conclusion.turnaround.not_more_than_s == pytest.approx(0.020, abs=1e-9)
    assert conclusion.turnaround.not_less_than_s <= 0.020


def test_a_pause_surely_longer_than_one_and_a_half_characters_is_said() -> None:
    """Serial Line V1.02, 2.5.1.1; a controller was met that refuses such a reply."""
    first, second = GOOD[:3], GOOD[3:]
    begin_s = SENT.end_not_after_s + 0.02
    pause_s = 0.007
    arrivals = [
        echoed(first, begin_s + 3 * CHARACTER_S),
        Arrival(second[:1], (), begin_s + 4 * CHARACTER_S + pause_s - 1e-4, begin_s + 4 * CHARACTER_S + pause_s),
        echoed(second[1:], begin_s + 9 * CHARACTER_S + pause_s),
    ]

    conclusion = concluded(question(), arrivals)

    pauses = [one for one in conclusion.observations if isinstance(one, PauseInside)]
    assert [one.after_byte for one in pauses] == [3]
    assert pauses[0].not_less_than_s == pytest.approx(pause_s - 1e-4, abs=1e-9)


def test_a_lump_that_an_adapter_held_back_is_no_pause() -> None:
    """16 ms of latency: the range of the later lump reaches back to the earlier one."""
    begin_s = SENT.end_not_after_s + 0.02
    arrivals = [
        Arrival(GOOD[:4], (), begin_s - 0.012, begin_s + 4 * CHARACTER_S),
        Arrival(GOOD[4:], (), begin_s + 4 * CHARACTER_S, begin_s + 4 * CHARACTER_S + 0.016),
    ]

    assert of_kind(concluded(question(), arrivals), PauseInside) == []


def test_a_reply_that_began_before_our_request_ended_is_very_early() -> None:
    early = Arrival(GOOD, (), 0.001, SENT.end_not_before_s + 5 * CHARACTER_S)

    assert of_kind(concluded(question(), [early]), VeryEarly) != []


def test_marks_are_counted_over_all_bytes_of_the_exchange() -> None:
    first, second = arrivals_of(GOOD, (5,))
    marked = Arrival(second.data, (ByteMark(1, LineMark.PARITY_ERROR),), second.not_before_s, second.not_after_s)

    conclusion = concluded(question(), [first, marked])

    assert isinstance(conclusion.outcome, NormalReply)
    assert of_kind(conclusion, MarksSeen) == [MarksSeen((ByteMark(6, LineMark.PARITY_ERROR),))]
