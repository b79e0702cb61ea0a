"""A board described by hand: what the card says, what the picture then shows, what is kept."""

from __future__ import annotations

import pytest

from buswalk.domain.switches.board import Board, LeverBlock, Side
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.meaning import MeaningKind
from buswalk.ui.pages.switches.board_facts import LeverUse, combinations
from buswalk.ui.pages.switches.describe_state import DescribeState, FactChoice, ListEntry
from buswalk.ui.pages.switches.presenter import SwitchesPresenter
from buswalk.ui.pages.switches.ways import SwitchesWays
from tests.fakes.switch_boards import shipped_boards
from tests.fakes.switches_bench import SwitchesBench

USES = tuple(one.value for one in LeverUse if one is not LeverUse.OTHER)


def described(board: str = "levers-8") -> SwitchesBench:
    """The card is open on a board."""
    bench = SwitchesBench().on(board)
    bench.presenter.describing.open()
    return bench


def card(bench: SwitchesBench) -> DescribeState:
    state = bench.state.described
    assert state is not None
    return state


def use(bench: SwitchesBench, lever: int, use: LeverUse) -> None:
    bench.presenter.describing.choose_use(lever, USES.index(use.value))


def block_of(board: Board) -> LeverBlock:
    block = board.blocks[0]
    assert isinstance(block, LeverBlock)
    return block


def weights(bench: SwitchesBench) -> list[int]:
    return [one.weight for one in block_of(bench.presenter.board).levers]


def test_the_card_says_what_the_board_is() -> None:
    bench = described("levers-10-speed-parity")

    state = card(bench)
    assert state.facts == (
        FactChoice("Levers", tuple(str(one) for one in range(1, 17)), 9),
        FactChoice("They stand", ("side by side", "above each other"), 0),
        FactChoice("Numbered from", ("0", "1"), 1),
    )
    assert [USES[one.chosen] for one in state.uses] == [*["address"] * 6, "speed", "speed", "parity", "no use"]
    assert state.lists == (
        ListEntry("Levers 1, 2, 3, 4, 5 and 6 count, in this order", "1, 2, 4, 8, 16, 32"),
        ListEntry("Speed by levers 7 and 8 at 00, 10, 01, 11", "automatic, 9600, 19200, 38400"),
        ListEntry("Parity by lever 9 at OFF, ON", "none, even"),
    )
    assert (state.adds, state.base, state.summary) == ("0", "", "10 levers, 6 for the address.")
    assert not state.can_undo


def test_combinations_are_counted_with_the_first_lever_lowest() -> None:
    """As sheets of boards list them: first the first lever alone (common practice, no source)."""
    assert combinations(1) == ("0", "1")
    assert combinations(3) == ("000", "100", "010", "110", "001", "101", "011", "111")


def test_a_board_is_described_from_nothing_but_its_facts() -> None:
    """Ten levers: six for the address, two for the speed, one for parity, one for the line end; ON down, adds 1."""
    bench = described()
    describing = bench.presenter.describing
    describing.choose_fact(0, 9)
    for lever, its in ((6, "speed"), (7, "speed"), (8, "parity"), (9, "line end")):
        use(bench, lever, LeverUse(its))
    describing.write_list(1, "1200, 2400, 9600, ?")
    describing.write_list(2, "none, odd")
    describing.change_adds("1")

    bench.presenter.setting.type_pattern("1010010111")

    assert weights(bench) == [1, 2, 4, 8, 16, 32, 0, 0, 0, 0]
    assert bench.state.block.sum_words == "1 + 4 + 32 = 37, board adds 1  →  address 38"
    assert bench.state.block.others == ("Speed 9600 baud (7 and 8)", "Parity odd (9)", "Line end on (10)")
    assert card(bench).trouble == ""


def test_fewer_levers_lose_the_largest_weights_and_their_meanings() -> None:
    bench = described("levers-10-speed-parity")

    bench.presenter.describing.choose_fact(0, 6)

    assert weights(bench) == [1, 2, 4, 8, 16, 32, 0]
    assert [one.kind for one in bench.presenter.board.meanings] == [MeaningKind.SPEED]
    assert card(bench).lists[1].caption == "Speed by lever 7 at OFF, ON"


def test_a_lever_more_counts_twice_the_largest_in_the_direction_of_the_board() -> None:
    """Six levers from 32 down; the seventh makes it 64 down to 1."""
    bench = described("levers-6-backward")

    bench.presenter.describing.choose_fact(0, 6)

    assert weights(bench) == [64, 32, 16, 8, 4, 2, 1]


def test_nine_levers_cannot_count_for_one_byte() -> None:
    bench = described()
    bench.presenter.describing.choose_fact(0, 8)

    use(bench, 8, LeverUse.ADDRESS)

    assert card(bench).trouble.startswith("One lever more would count 256: an address has one byte")
    assert weights(bench) == [1, 2, 4, 8, 16, 32, 64, 128, 0]


def test_weights_are_written_as_the_board_counts() -> None:
    bench = described()

    bench.presenter.describing.write_list(0, "1, 2, 4, 8, 10, 20, 40, 80")

    assert weights(bench) == [1, 2, 4, 8, 10, 20, 40, 80]


def test_levers_above_each_other_and_numbered_from_0() -> None:
    bench = described("levers-7-line-end")

    bench.presenter.describing.choose_fact(1, 1)
    bench.presenter.describing.choose_fact(2, 0)

    board = bench.presenter.board
    assert (block_of(board).first, block_of(board).on) == (Side.UP, Side.RIGHT)
    assert [one.label for one in block_of(board).levers] == list("01234567")
    assert board.meanings[0].of == ("7",)
    assert len({round(one.slot.x_mm, 6) for one in bench.state.block.picture.levers}) == 1


def test_dials_are_counted_by_their_positions() -> None:
    """Two of 16 positions count 16 and 1; three of 10 positions 100, 10 and 1."""
    bench = described("dials-hex")
    assert card(bench).facts == (FactChoice("Dials", ("1", "2", "3"), 1), FactChoice("Positions", ("10", "16"), 1))

    bench.presenter.describing.choose_fact(0, 2)
    refused = card(bench).trouble
    bench.presenter.describing.choose_fact(1, 0)
    bench.presenter.describing.choose_fact(0, 2)

    assert refused == "3 dials of 16 positions cannot be: the left one would count 256."
    assert [one.label for one in bench.presenter.board.controls] == ["x100", "x10", "x1"]


def test_a_stored_base_is_written_or_taken_away() -> None:
    bench = described()
    describing = bench.presenter.describing

    describing.change_base("40")
    assert bench.state.block.sum_words == "1, board adds 0, stored base 40  →  address 41"
    describing.change_base("x")
    assert card(bench).trouble == "The stored base 'x' cannot be: write 0 to 255, or nothing."
    describing.change_base("")

    assert bench.state.block.sum_words == "1, board adds 0  →  address 1"
    assert card(bench).trouble == ""


@pytest.mark.parametrize(
    ("at", "text", "trouble"),
    [
        (0, "1, 2", "Write 6 values with commas between, ? for one not known; there are 2."),
        (0, "1, 2, 4, 8, 16, x", "A lever cannot count 'x': write whole numbers with commas between."),
        (0, "1, 2, 4, 8, 16, 300", "Lever 6 cannot count 300: write 1 to 255."),
        (1, "1, 2, 3, 4", "Speed '1' cannot be: write a number of baud, or automatic."),
        (2, "none, both", "Parity 'both' cannot be: write none, even or odd."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_changes(at: int, text: str, trouble: str) -> None:
    bench = described("levers-10-speed-parity")
    before = bench.presenter.board

    bench.presenter.describing.write_list(at, text)

    assert card(bench).trouble == trouble
    assert bench.presenter.board == before


def test_a_described_board_is_kept_under_a_name_and_chosen() -> None:
    bench = described("levers-7-line-end")
    describing = bench.presenter.describing
    describing.change_adds("1")
    describing.write_name("bay  2")

    describing.keep()

    state = bench.state
    chosen = state.boards[state.board]
    assert (chosen.name, chosen.words, chosen.is_own) == ("bay-2", "bay-2: 8 levers, 7 for the address, adds 1", True)
    assert state.described is None
    assert not state.is_changed
    assert state.told == "kept as bay-2"
    assert bench.own[0].about.endswith("lever 1 at the left end, ON up, ON counts.")


def test_without_a_name_nothing_is_kept() -> None:
    bench = described()

    bench.presenter.describing.keep()

    assert card(bench).trouble == "Write a name for the board first."
    assert bench.own == []


def test_a_name_that_is_taken_is_said_before_it_is_kept() -> None:
    bench = described()

    bench.presenter.describing.write_name("levers-8")

    assert card(bench).name_note == "This takes the place of the board levers-8."


def test_a_board_that_could_not_be_kept_stays_as_it_is_described() -> None:
    boards = BoardLibrary(shipped_boards())
    ways = SwitchesWays(
        lambda: boards, lambda _board: "The disk is full.", lambda *_: "", lambda _: None, lambda _: None
    )
    presenter = SwitchesPresenter(ways)
    presenter.describing.open()
    presenter.describing.change_adds("1")
    presenter.describing.write_name("levers-8")

    presenter.describing.keep()

    assert presenter.state.described is not None
    assert presenter.state.described.trouble == "The disk is full."
    assert presenter.board.adds == 1


def test_changes_are_taken_back() -> None:
    bench = described()
    bench.presenter.describing.choose_fact(0, 5)
    assert card(bench).can_undo

    bench.presenter.describing.undo()

    assert len(bench.presenter.board.controls) == 8
    assert not bench.state.is_changed


def test_every_shipped_board_can_be_described_as_it_is() -> None:
    """Choosing what holds already changes nothing: no fact of any board is lost by the card."""
    for board in shipped_boards():
        bench = described(board.name)
        state = card(bench)

        for at, one in enumerate(state.uses):
            bench.presenter.describing.choose_use(at, one.chosen)
        for at, values in enumerate(state.lists):
            bench.presenter.describing.write_list(at, values.text)
        bench.presenter.describing.change_adds(state.adds)
        bench.presenter.describing.change_base(state.base)

        assert card(bench).trouble == ""
        assert bench.state.block == described(board.name).state.block, board.name
        assert {one.kind: one.of for one in bench.presenter.board.meanings} == {
            one.kind: one.of for one in board.meanings
        }


def test_the_title_of_a_kept_board_is_no_longer_than_those_of_the_list() -> None:
    bench = described()
    describing = bench.presenter.describing
    describing.choose_fact(0, 15)
    describing.change_adds("255")
    describing.change_base("255")
    describing.write_name("a-name-of-24-signs-in-it")

    describing.keep()

    title = "a-name-of-24-signs-in-it: 16 levers, 8 for the address"
    assert bench.own[0].title == title
    assert len(title) <= max(len(one.title) for one in shipped_boards())
