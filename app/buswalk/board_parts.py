"""Builds what commands and pages do with switch boards: read descriptions and planned lists, print labels."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import BoardParts, Failed, PlanRead, WrongUse
from buswalk.domain.site.planned_list import devices_of, read_list
from buswalk.domain.switches.board import Board
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.picture import BodyTone
from buswalk.shipped_files import profile_folder
from buswalk.storage.data_folders import BOARD_FOLDER, data_folders

NO_PRINTING = "labels cannot be drawn ({reason}): install the system libraries that are missing"


def board_parts() -> BoardParts:
    """Return it for this computer."""
    return BoardParts(read_boards, _read_plan, write_sheet)


def read_boards(data_folder: str = "") -> BoardLibrary:
    """Return the shipped boards and the user's own, which come first by name.

    What reads them strictly is imported only then: a window opens without it.
    """
    from buswalk.storage.board_files import read_board_library

    own = data_folders(data_folder, os.environ).data / BOARD_FOLDER
    return read_board_library([profile_folder() / BOARD_FOLDER], own)


def save_own_board(board: Board, data_folder: str = "") -> str:
    """Keep a board among the user's own; return one sentence of what came of it."""
    from buswalk.storage.board_writing import CannotKeep, save_board

    try:
        path = save_board(data_folders(data_folder, os.environ).data / BOARD_FOLDER, board)
    except CannotKeep as reason:
        return f"{reason.sentence[0].upper()}{reason.sentence[1:]}."
    return f"Kept as {path.name}; plans and commands call it {board.name}."


def _read_plan(path: Path) -> PlanRead:
    from buswalk.storage.planned_list_files import UnreadableList, read_list_file

    try:
        file = read_list_file(path)
    except UnreadableList as reason:
        raise WrongUse(reason.sentence) from reason
    read = read_list(file.source, file.rows)
    return PlanRead(devices_of(read.drafts), tuple(str(one) for one in read.troubles))


def write_sheet(path: Path, labels: Sequence[Label], turn: Turn, tone: BodyTone = BodyTone.FILLED_IS_ON) -> int:
    """Write labels into a new PDF file; return the count of pages. Raises Failed.

    Qt is imported only where something is drawn: it takes its time, and may lack system libraries.
    """
    try:
        from buswalk.ui.printing.pdf import CannotWrite, without_a_screen, write_pdf
        from buswalk.ui.printing.switch_sheet import sheet_of
    except ImportError as reason:
        raise Failed(NO_PRINTING.format(reason=reason), ExitStatus.NOT_FOUND) from reason
    pages = sheet_of(labels, turn)
    try:
        with without_a_screen():
            write_pdf(path, pages, tone)
    except CannotWrite as reason:
        raise Failed(reason.sentence, ExitStatus.CANNOT_RECORD) from reason
    return len(pages)
