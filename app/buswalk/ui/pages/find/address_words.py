"""The address picture in words: states, counts, and a sentence for each address. No Qt."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.search.events import PassBegan
from buswalk.domain.search.thorough import Pass
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.found_words import at_words, functions_words, setting_words, silent_at_words
from buswalk.ui.pages.find.search_board import PlanMatch, SearchBoard
from buswalk.ui.pages.find.search_run import Phase
from buswalk.ui.pages.find.search_state import AddressesState, LegendEntry

PICTURED = range(250)
"""25 columns of ten."""
HOW_TO_WALK = "Arrow keys walk the picture; the focused address is explained here."
PASS_WORDS = {
    Pass.FIRST: "first pass",
    Pass.HOLD: "held",
    Pass.SECOND: "second pass",
    Pass.THIRD: "third pass",
    Pass.PATIENT: "patiently",
    Pass.PAUSED: "after pauses",
}
_LEGEND = (
    (AddressState.ANSWERED, "answered"),
    (AddressState.NOT_IN_PLAN, "not in plan"),
    (AddressState.IN_DOUBT, "in doubt"),
    (AddressState.PLANNED_SILENT, "planned but silent"),
    (AddressState.SILENT, "silent"),
    (AddressState.DISTURBED, "disturbed"),
    (AddressState.ALL_ALIKE, "all alike"),
    (AddressState.TO_ASK, "planned, to ask"),
    (AddressState.NOT_ASKED, "not asked"),
)
_RARE = (AddressState.DISTURBED, AddressState.ALL_ALIKE)
"""They stand in the legend only while there are such: few lines chatter, and few answer everywhere."""


def addresses_state(board: SearchBoard, focused: int, *, is_walked: bool) -> AddressesState:
    """Return the whole picture; until the user walks it, its last line says how."""
    states = board.states_of(PICTURED)
    asked = board.run.asked_now
    return AddressesState(
        title=_title(board, asked[1] if asked else None),
        states=states,
        asked_now=asked[0] if asked else None,
        focused=focused,
        legend=tuple(
            LegendEntry(state, f"{words} {states.count(state)}", is_shown=state not in _RARE or state in states)
            for state, words in _LEGEND
        ),
        readout=address_words(board, focused) if is_walked else HOW_TO_WALK,
    )


def _title(board: SearchBoard, asked_at: SerialSettings | None) -> str:
    if asked_at is not None:
        began = board.remark(PassBegan)
        in_pass = f", {PASS_WORDS[began.of_pass]}" if began is not None else ""
        return f"Addresses 1 – 247, asked at {setting_words(asked_at)} now{in_pass}"
    if board.run.phase in (Phase.DONE, Phase.GIVEN_UP):
        return "Addresses 1 – 247, all settings asked" if board.run.phase is Phase.DONE else "Addresses 1 – 247"
    return "Addresses 1 – 247"


def address_words(board: SearchBoard, address: int) -> str:
    """Return one address in a sentence: how it stands, and where it was asked in vain."""
    if address not in SERVER_ADDRESSES:
        return f"{address}: no address of a device. {_reserved_words(address)}"
    planned = board.planned.get(address)
    name = f"{planned.name}. " if planned is not None else ""
    return f"{address}: {name}{_how(board, address)}"


def _reserved_words(address: int) -> str:
    return "Requests to all go there." if address == 0 else "248 and up are reserved."


def _how(board: SearchBoard, address: int) -> str:
    asked = board.run.asked_now
    now = f"Being asked now at {setting_words(asked[1])}. " if asked is not None and asked[0] == address else ""
    found = [one for one in board.found_in_order() if one.server_address == address]
    if found:
        return now + _found_words(board, address)
    unclear = [one for one in board.run.unclear.values() if one.address == address]
    if unclear:
        return f"{now}In doubt at {setting_words(unclear[0].settings)}: {unclear[0].sentence}."
    alike = _alike_words(board, address)
    asked_at = sorted(board.run.asked_at.get(address, ()), key=lambda one: (one.baud_rate, str(one)))
    if not asked_at:
        return now + (alike or ("Planned, not asked yet." if address in board.planned else "Not asked yet."))
    so_far = "" if address in board.run.searched_through else " so far"
    asked_with = [codes for one in asked_at if (codes := board.functions_asked(address, one))]
    functions = f", asked {functions_words(asked_with)}" if asked_with else ""  # an earlier search may have asked
    return f"{now}{alike}{_in_vain_words(board, address, asked_at)}{so_far}{functions}."


def _alike_words(board: SearchBoard, address: int) -> str:
    if address not in board.run.all_alike:
        return ""
    at = " and ".join(setting_words(one.settings) for one in board.run.everywhere)
    return f"At {at} every address answers alike. " if at else "Every address answers alike. "


def _in_vain_words(board: SearchBoard, address: int, asked_at: list[SerialSettings]) -> str:
    """Return where nothing came and where bytes came that are no reply; where all answer alike is told before."""
    everywhere = {one.settings for one in board.run.everywhere}
    disturbed_at = board.run.disturbed_at.get(address, set())
    disturbed = [one for one in asked_at if one in disturbed_at]
    silent = [one for one in asked_at if one not in disturbed_at and one not in everywhere]
    parts = [silent_at_words(silent)] if silent else []
    parts += [f"Bytes that are no reply came {at_words(disturbed)}"] if disturbed else []
    return ". ".join(parts) or f"Asked {at_words(asked_at)}"


def _found_words(board: SearchBoard, address: int) -> str:
    found = [one for one in board.found_in_order() if one.server_address == address]
    first = found[0]
    at = " and ".join(setting_words(one.settings) for one in found)
    proof = f"confirmed {first.answered} of {first.confirmations}"
    plan = ", not in plan" if board.match(first) is PlanMatch.NOT_IN_PLAN else ""
    doubt = ", in doubt" if board.is_in_doubt(address) else ""
    return f"Answers at {at}{plan}{doubt}, {proof}."


def spoken_address(board: SearchBoard, address: int) -> str:
    """Return what a reader says of a cell: '56, answered at 9600 no parity, not in plan'."""
    state = board.state_of(address)
    found = [one for one in board.found_in_order() if one.server_address == address]
    if not found:
        return f"{address}, {state.word}"
    at = " and ".join(setting_words(one.settings) for one in found)
    extra = {AddressState.NOT_IN_PLAN: ", not in plan", AddressState.IN_DOUBT: ", in doubt"}.get(state, "")
    return f"{address}, answered at {at}{extra}"
