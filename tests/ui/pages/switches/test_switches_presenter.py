"""What the page Switches says and does, word by word."""

from __future__ import annotations

from buswalk.domain.switches.board import Side
from buswalk.domain.switches.geometry import Turn
from buswalk.ui.pages.switches.board_editing import BoardFact
from buswalk.ui.pages.switches.describe_state import FactChoice
from buswalk.ui.pages.switches.switches_state import ControlsKind
from buswalk.ui.pages.switches.ways import SwitchedDevice
from tests.fakes.switches_bench import SwitchesBench

BAY_2 = SwitchedDevice("controller type P", 14, 56, "levers-7-line-end", "bay 2")


def test_at_first_a_plain_board_stands_at_address_1() -> None:
    state = SwitchesBench().state

    assert state.sentence == "From address to switches and back. Here: 8 levers, lever 1 counts 1."
    assert state.kind is ControlsKind.LEVERS
    assert state.boards[state.board].name == "levers-8"
    assert (state.block.decimal, state.block.hexadecimal, state.block.binary) == ("1", "0x01", "0000 0001")
    assert state.keys == "Left/Right: lever   Space: flip   1 – 8: flip"
    assert not state.is_changed
    assert state.device_words == ""


def test_the_address_stays_when_the_board_changes() -> None:
    bench = SwitchesBench()
    bench.presenter.setting.type_address("37")

    bench.on("levers-6-backward")

    assert bench.positions == "100101"
    assert bench.state.takes_effect == "at once"


def test_facts_of_the_board_are_changed_with_a_live_picture() -> None:
    """Lever 1 to the right, ON down, OFF counts: the levers stay, what they mean changes."""
    bench = SwitchesBench().on("levers-7-line-end")
    bench.presenter.setting.type_address("14")

    bench.presenter.change_fact(BoardFact.FIRST, 1)
    bench.presenter.change_fact(BoardFact.ON, 1)
    bench.presenter.change_fact(BoardFact.COUNTS, 1)

    levers = bench.state.block.picture.levers
    assert bench.positions == "01110000"
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
    bench.presenter.setting.type_address("14")

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
    bench.presenter.setting.type_address("37")

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
