"""Writes in words, for pages and commands alike: where, what, and what became of it."""

from __future__ import annotations

from decimal import Decimal

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue, TimeValue
from buswalk.domain.registers.writing.events import WriteAnswer
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace
from buswalk.domain.registers.writing.verdict import Verdict

_TABLES = {
    Table.COILS: "coil",
    Table.DISCRETE_INPUTS: "discrete input",
    Table.INPUT_REGISTERS: "input register",
    Table.HOLDING_REGISTERS: "holding register",
}
_VERDICTS = {
    Verdict.HELD: "held",
    Verdict.FELL_BACK: "fell back",
    Verdict.CLIPPED: "clipped",
    Verdict.IGNORED: "ignored",
    Verdict.OTHER_VALUE: "another value",
    Verdict.NO_DIFFERENCE: "as it was before",
    Verdict.NOT_READ: "not read",
}
_MEANINGS = {
    Verdict.HELD: "held: the value written stands there",
    Verdict.FELL_BACK: "fell back: the device took it and gave it up again; look for local or manual mode, another "
    "source with priority, or a timer that wants the value again and again",
    Verdict.CLIPPED: "clipped: the device took another value; it has limits of its own",
    Verdict.IGNORED: "ignored: what stood there before stands there still; look for local or manual mode, a lock, or a "
    "save or trigger register that must follow",
    Verdict.OTHER_VALUE: "another value stands there than the old or the new one: it is written by somebody else, or "
    "means something else than the list says",
    Verdict.NO_DIFFERENCE: "the old value was the new one: that it stands there proves nothing",
    Verdict.NOT_READ: "nothing could be read back: what stands there is not known",
}
_ANSWERS = {
    WriteAnswer.CONFIRMED: "confirmed",
    WriteAnswer.REFUSED: "refused",
    WriteAnswer.SILENT: "no reply",
    WriteAnswer.DAMAGED: "no right reply",
    WriteAnswer.FROM_ANOTHER: "a reply came from another address",
    WriteAnswer.NOT_SENT: "not sent",
    WriteAnswer.NOBODY_ANSWERS: "sent to all devices, which do not answer",
}


def place_words(intended: IntendedWrite) -> str:
    """Return where it goes, such as `setpoint of 21 (holding register 0)`."""
    block = intended.block
    last = f" to {block.last}" if block.quantity > 1 else ""
    where = f"{_TABLES[block.table]} {block.first}{last}"
    whom = "all devices" if intended.is_broadcast else f"{intended.server_address}"
    match intended.place:
        case KnownPlace(point):
            return f"{point.words or point.name} of {whom} ({where})"
        case RawPlace():
            return f"{where} of {whom}"


def words_in_place(intended: IntendedWrite, words: tuple[int, ...]) -> str:
    """Return what words mean there, with unit; raw ones as numbers and in hex."""
    if not words:
        return "not read"
    match intended.place:
        case KnownPlace(point):
            return value_words(point, words)
        case RawPlace(table):
            return " ".join("on" if one else "off" for one in words) if table.holds_bits else _raw(words)


def _raw(words: tuple[int, ...]) -> str:
    return " ".join(str(one) for one in words) + " (" + " ".join(f"{one:04X}" for one in words) + ")"


def value_words(point: Point, words: tuple[int, ...]) -> str:
    """Return the value of a point as it is shown, with unit."""
    match value_of(point, words):
        case NumberValue(value, _, named):
            shown = _rounded(value, point.decimals)
            return f"{shown} {point.unit}".rstrip() + (f" ({named})" if named else "")
        case BitValue(is_on, named):
            return named or ("on" if is_on else "off")
        case TextValue(text):
            return f"'{text}'"
        case TimeValue(seconds):
            return f"{seconds} s since 1970"
        case NoValue(why):
            return f"no value ({why.value})"


def _rounded(value: Decimal, decimals: int) -> str:
    """Return it with the digits of its point, or with more where these would hide something."""
    shown = round(value, decimals)
    return f"{shown:f}" if shown == value or abs(value - shown) < Decimal("1e-4") else f"{value.normalize():f}"


def verdict_words(verdict: Verdict) -> str:
    """Return a verdict in a word or two."""
    return _VERDICTS[verdict]


def verdict_meaning(verdict: Verdict) -> str:
    """Return a verdict as a sentence, with where to look next."""
    return _MEANINGS[verdict]


def answer_words(answer: WriteAnswer, exception_code: int) -> str:
    """Return what the device said to a write."""
    return f"{_ANSWERS[answer]}, exception {exception_code:02X}" if exception_code else _ANSWERS[answer]
