"""Guarded writes to simulated devices of known habits, in virtual time.

Truth is what the device holds. The four ends - held, fell back, clipped, ignored - are those of practice; no standard
names them. Frames are written out from Application V1.1b3, 6.6 and 6.12, with check sums of the reference codec.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.registers.point import Access, WriteType
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import (
    OldNotRead,
    OldRead,
    WriteAnswer,
    WriteBegun,
    WriteGivenUp,
    WriteJudged,
    Written,
)
from buswalk.domain.registers.writing.intended import IntendedWrite, RawPlace, SecondConfirmation
from buswalk.domain.registers.writing.order import WriteOrder, put_back_order
from buswalk.domain.registers.writing.visit_writes import MayNotPutBack, MayPutBack
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import GuardRefusal
from buswalk.jobs.writing import require_orderly
from simulated_line.reference_codec.check_sum import closed
from tests.fakes.asked_site import N81
from tests.fakes.written_line import (
    REASON,
    SETPOINT,
    WEARING,
    WrittenLine,
    device_site,
    judged_of,
    looks_of,
    to_raw,
    to_setpoint,
)

WRITE_230 = closed(bytes.fromhex("25 06 00 00 00 E6"))
READ_0 = closed(bytes.fromhex("25 03 00 00 00 01"))


def test_a_value_that_holds_is_read_back_four_times(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))

    said = line.write(to_setpoint(230))

    assert line.requests == [READ_0, WRITE_230, READ_0, READ_0, READ_0, READ_0]
    assert looks_of(said) == [(at, (230,), "held") for at in (0.0, 2.0, 10.0, 60.0)]
    assert judged_of(said) == "held"
    assert line.register(0) == 230


def test_the_old_value_is_kept_before_a_byte_of_the_write_leaves(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))
    sent: list[int] = []
    line.on_event = lambda event: sent.append(len(line.requests)) if isinstance(event, WriteBegun) else None

    said = line.write(to_setpoint(230))

    (begun,) = [one for one in said if isinstance(one, WriteBegun)]
    assert begun.old == OldRead((215,), 1)
    assert begun.reason == REASON
    assert sent == [1]


def test_looks_are_due_by_the_time_of_the_write(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))

    line.write(to_setpoint(230))

    written, *looks = line.exchanges[1:]
    begun_s = [one.sent.begin_s - written.ended_s for one in looks]  # type: ignore[union-attr]
    assert begun_s == pytest.approx([0.0, 2.0, 10.0, 60.0], abs=0.1)


@pytest.mark.parametrize(
    ("habits", "raw", "verdicts", "held_at_last"),
    [
        ('write_effect = "ignored"', 230, ["ignored"] * 4, 215),
        ('write_effect = "clipped"\nclip_high = 220', 230, ["clipped"] * 4, 220),
        ('write_effect = "falls_back"\nfalls_back_after_s = 1.0', 230, ["held"] + ["fell_back"] * 3, 215),
        ('write_effect = "falls_back"\nfalls_back_after_s = 5.0', 230, ["held"] * 2 + ["fell_back"] * 2, 215),
        ('write_effect = "falls_back"\nfalls_back_after_s = 30.0', 230, ["held"] * 3 + ["fell_back"], 215),
        ("", 215, ["no_difference"] * 4, 215),
    ],
)
def test_each_habit_gets_its_verdict_at_each_look(
    tmp_path: Path, habits: str, raw: int, verdicts: list[str], held_at_last: int
) -> None:
    line = WrittenLine(device_site(tmp_path, habits))

    said = line.write(to_setpoint(raw))

    assert [verdict for _, _, verdict in looks_of(said)] == verdicts
    assert judged_of(said) == verdicts[-1]
    assert line.register(0) == held_at_last


def test_a_value_that_a_timer_takes_away_falls_back_to_the_safe_one(tmp_path: Path) -> None:
    """A drive's loss timer puts 0 there when nobody asks for 20 s: not the old value, and yet fallen back."""
    habits = (
        'loss_timer_s = 20.0\nloss_recovery = "after_restart"\n'
        'safe_values = [{ table = "holding_registers", address = 0, words = [0] }]'
    )
    line = WrittenLine(device_site(tmp_path, habits))

    said = line.write(to_setpoint(230))

    assert looks_of(said)[-1] == (60.0, (0,), "fell_back")


def test_nothing_leaves_while_writing_is_locked(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path), is_unlocked=False)

    with pytest.raises(GuardRefusal, match="locked"):
        line.write(to_setpoint(230))

    assert line.requests == []


def test_after_five_minutes_of_the_wall_writing_is_locked_however_fast_the_line(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))
    line.write(to_setpoint(230))
    line.real_s = 299.0
    line.write(to_setpoint(231))
    line.real_s = 300.0

    with pytest.raises(GuardRefusal):
        line.write(to_setpoint(232))

    assert line.register(0) == 231


def test_what_changed_since_it_was_shown_is_not_written_over(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))

    said = line.write(replace(to_setpoint(230), seen=(200,)))

    (given_up,) = said
    assert isinstance(given_up, WriteGivenUp)
    assert "from 20.0 °C to 21.5 °C" in given_up.sentence
    assert line.requests == [READ_0]


def test_a_register_that_is_not_there_is_not_written_unless_there_may_be_no_way_back(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))

    refused = line.write(to_raw(900, 1))
    accepted = line.write(replace(to_raw(900, 1), confirmed=frozenset({SecondConfirmation.NO_WAY_BACK})))

    assert isinstance(refused[0], WriteGivenUp)
    assert "exception 02" in refused[0].sentence
    (written,) = [one for one in accepted if isinstance(one, Written)]
    assert (written.answer, written.exception_code) == (WriteAnswer.REFUSED, 2)
    assert judged_of(accepted) == "not_read"
    assert line.writes.not_put_back() == ()


def test_a_device_that_only_writes_several_is_written_so(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path, "functions = [3, 16]"))

    said = line.write(to_setpoint(230))

    assert line.requests[1:3] == [WRITE_230, closed(bytes.fromhex("25 10 00 00 00 01 02 00 E6"))]
    assert [one.answer for one in said if isinstance(one, Written)] == [WriteAnswer.REFUSED, WriteAnswer.CONFIRMED]
    assert judged_of(said) == "held"


def test_several_words_go_in_one_request(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))

    said = line.write(to_raw(0, 0x41AC, 0x0000))

    assert line.requests[1] == closed(bytes.fromhex("25 10 00 00 00 02 04 41 AC 00 00"))
    assert judged_of(said) == "held"


@pytest.mark.parametrize(("words", "frame"), [((1,), "25 05 00 02 FF 00"), ((1, 0, 1), "25 0F 00 02 00 03 01 05")])
def test_coils_are_written_and_read_back(tmp_path: Path, words: tuple[int, ...], frame: str) -> None:
    coils = '\n[[device.cell]]\ntable = "coils"\naddress = 2\nwords = [0, 0, 0]\n'
    site = device_site(tmp_path, "functions = [1, 3, 5, 15]" + coils)
    line = WrittenLine(site)
    place = RawPlace(Table.COILS, 2, len(words))

    said = line.write(WriteOrder(IntendedWrite(37, N81, place, words), REASON))

    assert line.requests[1] == closed(bytes.fromhex(frame))
    assert looks_of(said)[0] == (0.0, words, "held")


def test_a_stop_waits_for_the_first_look(tmp_path: Path) -> None:
    """It comes before the write has left: write and look are done and told, then the stop is raised."""
    line = WrittenLine(device_site(tmp_path))
    line.on_event = lambda event: line.stop.set() if isinstance(event, WriteBegun) else None

    with pytest.raises(Stopped):
        line.write(to_setpoint(230))

    assert line.requests == [READ_0, WRITE_230, READ_0]
    assert looks_of(line.events) == [(0.0, (230,), "held")]


def test_a_trigger_is_not_judged_and_not_put_back(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))
    trigger = replace(SETPOINT, write_type=WriteType.TRIGGER)

    said = line.write(to_setpoint(230, trigger))

    (judged,) = [one for one in said if isinstance(one, WriteJudged)]
    assert "read back says nothing" in judged.sentence
    assert line.writes.not_put_back() == ()
    assert isinstance(line.writes.putting_back(1, (230,)), MayNotPutBack)


def test_a_broadcast_needs_its_own_confirmation_and_is_not_read_back(tmp_path: Path) -> None:
    """Serial Line V1.02, 2.1: all take it, nobody answers."""
    line = WrittenLine(device_site(tmp_path))
    order = to_raw(0, 230, server_address=0)

    with pytest.raises(GuardRefusal, match="all devices"):
        require_orderly(order, 0)
    said = line.write(replace(order, confirmed=frozenset({SecondConfirmation.ALL_DEVICES})))

    assert [one.answer for one in said if isinstance(one, Written)] == [WriteAnswer.NOBODY_ANSWERS]
    assert judged_of(said) == "not_read"
    assert line.requests == [closed(bytes.fromhex("00 06 00 00 00 E6"))]
    assert line.register(0) == 230


def test_wearing_memory_asks_again_from_the_fourth_write_on(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path, "memory = { wearing = [0], counter_at = 40 }"))

    for raw in (1, 2, 3):
        order = to_setpoint(raw, WEARING)
        require_orderly(order, line.writes.count_to(order.intended.target))
        line.write(order)

    order = to_setpoint(4, WEARING)
    with pytest.raises(GuardRefusal, match="wears the memory"):
        require_orderly(order, line.writes.count_to(order.intended.target))
    require_orderly(replace(order, confirmed=frozenset({SecondConfirmation.WEARS_MEMORY})), 3)


def test_the_old_value_is_put_back_while_the_present_one_is_ours(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))
    line.write(to_setpoint(230))
    order = put_back_order(line.writes.writes[0], "test is over")
    assert order is not None
    assert [one.intended.words for one in line.writes.not_put_back()] == [(230,)]

    said = line.write(order)

    assert judged_of(said) == "held"
    assert line.register(0) == 215
    assert line.writes.not_put_back() == ()


def test_what_somebody_else_wrote_since_is_not_overwritten_by_putting_back(tmp_path: Path) -> None:
    line = WrittenLine(device_site(tmp_path))
    line.write(to_setpoint(230))
    order = put_back_order(line.writes.writes[0], "test is over")
    assert order is not None
    device = line.site.devices["example"]
    device.registers.put(list(device.registers.cells)[2], 0, 199)

    (said,) = line.write(order)

    assert isinstance(said, WriteGivenUp)
    assert "somebody else" in said.sentence
    assert line.register(0) == 199


def test_a_clipped_value_can_be_put_back(tmp_path: Path) -> None:
    """What the device made of our value is ours too."""
    line = WrittenLine(device_site(tmp_path, 'write_effect = "clipped"\nclip_high = 220'))
    line.write(to_setpoint(230))

    assert line.writes.putting_back(1, (220,)) == MayPutBack((215,))


def test_a_place_that_cannot_be_read_has_no_old_value(tmp_path: Path) -> None:
    clearing = replace(SETPOINT, clears_on_read=True)
    line = WrittenLine(device_site(tmp_path))
    order = replace(to_setpoint(230, clearing), confirmed=frozenset({SecondConfirmation.NO_WAY_BACK}))

    said = line.write(order)

    (begun,) = [one for one in said if isinstance(one, WriteBegun)]
    assert isinstance(begun.old, OldNotRead)
    assert put_back_order(line.writes.writes[0], "test") is None
    assert line.requests == [WRITE_230]


def test_what_the_list_forbids_is_refused_before_anything_is_sent() -> None:
    with pytest.raises(GuardRefusal, match=r"31\.0 °C is outside .* 5 to 30 °C"):
        require_orderly(to_setpoint(310), 0)
    with pytest.raises(GuardRefusal, match="only read"):
        require_orderly(to_setpoint(230, replace(SETPOINT, access=Access.READ)), 0)
