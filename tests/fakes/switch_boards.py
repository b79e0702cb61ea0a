"""Boards for tests: the shipped ones, plain ones, and random ones from a seed."""

from __future__ import annotations

from functools import lru_cache
from random import Random

from buswalk.domain.switches.board import Board, CountsWhen, Dial, Lever, LeverBlock, Side
from buswalk.shipped_files import profile_folder
from buswalk.storage.board_files import FOLDER, read_board_library


@lru_cache(maxsize=1)
def shipped_boards() -> tuple[Board, ...]:
    """Every board that comes with the program."""
    library = read_board_library([profile_folder() / FOLDER])
    assert library.problems == ()
    return library.boards


def shipped(name: str) -> Board:
    """One of them."""
    return next(one for one in shipped_boards() if one.name == name)


def levers(*weights: int, name: str = "levers") -> Board:
    """A block of levers numbered from 1, with nothing added."""
    of_block = tuple(Lever(str(number), weight) for number, weight in enumerate(weights, start=1))
    return Board(name, "levers for a test", (LeverBlock(of_block),))


def plain(count: int) -> Board:
    """Levers that count 1, 2, 4 ..."""
    return levers(*(1 << bit for bit in range(count)), name=f"plain-{count}")


def dials(positions: int, *weights: int, name: str = "dials") -> Board:
    """Dials side by side."""
    blocks = tuple(Dial(f"x{weight}", positions, weight) for weight in weights)
    return Board(name, "dials for a test", blocks)


def random_board(random: Random) -> Board:
    """A board as it may be met: 4 to 8 levers or one to three dials, either direction, with and without an offset."""
    adds = random.choice([0, 0, 0, 1])
    name = f"random-{random.randrange(10**9)}"
    match random.choice(["levers", "levers", "levers", "hex", "decimal"]):
        case "hex":
            weights = random.choice([[16, 1], [1, 16], [1]])
            return _with_dials(name, 16, weights, adds)
        case "decimal":
            weights = random.choice([[10, 1], [1, 10], [100, 10, 1]])
            return _with_dials(name, 10, weights, adds)
        case _:
            return _with_levers(name, random, adds)


def _with_dials(name: str, positions: int, weights: list[int], adds: int) -> Board:
    blocks = tuple(Dial(f"x{weight}", positions, weight) for weight in weights)
    return Board(name, "random dials", blocks, adds=adds)


def _with_levers(name: str, random: Random, adds: int) -> Board:
    count = random.randint(4, 8)
    weights = [1 << bit for bit in range(count)]
    if random.random() < 0.4:
        weights.reverse()
    weights += [0] * random.choice([0, 0, 0, 1, 2])
    on = random.choice(list(Side))
    first = random.choice([Side.LEFT, Side.RIGHT] if on.is_upright else [Side.UP, Side.DOWN])
    block = LeverBlock(
        tuple(Lever(str(number), weight) for number, weight in enumerate(weights, start=1)),
        first,
        on,
        random.choice([CountsWhen.ON, CountsWhen.ON, CountsWhen.ON, CountsWhen.OFF]),
    )
    return Board(name, "random levers", (block,), adds=adds)
