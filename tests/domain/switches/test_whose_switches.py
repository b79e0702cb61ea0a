"""Which planned device a stranger is, and where a silent one may answer: by the mistakes on the board it has."""

from __future__ import annotations

from buswalk.board_parts import read_boards
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.whose_switches import WhoseFinder

LIBRARY = read_boards()
PLAIN, SLOW, FAST = (SerialSettings.of(baud_rate, "8N1") for baud_rate in (9600, 4800, 19_200))
PLAN = (
    PlannedDevice(1, 11, "controller of bay 1", PLAIN, "levers-7-line-end"),
    PlannedDevice(2, 14, "controller of bay 2", PLAIN, "levers-7-line-end", "box 4"),
    PlannedDevice(3, 24, "air, bay 2 south", PLAIN, "dials-hex"),
    PlannedDevice(4, 45, "soil probe", SLOW),
)
FOUND = {1: SerialSettings.of(4800, "8N2"), 11: PLAIN, 56: FAST}


def finder(found: dict[int, SerialSettings] = FOUND, plan: tuple[PlannedDevice, ...] = PLAN) -> WhoseFinder:
    return WhoseFinder(plan, found, LIBRARY)


def test_a_stranger_is_the_silent_device_whose_levers_read_from_the_other_end_give_its_address() -> None:
    """14 = 2 + 4 + 8; from the other end of seven levers that is 32 + 16 + 8 = 56. It finds its speed by itself."""
    whose = finder().of(56)

    assert (whose.name, whose.intended, whose.found) == ("controller of bay 2", 14, 56)
    assert (whose.board, whose.where) == ("levers-7-line-end", "box 4")


def test_a_silent_device_is_found_where_its_levers_lead() -> None:
    assert finder().of(14) == finder().of(56)


def test_a_device_as_delivered_is_known_by_its_setting() -> None:
    """Both 24 and 45 are silent; 4800 is planned for 45 alone."""
    assert finder().of(1).intended == 45


def test_a_device_that_answers_where_it_should_is_itself() -> None:
    whose = finder().of(11)

    assert (whose.intended, whose.found) == (11, 11)


def test_what_nothing_explains_is_matched_with_nothing() -> None:
    stranger = finder({200: PLAIN}, PLAN[3:]).of(200)
    silent = finder({11: PLAIN}).of(45)

    assert (stranger.name, stranger.intended, stranger.found) == ("device 200", None, 200)
    assert (silent.intended, silent.found) == (45, None)


def test_what_tells_most_is_shown_first() -> None:
    assert finder().most_telling() == 56
    assert finder({56: FAST, 11: PLAIN}).most_telling() == 56
    assert finder({11: PLAIN}).most_telling() == 14
    assert finder({one.server_address: PLAIN for one in PLAN}).most_telling() == 0
