"""Writes a board description into a file of the user's own, so that it reads back as the same board."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import tomli_w

from buswalk.domain.switches.board import Block, Board, Dial, LeverBlock
from buswalk.domain.switches.meaning import Meaning, Special

_NAME_SIGNS = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")


class CannotKeep(Exception):
    """A board that cannot be kept.

    Attributes:
        sentence: What, where, what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def save_board(folder: Path, board: Board) -> Path:
    """Write a board under its name, in place of the user's board of that name; return the file.

    Raises:
        CannotKeep: The name is no file's name, or the folder cannot be written.
    """
    if not set(board.name) <= _NAME_SIGNS or board.name.startswith("."):
        raise CannotKeep(f"board name '{board.name}' cannot be: write letters, digits, - and _")
    path = folder / f"{board.name}.toml"
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        # Written beside and moved: a power cut leaves the old file or the new one, never half of it.
        beside.write_text(board_text(board), encoding="utf-8")
        beside.replace(path)
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        raise CannotKeep(f"{path} cannot be written ({why}): the board holds until the window is closed") from reason
    return path


def board_text(board: Board) -> str:
    """Return a board as TOML."""
    values: dict[str, Any] = {"title": board.title}
    if board.about:
        values["about"] = board.about
    values["adds"] = board.adds
    if board.stored_base is not None:
        values["stored_base"] = board.stored_base
    if board.factory_address is not None:
        values["factory_address"] = board.factory_address
    values["takes_effect"] = board.takes_effect.value
    values["block"] = [_block(one) for one in board.blocks]
    if board.meanings:
        values["meaning"] = [_meaning(one) for one in board.meanings]
    if board.specials:
        values["special"] = [_special(one) for one in board.specials]
    return tomli_w.dumps(values)


def _block(block: Block) -> dict[str, Any]:
    match block:
        case LeverBlock(levers, first, on, counts_when):
            return {
                "kind": "levers",
                "first": first.value,
                "on": on.value,
                "counts_when": counts_when.value,
                "labels": [one.label for one in levers],
                "weights": [one.weight for one in levers],
            }
        case Dial(label, positions, weight):
            return {"kind": "dial", "label": label, "positions": positions, "weight": weight}


def _meaning(meaning: Meaning) -> dict[str, Any]:
    values: dict[str, Any] = {"of": list(meaning.of), "kind": meaning.kind.value}
    return values | ({"values": dict(meaning.values)} if meaning.values else {})


def _special(special: Special) -> dict[str, Any]:
    values: dict[str, Any] = {"pattern": special.pattern, "kind": special.kind.value, "words": special.words}
    return values | ({"address": special.address} if special.address is not None else {})
