"""What a list says is to be written for a move. The codes are invented; which register sets what is the maker's."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.readdressing.proposal import proposal_for
from buswalk.domain.registers.point import Access, NamedValue, Point, Sets
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.tables import Table

SLOW, FAST = SerialSettings.of(9600, "8N1"), SerialSettings.of(19_200, "8E1")
HERE = Reach(1, SLOW)


def point(name: str, register: int, sets: Sets, *named: tuple[int, str]) -> Point:
    values = tuple(NamedValue(*one) for one in named)
    return Point(
        name, Table.HOLDING_REGISTERS, register, named=values, access=Access.READ_WRITE, sets=sets, words=name.title()
    )


ADDRESS = point("address", 100, Sets.SERVER_ADDRESS)
SPEED = point("speed", 101, Sets.SPEED, (3, "9600"), (4, "19200"))
JOINED_SPEED = point("speed", 101, Sets.SPEED, (7, "9600 8N1"), (8, "19200 8E1"), (9, "19200 8N1"))
FRAMING = point("framing", 102, Sets.FRAMING, (0, "8N1"), (1, "8E1"))
SAVE = point("save", 255, Sets.SAVE, (0xAA55, "save"))


def listed(*points: Point) -> RegisterProfile:
    return RegisterProfile("p", "p", points)


def test_what_saves_is_written_last() -> None:
    proposal = proposal_for(listed(SAVE, SPEED, FRAMING, ADDRESS), HERE, Reach(45, FAST))

    assert proposal.writes == (
        RegisterValue(100, 45),
        RegisterValue(101, 4),
        RegisterValue(102, 1),
        RegisterValue(255, 0xAA55),
    )
    assert proposal.missing == ()


def test_only_what_changes_is_written() -> None:
    assert proposal_for(listed(ADDRESS, SPEED), HERE, Reach(45, SLOW)).writes == (RegisterValue(100, 45),)


def test_a_speed_register_that_names_framings_sets_both() -> None:
    proposal = proposal_for(listed(JOINED_SPEED), HERE, Reach(1, FAST))

    assert (proposal.writes, proposal.missing) == ((RegisterValue(101, 8),), ())


def test_stop_bits_that_nobody_can_tell_are_not_missed() -> None:
    """Receivers test the first stop bit only: 8N2 is served by the code of 8N1."""
    proposal = proposal_for(listed(ADDRESS, JOINED_SPEED), HERE, Reach(2, SerialSettings.of(19_200, "8N2")))

    assert proposal.writes == (RegisterValue(100, 2), RegisterValue(101, 9))


def test_what_the_list_does_not_say_is_said() -> None:
    proposal = proposal_for(listed(ADDRESS, SPEED), HERE, Reach(45, SerialSettings.of(57_600, "8E1")))

    assert proposal.writes == (RegisterValue(100, 45),)
    assert proposal.missing == (
        "the list has no value of Speed for 57600 8E1",
        "the list names no register that sets the framing",
    )


def test_a_list_without_such_registers_proposes_nothing() -> None:
    proposal = proposal_for(listed(SAVE), HERE, Reach(45, SLOW))

    assert proposal.writes == ()
    assert proposal.missing == ("the list names no register that sets the address",)
