"""What stands on the label of a planned device: its address and how its switches are set for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.board import Board, Pattern
from buswalk.domain.switches.library import BoardLibrary, NoSuchBoard
from buswalk.domain.switches.setting import SettingTable
from buswalk.domain.switches.wording import not_possible_words

NO_BOARD = "The plan names no switch board."


@dataclass(frozen=True, slots=True)
class Label:
    """One label.

    Attributes:
        setting: Speed and framing; empty where the plan does not tell.
        board, pattern: None where there is no picture; `remark` says why.
    """

    server_address: int
    name: str
    where: str
    setting: str
    board: Board | None
    pattern: Pattern | None
    remark: str = ""


def label_of(device: PlannedDevice, board: Board | None, remark: str = "") -> Label:
    """Return the label of a device on a board."""
    pattern: Pattern | None = None
    if board is not None:
        table = SettingTable(board)
        pattern = table.pattern(device.server_address, board.rest)
        remark = "" if pattern is not None else f"{not_possible_words(table, device.server_address)}."
    return Label(
        device.server_address,
        device.name,
        device.where,
        "" if device.settings is None else str(device.settings),
        board,
        pattern,
        remark,
    )


def labels_of(devices: Sequence[PlannedDevice], library: BoardLibrary, usual: Board | None = None) -> tuple[Label, ...]:
    """Return the labels of a plan in its order; devices whose board is not told have the usual one, if there is one."""
    labels: list[Label] = []
    for device in devices:
        if not device.board:
            labels.append(label_of(device, usual, "" if usual is not None else NO_BOARD))
            continue
        try:
            labels.append(label_of(device, library.named(device.board)))
        except NoSuchBoard:
            labels.append(label_of(device, None, f"No board description is called '{device.board}'."))
    return tuple(labels)
