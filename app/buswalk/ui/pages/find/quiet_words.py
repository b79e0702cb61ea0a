"""Who is quiet, in words. No Qt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from buswalk.domain.presence.cable_cut import (
    Apart,
    BehindCut,
    CableCut,
    NoneQuiet,
    OnlyOne,
    Together,
    WholeLine,
    cable_cut,
)
from buswalk.domain.presence.events import PresenceBase
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.address_states import AddressState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.quiet_board import TOGETHER_S, Change, QuietBoard
from buswalk.ui.pages.find.quiet_state import (
    AnswerRow,
    CablePlace,
    CableView,
    ChangeRow,
    NamesState,
    QuietName,
    QuietSound,
)
from buswalk.ui.wording import counted, duration, milliseconds, plural, seconds_words, stamp

HOW = (
    "All that answer are asked in turn. Pull a plug or open a lever: the names that vanish are the ones behind it. "
    "Two rounds without a reply count as quiet. Reads only. Base is now: begin again from those that answer."
)
TONES = (
    (OutcomeKind.NO_REPLY, "one goes quiet: 440 Hz"),
    (OutcomeKind.ANSWERED, "one answers again: 880 Hz"),
)
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
ADDRESSES_A_ROW = 4
Planned = Mapping[int, PlannedDevice]


def state_sentence(board: QuietBoard, *, is_running: bool) -> str:
    """Return the sentence of state, numbers first."""
    if board.living is not None:
        return "Held: something else is sending on this line. Nothing was asked."
    if board.base is None:
        asks = "Taking the base: each is asked once, silent ones once more with a longer wait."
        return asks if is_running else "Who disappears when a plug is pulled: all that answer are asked in turn."
    paused = "" if is_running else "Stopped. "
    answering, quiet = len(board.answering), len(board.quiet)
    total = answering + quiet
    if not total:
        return f"{paused}Nobody answers: there is nobody who could go quiet."
    if quiet:
        return f"{paused}{quiet} of {total} went quiet{_in_one_round(board)}. {_still(answering)}."
    took = f"; a round takes {board.last_round.took_s:.1f} s" if board.last_round is not None else ""
    slow = board.last_round.slow if board.last_round is not None else ()
    slowly = f". In every second round only, as slow: {_list(slow)}" if slow else ""
    return f"{paused}{_answer(total)}, as at the beginning{took}{slowly}."


def _in_one_round(board: QuietBoard) -> str:
    times = [one.at_s for one in board.quiet.values()]
    return " in one round" if len(times) > 1 and max(times) - min(times) <= TOGETHER_S else ""


def names_state(board: QuietBoard, planned: Planned, wall: str, now_s: float) -> NamesState:
    """Return who went quiet."""
    if board.base is None:
        below = "Here stand the names that vanish, in letters to be read from the wall. A round takes a few seconds."
        return NamesState("Who went quiet", "", (), "not asked yet", None, below)
    if not board.quiet:
        return _nobody_quiet(board, board.base)
    began = [one.since_s for one in board.quiet.values()]
    together = " together" if _in_one_round(board) else ""
    title = f"Went quiet{together} at {stamp(wall, min(began))}" if wall else f"Went quiet{together}"
    if len(began) > 1 and not together:
        title = f"{plural(len(began), 'device')} quiet, the first since {stamp(wall, min(began))}"
    names = tuple(_name(one, planned, board, wall) for one in in_order(tuple(board.quiet), planned))
    return NamesState(title, f"{duration(max(0.0, now_s - max(began)))} ago", names, "", None, "")


def _name(address: int, planned: Planned, board: QuietBoard, wall: str) -> QuietName:
    name = planned[address].name if address in planned else "not in plan"
    return QuietName(address, name, f"{address}, {name}, no reply since {stamp(wall, board.quiet[address].since_s)}")


def _nobody_quiet(board: QuietBoard, base: PresenceBase) -> NamesState:
    if not board.answering:
        return NamesState("Who went quiet", "", (), "nobody answers", OutcomeKind.NO_REPLY, "Search first, or mend.")
    silent = [one for one in base.silent if one not in board.joined]
    from_beginning = f" Silent from the beginning, and asked now and then: {_list(silent)}." if silent else ""
    below = f"Pull a plug: who hangs behind it shows here.{from_beginning}"
    return NamesState("Who went quiet: nobody", "", (), _answer(len(board.answering)), OutcomeKind.ANSWERED, below)


def in_order(addresses: Sequence[int], planned: Planned) -> tuple[int, ...]:
    """Return addresses along the cable; those without a place last."""
    return tuple(sorted(addresses, key=lambda one: (one not in planned, planned[one].place if one in planned else one)))


def change_rows(board: QuietBoard, planned: Planned, wall: str) -> tuple[ChangeRow, ...]:
    """Return what changed, the latest first, and how it stands above it."""
    rows = [row for one in reversed(board.changes) for row in _rows_of(one, planned, wall)]
    if board.base is None:
        return tuple(rows)
    now = f"{_answer(len(board.answering))}, {counted(len(board.quiet))} quiet"
    return (ChangeRow("now", now, is_now=True), *rows)


def _rows_of(change: Change, planned: Planned, wall: str) -> list[ChangeRow]:
    """Return a change in as many rows as its addresses need: none of them is cut."""
    at = stamp(wall, change.at_s)
    if change.kind is None:
        return [ChangeRow(at, f"base: {_answer(len(change.addresses))}" if change.words == "base" else change.words)]
    who = in_order(change.addresses, planned)
    parts = [who[first : first + ADDRESSES_A_ROW] for first in range(0, len(who), ADDRESSES_A_ROW)]
    return [ChangeRow(at, f"{_list(part)} {_became(change.kind, len(part))}", change.kind) for part in parts]


def _became(kind: OutcomeKind, count: int) -> str:
    if kind is OutcomeKind.NO_REPLY:
        return "quiet"
    if kind is OutcomeKind.LATE_REPLY:
        return "late"
    return "answers again" if count == 1 else "answer again"


def answer_rows(board: QuietBoard, planned: Planned) -> tuple[AnswerRow, ...]:
    """Return who still answers, along the cable."""
    rows = []
    for one in in_order(board.answering, planned):
        is_planned = one in planned or not planned
        state = AddressState.ANSWERED if is_planned else AddressState.NOT_IN_PLAN
        name = planned[one].name if one in planned else "not in plan"
        last = milliseconds(board.turnarounds_s[one]) if one in board.turnarounds_s else ""
        rows.append(AnswerRow(one, state, name, last))
    return tuple(rows)


def cable_view(board: QuietBoard, planned: Planned) -> CableView | None:
    """Return the cable with its devices; None where no places are known, or nothing was asked yet."""
    if not planned or board.base is None:
        return None
    order = in_order(tuple(planned), planned)
    answering, quiet = frozenset(board.answering), frozenset(board.quiet)
    places = tuple(
        CablePlace(one, one in answering, one in quiet, f"{one}, {planned[one].name}, {_stands(one, answering, quiet)}")
        for one in order
    )
    cut = cable_cut(order, answering, quiet)
    cut_before = order.index(cut.first_quiet) if isinstance(cut, BehindCut) else -1
    return CableView(places, cut_before, cut_words(cut, planned))


def _stands(address: int, answering: frozenset[int], quiet: frozenset[int]) -> str:
    if address in quiet:
        return "quiet"
    return "answers" if address in answering else "silent from the beginning"


def cut_words(cut: CableCut, planned: Planned) -> str:
    """Return where to look."""
    match cut:
        case NoneQuiet():
            return "Nobody whose place is known went quiet."
        case WholeLine():
            return "Nobody answers any more: look at the near end, the adapter, and the supply of all."
        case BehindCut(last, first, count):
            lie = {1: "It lies", 2: "Both lie"}.get(count, f"All {_number(count)} lie") + f" behind {last}."
            return (
                f"{lie} Look between {last} and {first}{_boxes(last, first, planned)}: an open core, a plug, a supply."
            )
        case OnlyOne(address, behind):
            return f"{behind} behind it answers, so the cable passes {address}: look at its own plug and supply."
        case Together(addresses, behind):
            shared = "look at what they share, such as a supply or a stub"
            return f"{_list(addresses)} hang side by side, but {behind} behind them answers: {shared}."
        case Apart():
            return "They hang apart, others between them answer: no single place on the cable explains it."


def _boxes(last: int, first: int, planned: Planned) -> str:
    here, there = planned[last].where, planned[first].where
    return f", from {here} to {there}" if here and there and here != there else ""


def _number(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else counted(count)


def _still(count: int) -> str:
    return f"{counted(count)} still answers" if count == 1 else f"{counted(count)} still answer"


def _answer(count: int) -> str:
    return f"{counted(count)} answers" if count == 1 else f"{counted(count)} answer"


def quiet_sound(*, is_wanted: bool, problem: str) -> QuietSound:
    """Return what can be heard."""
    note = f"{problem[:1].upper()}{problem[1:].rstrip('.')}." if problem else "All that is heard is seen too."
    return QuietSound(is_wanted, TONES, note)


def round_note(board: QuietBoard) -> str:
    """Return the length of a round for the rail and the head of the list."""
    return seconds_words(round(board.last_round.took_s, 1)) if board.last_round is not None else ""


def _list(addresses: Sequence[int]) -> str:
    return ", ".join(map(str, addresses))
