"""The list of found devices: its rows, and the same as CSV. No Qt."""

from __future__ import annotations

import csv
import io

from buswalk.domain.search.events import Found, Unclear
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.found_words import (
    doubt_words,
    identity_words,
    long_doubts,
    moved_words,
    setting_words,
    span_words,
    turnaround_words,
    unclear_words,
    what_words,
)
from buswalk.ui.pages.find.search_board import PlanMatch, SearchBoard
from buswalk.ui.pages.find.search_run import Phase
from buswalk.ui.pages.find.search_state import FoundRow, FoundState
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted

CSV_COLUMNS = (
    "address",
    "baud",
    "framing",
    "function",
    "turnaround_ms",
    "shortest_ms",
    "longest_ms",
    "name_in_plan",
    "says_of_itself",
    "fits_profile",
    "plan",
    "doubts",
)
_PLAN_WORDS = {
    PlanMatch.NO_PLAN: "no plan",
    PlanMatch.AS_PLANNED: "as planned",
    PlanMatch.OTHER_SETTING: "other setting than planned",
    PlanMatch.NOT_IN_PLAN: "not in plan",
}
_FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")
"""Spreadsheets take such a cell for a formula: text that a device sends must never be run."""


def found_state(board: SearchBoard, chosen_address: int) -> FoundState:
    """Return the list; unclear ones stand among the found, by address."""
    rows = sorted(
        [*(_row(board, one) for one in board.found_in_order()), *_unclear_rows(board)],
        key=lambda row: row.address,
    )
    chosen = next((i for i, row in enumerate(rows) if row.address == chosen_address), -1)
    headline, words = _empty_words(board)
    return FoundState(f"Found devices: {counted(len(rows))}", tuple(rows), chosen, headline, words)


def _row(board: SearchBoard, found: Found) -> FoundRow:
    address = found.server_address
    planned, match = board.planned.get(address), board.match(found)
    span = board.turnaround_of(address)
    doubt, moved = doubt_words(found, match), moved_words(board, found)
    if moved is not None and (moved.is_doubt or not doubt.is_doubt):
        doubt = moved
    return FoundRow(
        address=address,
        state=board.state_of(address),
        setting=setting_words(found.settings),
        turnaround=turnaround_words(span),
        span=span_words(span),
        what=what_words(found, planned),
        identity=identity_words(found.identity) or "says nothing",
        planned_at=_planned_at(board, found, match),
        doubt=doubt.words,
        doubt_spoken=doubt.spoken,
        doubt_tone=Tone.DOUBT if doubt.is_doubt else Tone.INK2,
    )


def _planned_at(board: SearchBoard, found: Found, match: PlanMatch) -> str:
    planned = board.planned.get(found.server_address)
    if match is PlanMatch.OTHER_SETTING and planned is not None:
        return str(planned.settings)
    return {PlanMatch.NO_PLAN: "", PlanMatch.AS_PLANNED: "as planned"}.get(match, "not in plan")


def _unclear_rows(board: SearchBoard) -> list[FoundRow]:
    found = {one.server_address for one in board.run.found.values()}
    return [_unclear_row(board, one) for one in board.run.unclear.values() if one.address not in found]


def _unclear_row(board: SearchBoard, unclear: Unclear) -> FoundRow:
    planned = board.planned.get(unclear.address)
    return FoundRow(
        address=unclear.address,
        state=AddressState.IN_DOUBT,
        setting=setting_words(unclear.settings),
        turnaround="unknown",
        span="",
        what=planned.name if planned is not None else "not identified",
        identity="never whole",
        planned_at="as planned" if planned is not None else "",
        doubt="never whole",
        doubt_spoken="something answers, but never whole",
        doubt_tone=Tone.DOUBT,
    )


def _empty_words(board: SearchBoard) -> tuple[str, str]:
    match board.run.phase:
        case Phase.READY:
            return "Nothing found yet", (
                "Found devices appear here one by one, with setting, turnaround and doubts. "
                "You can use each at once, while the search goes on."
            )
        case Phase.LISTENING:
            return "Listening first", "Nothing is sent until it is known that nobody else asks here."
        case Phase.ASKING:
            return "Nobody answers so far", "Found devices appear here one by one."
        case Phase.HELD:
            return "Nothing was asked", "The line is held, so no device can be heard."
        case Phase.PAUSED | Phase.BROKEN:
            return "Nobody has answered so far", "The search can go on where it was."
        case Phase.GIVEN_UP:
            return "Nothing found", "Bytes that are no reply followed every request."
        case Phase.DONE if board.run.everywhere:
            return "No single device", "Something answers at every address: see the band above."
        case Phase.DONE:
            return "Nobody answers", "No address answered at any setting that was asked."


def found_csv(board: SearchBoard) -> str:
    """Return the list as CSV: comma, decimal point, CRLF (RFC 4180); columns as in CSV_COLUMNS.

    Text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(CSV_COLUMNS)
    for found in board.found_in_order():
        writer.writerow([_harmless(one) for one in _csv_row(board, found)])
    for unclear in sorted(board.run.unclear.values(), key=lambda one: one.address):
        cells = [str(unclear.address), str(unclear.settings.baud_rate), unclear.settings.framing]
        doubt = unclear_words(unclear)
        writer.writerow([_harmless(one) for one in [*cells, *[""] * (len(CSV_COLUMNS) - 4), doubt]])
    return out.getvalue()


def _csv_row(board: SearchBoard, found: Found) -> list[str]:
    planned, match = board.planned.get(found.server_address), board.match(found)
    span = board.turnaround_of(found.server_address)
    times = ("", "", "") if span is None else (span.typical_s, span.shortest_s, span.longest_s)
    framing = setting_words(found.settings).removeprefix(f"{found.settings.baud_rate} ")
    return [
        str(found.server_address),
        str(found.settings.baud_rate),
        framing,
        f"{found.function:02d}",
        *(one if isinstance(one, str) else f"{one * 1000.0:.1f}" for one in times),
        planned.name if planned is not None else "",
        identity_words(found.identity),
        " ".join(found.identity.profiles),
        _PLAN_WORDS[match],
        " ".join(long_doubts(found, match, planned)),
    ]


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_FORMULA_BEGINS) else cell
