"""Board descriptions in TOML files: shipped ones, and the user's own, which come first by name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from difflib import get_close_matches
from functools import partial
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from buswalk.domain.switches.board import Block, Board, CountsWhen, Dial, Lever, LeverBlock, Side, TakesEffect
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.meaning import Meaning, MeaningKind, Special, SpecialKind
from buswalk.located_toml import KeyPath, LocatedToml, TomlProblem, parse_located_toml, read_located_toml
from buswalk.storage.board_model import BoardFile, DialTable, LeversTable, MeaningTable, SpecialTable
from buswalk.storage.data_folders import BOARD_FOLDER
from buswalk.storage.described_things import WrongDescription, read_described

FOLDER = BOARD_FOLDER
"""Of the shipped profiles and of the data folder."""
T = TypeVar("T")


class BoardProblem(WrongDescription):
    """A board description that cannot be used."""


def read_board_library(folders: Sequence[Path], own: Path | None = None) -> BoardLibrary:
    """Read all boards; those in `own` take the place of shipped ones of the same name."""
    read = read_described(folders, own, read_board)
    return BoardLibrary(read.things, read.own, read.problems)


def read_board(path: Path) -> Board:
    """Read one board; its name is that of the file.

    Raises:
        BoardProblem: With every problem found.
    """
    try:
        return _board(read_located_toml(path))
    except TomlProblem as problem:
        raise BoardProblem((problem.sentence,)) from problem


def parse_board(text: str, path: Path) -> Board:
    """Read a board from a text as if it stood in `path`, as the editor does.

    Raises:
        BoardProblem: With every problem found.
    """
    try:
        return _board(parse_located_toml(text, path))
    except TomlProblem as problem:
        raise BoardProblem((problem.sentence,)) from problem


def _board(located: LocatedToml) -> Board:
    try:
        file = BoardFile.model_validate(located.values)
    except ValidationError as reason:
        raise BoardProblem(tuple(_sentence(located, one) for one in reason.errors())) from reason
    return _Building(located, file).board()


class _Building:
    """Makes the board piece by piece, so that what the domain refuses is said with the line of its piece."""

    def __init__(self, located: LocatedToml, file: BoardFile) -> None:
        self._located = located
        self._file = file
        self._problems: list[str] = []

    def board(self) -> Board:
        """Return the board. Raises BoardProblem with everything that was refused."""
        blocks = self._made("block", [partial(_block, one) for one in self._file.block])
        meanings = self._made("meaning", [partial(_meaning, one) for one in self._file.meaning])
        specials = self._made("special", [partial(_special, one) for one in self._file.special])
        self._stop_at_problems()
        self._tried(("block", 0), partial(self._with, blocks, (), ()))
        self._stop_at_problems()
        for at, meaning in enumerate(meanings):
            self._tried(("meaning", at), partial(self._with, blocks, (meaning,), ()))
        for at, special in enumerate(specials):
            self._tried(("special", at), partial(self._with, blocks, (), (special,)))
        self._stop_at_problems()
        whole = self._tried(("meaning", len(meanings) - 1), partial(self._with, blocks, meanings, specials))
        self._stop_at_problems()
        assert whole is not None
        return whole

    def _with(self, blocks: tuple[Block, ...], meanings: tuple[Meaning, ...], specials: tuple[Special, ...]) -> Board:
        file = self._file
        return Board(
            self._located.path.stem,
            file.title,
            blocks,
            about=" ".join(file.about.split()),
            adds=file.adds,
            stored_base=file.stored_base,
            factory_address=file.factory_address,
            takes_effect=TakesEffect(file.takes_effect),
            meanings=meanings,
            specials=specials,
        )

    def _made(self, key: str, makers: Sequence[Callable[[], T]]) -> tuple[T, ...]:
        made = [self._tried((key, at), maker) for at, maker in enumerate(makers)]
        return tuple(one for one in made if one is not None)

    def _tried(self, key_path: KeyPath, make: Callable[[], T]) -> T | None:
        try:
            return make()
        except ValueError as reason:
            self._problems.append(f"{self._located.place_of(key_path)}: {reason}")
            return None

    def _stop_at_problems(self) -> None:
        if self._problems:
            raise BoardProblem(tuple(self._problems))


def _block(table: LeversTable | DialTable) -> Block:
    if isinstance(table, DialTable):
        return Dial(table.label, table.positions, table.weight)
    labels = table.labels or [str(number) for number in range(1, len(table.weights) + 1)]
    if len(labels) != len(table.weights):
        raise ValueError(f"{len(labels)} labels for {len(table.weights)} weights: write one of each a lever")
    levers = tuple(Lever(label, weight) for label, weight in zip(labels, table.weights, strict=True))
    return LeverBlock(levers, Side(table.first), Side(table.on), CountsWhen(table.counts_when))


def _meaning(table: MeaningTable) -> Meaning:
    return Meaning(MeaningKind(table.kind), tuple(table.of), tuple(table.values.items()))


def _special(table: SpecialTable) -> Special:
    return Special(table.pattern.upper(), SpecialKind(table.kind), " ".join(table.words.split()), table.address)


def _sentence(located: LocatedToml, error: ErrorDetails) -> str:
    key_path = tuple(part for part in error["loc"] if part not in ("levers", "dial"))
    where = located.place_of(key_path)
    key = ".".join(str(part + 1 if isinstance(part, int) else part) for part in key_path)
    match error["type"]:
        case "extra_forbidden":
            near = get_close_matches(str(key_path[-1]), _keys_beside(error["loc"]), 1)
            hint = f"did you mean '{near[0]}'?" if near else "take it out"
            return f"{where}: '{key}' is not known here: {hint}"
        case "missing":
            return f"{where}: '{key}' is missing: write it"
        case "union_tag_not_found" | "union_tag_invalid":
            return f"{where}: '{key}' needs kind = 'levers' or kind = 'dial'"
        case _:
            what = error["msg"]
            return f"{where}: '{key}' cannot be {error['input']!r}: {what[0].lower()}{what[1:]}"


def _keys_beside(location: KeyPath) -> list[str]:
    """Return the keys of the table in which a key stands."""
    match location:
        case ("block", _, "levers", *_):
            return list(LeversTable.model_fields)
        case ("block", _, "dial", *_):
            return list(DialTable.model_fields)
        case ("meaning", *_):
            return list(MeaningTable.model_fields)
        case ("special", *_):
            return list(SpecialTable.model_fields)
        case _:
            return list(BoardFile.model_fields)
