"""What the page Switches says and does, word by word."""

from __future__ import annotations

import pytest

from buswalk.domain.switches.board import Side, pattern_text
from buswalk.domain.switches.geometry import Turn
from buswalk.ui.pages.switches.board_editing import BoardFact
from buswalk.ui.pages.switches.describe_state import FactChoice
from buswalk.ui.pages.switches.switches_state import ControlsKind
from buswalk.ui.pages.switches.ways import SwitchedDevice
from buswalk.ui.tones import Tone
from tests.fakes.switches_bench import SwitchesBench

BAY_2 = SwitchedDevice("controller type P", 14, 56, "levers-7-line-end", "bay 2")


def positions(bench: SwitchesBench) -> str:
    return pattern_text(tuple(one.position for one in bench.state.block.controls))


def test_at_first_a_plain_board_stands_at_address_1() -> None:
    state = SwitchesBench().state

    assert state.sentence == "From address to switches and back. Here: 8 levers, lever 1 counts 1."
    assert state.kind is ControlsKind.LEVERS
    assert state.boards[state.board].name == "levers-8"
    assert (state.block.decimal, state.block.hexadecimal, state.block.binary) == ("1", "0x01", "0000 0001")
    assert state.keys == "Left/Right: lever   Space: flip   1 – 8: flip"
    assert not state.is_changed
    assert state.device_words == ""


def test_an_address_sets_the_levers_in_three_notations_at_once() -> None:
    bench = SwitchesBench().on("levers-7-line-end")

    bench.presenter.type_address("14")

    block = bench.state.block
    assert positions(bench) == "01110000"
    assert block.sum_words == "2 + 4 + 8 = 14, board adds 0  →  address 14"
    assert (block.decimal, block.hexadecimal, block.binary) == ("14", "0x0E", "0000 1110")
    assert (block.on_caption, block.on_words) == ("Levers ON", "2, 3, 4")
    assert block.others == ("Line end off (8)",)
    assert block.trouble == ""


@pytest.mark.parametrize(
    ("act", "text"),
    [
        ("type_address", "37"),
        ("type_address", " 0x25 "),
        ("type_hexadecimal", "25"),
        ("type_hexadecimal", "0x25"),
        ("type_binary", "10 0101"),
        ("type_binary", "0b100101"),
        ("type_pattern", "10100100"),
        ("type_pattern", "on off on off off on off off"),
        ("type_pattern", "0x25"),
    ],
)
def test_every_notation_leads_to_the_same_levers(act: str, text: str) -> None:
    bench = SwitchesBench()

    getattr(bench.presenter, act)(text)

    assert positions(bench) == "10100100"
    assert bench.state.block.trouble == ""


def test_flipping_says_the_address_at_once() -> None:
    """From 1: lever 3 adds 4; the key 6 flips lever 6, which adds 32."""
    bench = SwitchesBench()

    bench.presenter.flip(2)
    bench.presenter.flip_numbered("6")

    assert bench.state.block.decimal == "37"
    assert bench.state.block.controls[2].spoken == "Lever 3, ON, counts 4"
    assert bench.state.block.controls[1].spoken == "Lever 2, OFF, does not count, weighs 2"


def test_what_must_be_moved_from_what_is_set() -> None:
    """From 1 (lever 1) to 18 (levers 2 and 5): three flips."""
    bench = SwitchesBench()
    bench.presenter.here_is_set()

    bench.presenter.type_address("18")

    assert bench.state.block.moves == "Flip 1, 2 and 5 from what is set now."
    assert [one.index for one in bench.state.block.picture.levers if one.is_marked] == [0, 1, 4]


def test_dials_are_turned_and_read() -> None:
    bench = SwitchesBench().on("dials-hex")
    bench.presenter.set_position(0, 1)
    bench.presenter.set_position(1, 4)

    block = bench.state.block
    assert bench.state.kind is ControlsKind.HEX_DIALS
    assert bench.state.keys == "Left/Right: dial   Up/Down: turn   0 – F: set"
    assert block.sum_words == "1 x 16 + 4 x 1 = 20, board adds 0  →  address 20"
    assert (block.on_caption, block.on_words) == ("Dials show", "1 and 4")
    assert block.controls[0].spoken == "Dial x16, at 1, counts 16"


def test_a_dial_turns_over_its_end() -> None:
    bench = SwitchesBench().on("dials-decimal")
    bench.presenter.type_address("9")

    bench.presenter.step(1, 1)

    assert bench.state.block.on_words == "0 and 0"


def test_an_impossible_address_says_why_and_offers_the_nearest() -> None:
    bench = SwitchesBench().on("dials-decimal")

    bench.presenter.type_address("137")

    block = bench.state.block
    assert block.trouble == "137 cannot be set on this board: the highest here is 99; nearest: 99."
    assert block.nearest == (99,)
    bench.presenter.take_nearest(99)
    assert (bench.state.block.decimal, bench.state.block.trouble) == ("99", "")


@pytest.mark.parametrize(
    ("act", "text", "words"),
    [
        ("type_address", "248", "248 is no server's address: servers have 1 to 247."),
        ("type_address", "abc", "'abc' is no address: write 37, 0x25 or 0b100101."),
        ("type_pattern", "101", "'101' has 3 positions: write 8 signs, 1 for ON and 0 for OFF"),
        ("type_pattern", "", "'' is no pattern"),
    ],
)
def test_what_is_typed_wrong_is_said_and_nothing_moves(act: str, text: str, words: str) -> None:
    bench = SwitchesBench()
    bench.presenter.type_address("37")

    getattr(bench.presenter, act)(text)

    assert bench.state.block.trouble.startswith(words)
    assert bench.state.block.decimal == "37"


def test_a_pattern_without_an_address_says_what_it_does_and_the_way_out() -> None:
    bench = SwitchesBench().on("levers-8-loader")

    bench.presenter.type_pattern("11111111")

    block = bench.state.block
    assert block.sum_tone is Tone.DOUBT
    assert "firmware loader: starts the firmware loader" in block.sum_words
    assert block.trouble == "Flip 4 for address 247."
    assert (block.decimal, block.hexadecimal, block.binary) == ("", "", "")


def test_the_address_stays_when_the_board_changes() -> None:
    bench = SwitchesBench()
    bench.presenter.type_address("37")

    bench.on("levers-6-backward")

    assert positions(bench) == "100101"
    assert bench.state.takes_effect == "at once"


def test_other_levers_are_decoded_as_they_are_flipped() -> None:
    bench = SwitchesBench().on("levers-10-speed-parity")

    bench.presenter.flip(7)
    bench.presenter.flip(8)

    assert bench.state.block.others == ("Speed 19200 baud (7 and 8)", "Parity even (9)", "No use (10)")
    assert bench.state.block.controls[8].spoken == "Lever 9, ON, parity"


def test_facts_of_the_board_are_changed_with_a_live_picture() -> None:
    """Lever 1 to the right, ON down, OFF counts: the levers stay, what they mean changes."""
    bench = SwitchesBench().on("levers-7-line-end")
    bench.presenter.type_address("14")

    bench.presenter.change_fact(BoardFact.FIRST, 1)
    bench.presenter.change_fact(BoardFact.ON, 1)
    bench.presenter.change_fact(BoardFact.COUNTS, 1)

    levers = bench.state.block.picture.levers
    assert positions(bench) == "01110000"
    assert levers[0].slot.x_mm > levers[7].slot.x_mm
    assert levers[1].knob.center.y_mm > levers[1].slot.center.y_mm
    assert bench.state.block.decimal == "113"
    assert bench.state.is_changed
    assert bench.state.facts[:5] == (
        FactChoice("Lever 1 is", ("left", "right"), 1),
        FactChoice("ON is", ("up", "down"), 1),
        FactChoice("ON means", ("1", "0"), 1),
        FactChoice("Lever 1 counts", ("1", "most"), 0),
        FactChoice("Board adds", ("0", "1"), 0),
    )


def test_a_reversed_board_with_an_offset_is_described_in_two_choices() -> None:
    bench = SwitchesBench().on("levers-7-line-end")
    bench.presenter.type_address("14")

    bench.presenter.change_fact(BoardFact.DIRECTION, 1)
    bench.presenter.change_fact(BoardFact.ADDS, 1)

    assert bench.state.block.sum_words == "32 + 16 + 8 = 56, board adds 1  →  address 57"


def test_the_picture_turns_as_the_board_hangs() -> None:
    bench = SwitchesBench()

    bench.presenter.turn()

    xs = {round(one.slot.x_mm, 6) for one in bench.state.block.picture.levers}
    assert bench.state.turn is Turn.RIGHT
    assert len(xs) == 1


def test_back_to_the_device() -> None:
    bench = SwitchesBench()
    bench.presenter.to_device()
    bench.presenter.show_device(BAY_2)

    bench.presenter.to_device()

    assert bench.state.device_words == "To controller type P"
    assert bench.went_to == [BAY_2]


def test_a_board_that_is_not_known_is_said_and_the_address_is_explained_on_the_one_shown() -> None:
    bench = SwitchesBench()

    bench.presenter.show_device(SwitchedDevice("pump", 5, 40, "levers-9"))

    assert bench.state.told.startswith("No board is called 'levers-9': did you mean 'levers-8'?")
    assert bench.state.block.decimal == "5"


def test_a_label_is_printed_of_what_is_shown() -> None:
    bench = SwitchesBench()
    bench.presenter.show_device(BAY_2)

    bench.presenter.print_label()

    label = bench.printed[0][0]
    assert (label.server_address, label.name, label.where) == (14, "controller type P", "bay 2")
    assert bench.state.told == "saved as labels.pdf"


def test_one_address_is_asked_where_nothing_is_compared() -> None:
    bench = SwitchesBench()
    bench.presenter.type_address("37")

    bench.presenter.main_action()

    assert bench.asked == [(37,)]


def test_every_kind_of_board_has_its_segment() -> None:
    bench = SwitchesBench()
    assert bench.state.kinds == tuple(ControlsKind)

    for kind in ControlsKind:
        bench.presenter.choose_kind(kind)
        assert bench.state.kind is kind


def test_upright_blocks_offer_top_and_bottom() -> None:
    facts = SwitchesBench().on("levers-6-sideways").state.facts

    assert facts[0] == FactChoice("Lever 0 is", ("top", "bottom"), 0)
    assert facts[1] == FactChoice("ON is", (Side.LEFT.value, Side.RIGHT.value), 1)
