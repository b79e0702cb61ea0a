"""The matrix of settings in words: speeds down, framings across, what was asked and found. No Qt."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.search.prior import asked_as
from buswalk.ui.pages.find.known import Known, settings_of, usual_speeds
from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.find.search_state import SettingCell, SettingRow, SettingsState
from buswalk.ui.wording import counted

COLUMNS = ((Parity.NONE, "8N1 and 8N2"), (Parity.EVEN, "8E1"), (Parity.ODD, "8O1"))


def settings_state(board: SearchBoard, known: Known) -> SettingsState:
    """Return the matrix; before a search it shows what would be asked."""
    wanted = settings_of(known) if board.run.plan is None else board.run.plan.settings
    speeds = list(dict.fromkeys([*(one.baud_rate for one in wanted), *usual_speeds()]))
    found = {asked_as(one.settings) for one in board.run.found.values()}
    speeds += [one.baud_rate for one in found if one.baud_rate not in speeds]
    asked = board.run.asked_now
    now = asked[1] if asked is not None else None
    rows = tuple(
        SettingRow(str(speed), tuple(_cell(board, speed, parity, wanted, now) for parity, _ in COLUMNS))
        for speed in speeds
    )
    return SettingsState(tuple(head for _, head in COLUMNS), rows)


def _everywhere_words(board: SearchBoard, settings: SerialSettings) -> str | None:
    """Return how all addresses answer at a setting, or None where they do not."""
    codes = [one.exception_code for one in board.run.everywhere if asked_as(one.settings) == settings]
    return None if not codes else "all refuse" if codes[0] else "all answer"


def _cell(
    board: SearchBoard,
    speed: int,
    parity: Parity,
    wanted: dict[SerialSettings, float],
    now: SerialSettings | None,
) -> SettingCell:
    settings = asked_as(SerialSettings(speed, parity, 1))
    if (everywhere := _everywhere_words(board, settings)) is not None:
        is_now = settings == now
        spoken = f"{speed}, {dict(COLUMNS)[parity]}, {everywhere}"
        return SettingCell(everywhere, spoken, 1.0, has_found=True, is_asked_now=is_now)
    stand = board.stand_of(settings)
    share = stand.asked / stand.planned if stand.planned else None
    name = f"{speed}, {dict(COLUMNS)[parity]}"
    if not stand.asked and not stand.found:
        is_left_out = settings not in wanted
        words = "left out" if is_left_out else "not asked"
        return SettingCell(
            words,
            f"{name}, {words}",
            None,
            has_found=False,
            is_asked_now=settings == now,
            is_left_out=is_left_out,
        )
    is_all = stand.asked >= stand.planned or board.has_ended
    parts = [] if is_all else [f"{min(99, max(1, round(100 * (share or 0.0))))} %"]
    if stand.found:
        parts.append(f"{counted(stand.found)} found")
    words = " · ".join(parts) or "none"
    spoken = f"{name}, {'all' if is_all else parts[0]} asked, {stand.found or 'none'} found"
    return SettingCell(
        words, spoken, 1.0 if is_all else share, has_found=bool(stand.found), is_asked_now=settings == now
    )
