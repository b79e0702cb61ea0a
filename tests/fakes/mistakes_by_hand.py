"""Where single mistakes lead, reckoned anew with signs and sums: it shares no code with the program's mistakes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, product

from buswalk.domain.switches.board import Board, CountsWhen, Dial, LeverBlock

SIGNS = "0123456789ABCDEF"


@dataclass(frozen=True, slots=True)
class ByHand:
    """One mistake: its name, what is set then (one sign a control), and where the device answers."""

    kind: str
    signs: str
    answers_at: int


def adds_up_to(board: Board, signs: str) -> int:
    """Return what the switches of a board add up to."""
    total, at = 0, 0
    for block in board.blocks:
        if isinstance(block, Dial):
            total += block.weight * SIGNS.index(signs[at])
            at += 1
            continue
        counting = "1" if block.counts_when is CountsWhen.ON else "0"
        for lever in block.levers:
            total += lever.weight if signs[at] == counting else 0
            at += 1
    return total


def answers_at(board: Board, signs: str) -> int | None:
    """Return the address, None if there is none."""
    for special in board.specials:
        if all(mine in ("-", sign) for mine, sign in zip(special.pattern, signs, strict=True)):
            return special.address
    address = adds_up_to(board, signs) + board.adds + (board.stored_base or 0)
    return address if 1 <= address <= 247 else None


def every_pattern(board: Board) -> list[str]:
    """Return every way to set the address, other levers OFF, as signs."""
    choices: list[str] = []
    for block in board.blocks:
        if isinstance(block, Dial):
            choices.append(SIGNS[: block.positions] if block.weight else "0")
        else:
            choices += ["01" if lever.weight else "0" for lever in block.levers]
    return ["".join(one) for one in product(*choices)]


def plainest(board: Board, total: int) -> str | None:
    """Return the pattern that adds up to a number with the least set, None if none does."""
    fitting = [one for one in every_pattern(board) if adds_up_to(board, one) == total]
    return min(fitting, key=lambda one: (sum(SIGNS.index(sign) for sign in one), one), default=None)


def right_pattern(board: Board, intended: int) -> str | None:
    """Return what is to be set for an address."""
    fitting = [one for one in every_pattern(board) if answers_at(board, one) == intended]
    return min(
        fitting,
        key=lambda one: (
            sum(sign != "0" for sign in one),
            sum(SIGNS.index(sign) for sign in one),
            one,
        ),
        default=None,
    )


def mistakes_by_hand(board: Board, others: tuple[Board, ...], intended: int) -> list[ByHand]:
    """Return every single mistake that leads from `intended` to another address of a server."""
    right = right_pattern(board, intended)
    if right is None:
        return []
    found: list[ByHand] = []
    for kind, signs in [*_of_levers(board, right), *_of_dials(board, right), *_of_number(board, intended)]:
        address = answers_at(board, signs)
        if signs != right and address is not None:
            found.append(ByHand(kind, signs, address))
    found += [
        ByHand("other_board", right, address)
        for other in others
        if _shape(other) == _shape(board)
        and other.name != board.name
        and (address := answers_at(other, right)) is not None
    ]
    found += _of_a_board_that_counts_otherwise(board, right)
    plus_one = intended + 1
    if adds_up_to(board, right) + board.adds + (board.stored_base or 0) == intended and plus_one <= 247:
        found.append(ByHand("board_adds_one", right, plus_one))
    if board.adds and intended - board.adds >= 1:
        found.append(ByHand("board_adds_nothing", right, intended - board.adds))
    delivered = {1, 247} | ({board.factory_address} if board.factory_address else set())
    found += [ByHand("factory_address", right, address) for address in sorted(delivered)]
    return [one for one in found if one.answers_at != intended]


def _of_a_board_that_counts_otherwise(board: Board, right: str) -> Iterator[ByHand]:
    """The same is set; the board reads it as it would read the reversed or flipped levers, but for special patterns."""
    if any(
        all(mine in ("-", sign) for mine, sign in zip(special.pattern, right, strict=True))
        for special in board.specials
    ):
        return
    for kind, signs in _of_levers(board, right):
        if kind not in ("read_from_other_end", "on_taken_as_off"):
            continue
        address = adds_up_to(board, signs) + board.adds + (board.stored_base or 0)
        if 1 <= address <= 247:
            yield ByHand(kind, right, address)


def _of_levers(board: Board, right: str) -> Iterator[tuple[str, str]]:
    whole = _runs(board)
    for spots, _ in whole:
        for at in spots:
            yield "lever_not_seated", right[:at] + ("1" if right[at] == "0" else "0") + right[at + 1 :]
        for one, two in pairwise(spots):
            yield "neighbours_swapped", _put(right, {one: right[two], two: right[one]})
    if not whole:
        return
    opposite = {at: "1" if right[at] == "0" else "0" for spots, _ in whole for at in spots}
    yield "on_taken_as_off", _put(right, opposite)
    if any(len(spots) > 1 for spots, _ in whole):
        back = {at: right[spots[-1 - place]] for spots, _ in whole for place, at in enumerate(spots)}
        yield "read_from_other_end", _put(right, back)
        turned = {at: opposite[spots[-1 - place]] for spots, _ in whole for place, at in enumerate(spots)}
        yield "upside_down", _put(right, turned)
    for by in (1, -1, 2, -2):
        if abs(by) < max(len(spots) for spots, _ in whole):
            moved: dict[int, str] = {}
            is_noticed = False
            for spots, counting in whole:
                idle = "0" if counting == "1" else "1"
                row = [right[at] for at in spots]
                fallen = row[-by:] if by > 0 else row[:-by]
                is_noticed = is_noticed or (abs(by) == 2 and counting in fallen)
                shifted = [idle] * by + row[:-by] if by > 0 else row[-by:] + [idle] * -by
                moved |= dict(zip(spots, shifted[: len(spots)], strict=True))
            if not is_noticed:
                yield "levers_shifted", _put(right, moved)


def _of_dials(board: Board, right: str) -> Iterator[tuple[str, str]]:
    spots: list[tuple[int, int]] = []
    at = 0
    for block in board.blocks:
        if isinstance(block, Dial):
            spots += [(at, block.positions)] if block.weight else []
            at += 1
        else:
            at += len(block.levers)
    for one, count in spots:
        digit = SIGNS.index(right[one])
        yield "dial_one_step_off", _put(right, {one: SIGNS[(digit + 1) % count]})
        yield "dial_one_step_off", _put(right, {one: SIGNS[(digit - 1) % count]})
    for place, (one, count) in enumerate(spots):
        for two, count_two in spots[place + 1 :]:
            if count == count_two:
                yield "digits_swapped", _put(right, {one: right[two], two: right[one]})


def _of_number(board: Board, intended: int) -> Iterator[tuple[str, str]]:
    base = board.adds + (board.stored_base or 0)
    right = right_pattern(board, intended)
    number = 0 if right is None else adds_up_to(board, right)
    wanted = [("decimal_set_on_hex", int(f"0x{number}", 16))]
    in_hex = hex(number)[2:]
    if not set(in_hex) & set("abcdef"):
        wanted.append(("hex_read_as_decimal", int(in_hex, 10)))
    if base:
        wanted.append(("offset_forgotten", intended))
    for kind, total in wanted:
        signs = plainest(board, total)
        if signs is not None and total != number:
            yield kind, signs


def _runs(board: Board) -> list[tuple[list[int], str]]:
    """Return for each block with address levers the places of these levers, and the counting sign."""
    runs: list[tuple[list[int], str]] = []
    at = 0
    for block in board.blocks:
        if isinstance(block, LeverBlock):
            spots = [at + place for place, lever in enumerate(block.levers) if lever.weight]
            if spots:
                runs.append((spots, "1" if block.counts_when is CountsWhen.ON else "0"))
            at += len(block.levers)
        else:
            at += 1
    return runs


def _put(signs: str, changes: dict[int, str]) -> str:
    return "".join(changes.get(at, sign) for at, sign in enumerate(signs))


def _shape(board: Board) -> list[int]:
    shape: list[int] = []
    for block in board.blocks:
        shape += [block.positions] if isinstance(block, Dial) else [2] * len(block.levers)
    return shape
