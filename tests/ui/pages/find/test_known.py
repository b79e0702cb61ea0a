"""What the user knows, and the plan that follows."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.ui.pages.find.known import (
    Framing,
    Known,
    LineIs,
    WhichAddresses,
    WrongAddresses,
    plan_of,
    settings_of,
    typed_addresses,
)
from buswalk.ui.pages.find.known_words import KnownLists

PLANNED = frozenset({11, 14})


def test_nothing_known_asks_every_address_at_every_usual_setting() -> None:
    plan = plan_of(Known(), PLANNED)

    assert plan.addresses == tuple(range(1, 248))
    assert next(iter(plan.settings)) == SerialSettings.of(9600, "8N2")
    assert plan.planned == PLANNED
    assert plan.listen_s == 10.0
    assert not plan.may_probe_living_line


def test_a_speed_that_is_known_is_asked_with_every_framing() -> None:
    settings = settings_of(Known(baud_rates=(4800,)))

    assert [str(one) for one in settings] == ["4800 8N2", "4800 8E1", "4800 8O1"]


def test_a_framing_that_is_known_is_asked_at_every_usual_speed() -> None:
    settings = settings_of(Known(framing=Framing.EVEN))

    assert {one.framing for one in settings} == {"8E1"}
    assert {one.baud_rate for one in settings} == {1200, 2400, 4800, 9600, 19200, 38400, 57600, 76800, 115200}
    assert next(iter(settings)).baud_rate == 19200


def test_both_known_is_one_setting() -> None:
    assert [str(one) for one in settings_of(Known(baud_rates=(19200,), framing=Framing.ODD))] == ["19200 8O1"]


def test_a_device_on_a_lead_is_asked_without_listening() -> None:
    assert plan_of(Known(line_is=LineIs.ALONE), frozenset()).listen_s == 0.0


def test_only_the_planned_ones_can_be_asked() -> None:
    assert plan_of(Known(addresses=WhichAddresses.PLANNED), PLANNED).addresses == (11, 14)
    assert len(plan_of(Known(addresses=WhichAddresses.PLANNED), frozenset()).addresses) == 247


@pytest.mark.parametrize(
    ("text", "addresses"),
    [
        ("56", (56,)),
        ("11, 14, 21-24", (11, 14, 21, 22, 23, 24)),
        ("11;14 21 to 23", (11, 14, 21, 22, 23)),
        (" 247 , 1 ", (1, 247)),
        ("3 – 5, 4", (3, 4, 5)),
    ],
)
def test_addresses_are_typed_as_people_write_them(text: str, addresses: tuple[int, ...]) -> None:
    assert typed_addresses(text) == addresses


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no address is written"),
        ("0", "leaves 1 to 247"),
        ("240 to 250", "leaves 1 to 247"),
        ("24 to 21", "runs backwards"),
        ("0x1F", "'0x1F' is no address"),
        ("elf", "'elf' is no address"),
        ("11-", "'-' is no address"),
    ],
)
def test_what_is_no_address_is_refused_with_a_way_out(text: str, words: str) -> None:
    with pytest.raises(WrongAddresses, match=words):
        typed_addresses(text)


def test_the_lists_offer_what_there_is() -> None:
    lists = KnownLists(Known(), PLANNED)

    assert lists.speed_choice().words[:3] == ("any speed", "1200", "2400")
    assert lists.framing_choice().words == ("any framing", "8N1 or 8N2", "8E1", "8O1")
    assert lists.address_choice().words == ("1 to 247, plan first", "planned ones (2)", "other ones…")
    assert lists.line_is_choice().words == ("live: listen first", "one device on a lead")


def test_typed_addresses_stay_in_the_list() -> None:
    lists = KnownLists(Known(addresses=WhichAddresses.TYPED, typed=(5, 6, 7, 56)), frozenset())

    choice = lists.address_choice()
    assert choice.words == ("1 to 247", "5 to 7, 56", "other ones…")
    assert choice.chosen == "5 to 7, 56"
    assert lists.is_typing_entry(2)
