"""What is said of each mistake, and of the look that decides between two of them."""

from __future__ import annotations

from buswalk.domain.switches.board import SYMBOLS, Board, ControlKind
from buswalk.domain.switches.deciding import Look, LookAt, NothingDecides, PowerCycle, SetAnother
from buswalk.domain.switches.explaining import Explained, Explanation
from buswalk.domain.switches.mistakes.board_adds import BoardAddsNothing, BoardAddsOne
from buswalk.domain.switches.mistakes.course import Mistake, dial_runs, lever_runs
from buswalk.domain.switches.mistakes.dial_one_step_off import DialOneStepOff
from buswalk.domain.switches.mistakes.digits_swapped import DigitsSwapped
from buswalk.domain.switches.mistakes.hex_and_decimal import DecimalSetOnHex, HexReadAsDecimal
from buswalk.domain.switches.mistakes.lever_not_seated import LeverNotSeated
from buswalk.domain.switches.mistakes.levers_shifted import LeversShifted
from buswalk.domain.switches.mistakes.neighbours_swapped import NeighboursSwapped
from buswalk.domain.switches.mistakes.not_obeyed import ChangeNotTaken, FactoryAddress
from buswalk.domain.switches.mistakes.offset_forgotten import OffsetForgotten
from buswalk.domain.switches.mistakes.on_taken_as_off import CountsTheOpposite, OnTakenAsOff
from buswalk.domain.switches.mistakes.other_board import OtherBoard
from buswalk.domain.switches.mistakes.read_from_other_end import CountsFromOtherEnd, ReadFromOtherEnd
from buswalk.domain.switches.mistakes.stored_number_differs import StoredBaseDiffers
from buswalk.domain.switches.mistakes.upside_down import UpsideDown
from buswalk.domain.switches.setting import moves
from buswalk.domain.switches.wording import on_words, sum_words, targets_words

_PLACES = {1: "one place", 2: "two places"}


def headline(board: Board, mistake: Mistake) -> str:
    """Return a mistake in a few words, on a board as described."""
    match mistake:
        case ReadFromOtherEnd():
            return "Set from the wrong end"
        case CountsFromOtherEnd():
            return "Board counts from the other end"
        case OnTakenAsOff():
            return "ON taken as OFF"
        case CountsTheOpposite():
            counts = "OFF" if _counts_on(board) else "ON"
            return f"On this board {counts} counts"
        case UpsideDown():
            return "Block read upside down"
        case NeighboursSwapped(first, second):
            return f"Levers {_label(board, first)} and {_label(board, second)} swapped"
        case LeversShifted(by):
            return f"Set {_PLACES[abs(by)]} {'further on' if by > 0 else 'too early'}"
        case LeverNotSeated(index):
            return f"Lever {_label(board, index)} not seated"
        case DialOneStepOff(index, step):
            return f"Dial {_label(board, index)} one step too {'far' if step > 0 else 'low'}"
        case DigitsSwapped(first, second):
            return f"Dials {_label(board, first)} and {_label(board, second)} swapped"
        case DecimalSetOnHex():
            return "Decimal digits set as hex"
        case HexReadAsDecimal():
            return "Hex number read as decimal"
        case OffsetForgotten():
            return f"What the board adds ({board.base}) was forgotten"
        case BoardAddsOne():
            return "Board adds 1" if not board.adds else "Board adds one more"
        case BoardAddsNothing():
            return "Board adds nothing"
        case OtherBoard(other):
            return f"Board counts as {other.name}"
        case StoredBaseDiffers(base):
            return f"Stored base is {base}"
        case ChangeNotTaken():
            return "Change not taken yet"
        case FactoryAddress(server_address):
            return f"Still at {server_address}, as delivered"
        case _:
            raise AssertionError(f"{type(mistake).__name__} has no words")


def headlines(board: Board, explanation: Explanation) -> str:
    """Return one or two mistakes in a few words."""
    first, *rest = (headline(board, one) for one in explanation.mistakes)
    return " and ".join([first, *(one[0].lower() + one[1:] if one[:2] != "ON" else one for one in rest)])


def why_words(board: Board, explanation: Explanation, explained: Explained) -> str:
    """Return in a sentence how it comes to the address found."""
    match explanation.mistakes:
        case (ChangeNotTaken(previous),):
            known = (
                f"It was at {previous} before" if not explanation.is_open else f"Only if it was at {previous} before"
            )
            return f"{known}: power off and on, then ask again."
        case (FactoryAddress(),):
            return "The switches are not obeyed: is the address to be taken from them at all?"
        case (StoredBaseDiffers(base),):
            return f"Read the parameter in the device: only if it holds {base}."
        case (DecimalSetOnHex(),) if _has_dials(board):
            return f"{on_words(board, explanation.set_pattern)}: the digits of {explained.intended} are decimal."
        case (LeverNotSeated(index),):
            to = "ON" if explanation.set_pattern[index] else "OFF"
            return f"It reads {to}: press it home, or it was forgotten."
    return f"{on_words(board, explanation.set_pattern)}: {sum_words(explanation.real, explanation.set_pattern)}."


def instead_words(board: Board, explanation: Explanation, explained: Explained) -> str:
    """Return what to do so that the device answers as intended."""
    match explanation.mistakes:
        case (ChangeNotTaken() | FactoryAddress(),):
            return "Power off and on; the switches stay as they are."
    if explanation.should_be is None:
        return f"If so, {explained.intended} cannot be set on this board."
    to_do = moves(explanation.set_pattern, explanation.should_be)
    return f"{targets_words(board, to_do)}: it then answers at {explained.intended}."


def another_device_words(found: int) -> tuple[str, str]:
    """Return the case that no mistake was made: a headline and a sentence."""
    return f"It is meant to be {found}", "Another device, which the plan does not know, or something not listed here."


def look_words(board: Board, look: Look) -> str:
    """Return which look decides between the first explanation and another one."""
    match look:
        case LookAt(index, if_first, if_second):
            control = board.controls[index]
            if control.kind is ControlKind.LEVER:
                first, second = ("ON" if if_first else "OFF"), ("ON" if if_second else "OFF")
                return f"Look at lever {control.label}: {first} means the first, {second} the second."
            return (
                f"Look at dial {control.label}: {SYMBOLS[if_first]} means the first, {SYMBOLS[if_second]} the second."
            )
        case SetAnother(server_address, if_first, if_second):
            return (
                f"The same is set in both cases: set {server_address} as described; "
                f"it answers at {if_first} if the first is so, at {if_second} if the second."
            )
        case PowerCycle():
            return "Power off and on, then ask again: a change that was not taken is taken then."
        case NothingDecides():
            return "No look decides, and none is needed: the same is to be set either way."


def count_words(explained: Explained) -> str:
    """Return how many explain it: '4 mistakes lead from 14 to 56, and 12 pairs of mistakes.'."""
    singles = sum(len(one.mistakes) == 1 for one in explained.explanations)
    doubles = len(explained.explanations) - singles
    way = f"from {explained.intended} to {explained.found}"
    if not explained.explanations:
        return f"No mistake known here leads {way}."
    counted = [f"{singles} {'mistake leads' if singles == 1 else 'mistakes lead'} {way}"] if singles else []
    if doubles:
        pairs = f"{doubles} {'pair' if doubles == 1 else 'pairs'} of mistakes"
        counted.append(pairs if singles else f"{pairs} {'leads' if doubles == 1 else 'lead'} {way}")
    return ", and ".join(counted) + "."


def tie_words(explained: Explained) -> str:
    """Return that several explain it equally well; empty if one is ahead."""
    count = len(explained.best)
    return f"The first {count} explain it about equally well." if count > 1 else ""


def _label(board: Board, index: int) -> str:
    return board.controls[index].label


def _has_dials(board: Board) -> bool:
    return bool(dial_runs(board))


def _counts_on(board: Board) -> bool:
    first = board.controls[lever_runs(board)[0][0]]
    return first.adds_at(1) > 0
