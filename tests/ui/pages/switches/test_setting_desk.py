"""What typing and flipping sets, word by word as the block says it."""

from __future__ import annotations

import pytest

from buswalk.ui.pages.switches.switches_state import ControlsKind
from buswalk.ui.tones import Tone
from tests.fakes.switches_bench import SwitchesBench


def test_an_address_sets_the_levers_in_three_notations_at_once() -> None:
    bench = SwitchesBench().on("levers-7-line-end")

    bench.presenter.setting.type_address("14")

    block = bench.state.block
    assert bench.positions == "01110000"
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

    getattr(bench.presenter.setting, act)(text)

    assert bench.positions == "10100100"
    assert bench.state.block.trouble == ""


def test_flipping_says_the_address_at_once() -> None:
    """From 1: lever 3 adds 4; the key 6 flips lever 6, which adds 32."""
    bench = SwitchesBench()

    bench.presenter.setting.flip(2)
    bench.presenter.setting.flip_numbered("6")

    assert bench.state.block.decimal == "37"
    assert bench.state.block.controls[2].spoken == "Lever 3, ON, counts 4"
    assert bench.state.block.controls[1].spoken == "Lever 2, OFF, does not count, weighs 2"


def test_what_must_be_moved_from_what_is_set() -> None:
    """From 1 (lever 1) to 18 (levers 2 and 5): three flips."""
    bench = SwitchesBench()
    bench.presenter.setting.here_is_set()

    bench.presenter.setting.type_address("18")

    assert bench.state.block.moves == "Flip 1, 2 and 5 from what is set now."
    assert [one.index for one in bench.state.block.picture.levers if one.is_marked] == [0, 1, 4]


def test_dials_are_turned_and_read() -> None:
    bench = SwitchesBench().on("dials-hex")
    bench.presenter.setting.set_position(0, 1)
    bench.presenter.setting.set_position(1, 4)

    block = bench.state.block
    assert bench.state.kind is ControlsKind.HEX_DIALS
    assert bench.state.keys == "Left/Right: dial   Up/Down: turn   0 – F: set"
    assert block.sum_words == "1 x 16 + 4 x 1 = 20, board adds 0  →  address 20"
    assert (block.on_caption, block.on_words) == ("Dials show", "1 and 4")
    assert block.controls[0].spoken == "Dial x16, at 1, counts 16"


def test_a_dial_turns_over_its_end() -> None:
    bench = SwitchesBench().on("dials-decimal")
    bench.presenter.setting.type_address("9")

    bench.presenter.setting.step(1, 1)

    assert bench.state.block.on_words == "0 and 0"


def test_an_impossible_address_says_why_and_offers_the_nearest() -> None:
    bench = SwitchesBench().on("dials-decimal")

    bench.presenter.setting.type_address("137")

    block = bench.state.block
    assert block.trouble == "137 cannot be set on this board: the highest here is 99; nearest: 99."
    assert block.nearest == (99,)
    bench.presenter.setting.take_address(99)
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
    bench.presenter.setting.type_address("37")

    getattr(bench.presenter.setting, act)(text)

    assert bench.state.block.trouble.startswith(words)
    assert bench.state.block.decimal == "37"


def test_a_pattern_without_an_address_says_what_it_does_and_the_way_out() -> None:
    bench = SwitchesBench().on("levers-8-loader")

    bench.presenter.setting.type_pattern("11111111")

    block = bench.state.block
    assert block.sum_tone is Tone.DOUBT
    assert "firmware loader: starts the firmware loader" in block.sum_words
    assert block.trouble == "Flip 4 for address 247."
    assert (block.decimal, block.hexadecimal, block.binary) == ("", "", "")


def test_other_levers_are_decoded_as_they_are_flipped() -> None:
    bench = SwitchesBench().on("levers-10-speed-parity")

    bench.presenter.setting.flip(7)
    bench.presenter.setting.flip(8)

    assert bench.state.block.others == ("Speed 19200 baud (7 and 8)", "Parity even (9)", "No use (10)")
    assert bench.state.block.controls[8].spoken == "Lever 9, ON, parity"
