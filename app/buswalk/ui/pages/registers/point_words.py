"""One point in words: its value with unit, its age, its address in every notation, what is wrong. Plain text."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.notations import REGISTERS_OF_FIVE_DIGITS, Notation, RegisterPlace, notations_of, written
from buswalk.domain.registers.point import Access, Between, Point
from buswalk.domain.registers.samples import Quality
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.type_names import type_words
from buswalk.domain.registers.value import TextValue
from buswalk.domain.registers.value_words import bits_in_words, number_words, value_words
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.registers.point_board import PointLook, PointStory
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import MINUS, THIN_SPACE, seconds_words

TABLE_WORDS = {
    Table.COILS: "Coils",
    Table.DISCRETE_INPUTS: "Discrete inputs",
    Table.INPUT_REGISTERS: "Input registers",
    Table.HOLDING_REGISTERS: "Holding registers",
}
RAW_WORDS_SHOWN = 2
LONGEST_VALUE = 26
SHORT_MEANINGS = {
    0x01: "function not known",
    0x02: "no such register",
    0x03: "value or quantity not taken",
    0x04: "device failure",
    0x06: "busy, ask again",
    0x0A: "gateway path unavailable",
    0x0B: "device behind gateway silent",
}


def group_row(table: Table) -> Row:
    """Return the head of the rows of one table."""
    words = f"{TABLE_WORDS[table]}, function {table.read_function:02d}"
    blank = Cell("", Tone.INK2)
    return (Cell(words, Tone.INK2, Weight.BOLD), *(blank for _ in range(7)))


def point_row(point: Point, story: PointStory | None, now_s: float, left_out: str) -> Row:
    """Return the row of a point."""
    value, note = value_and_note(point, story, left_out)
    place = RegisterPlace(point.table, point.register_address)
    return (
        Cell(point.words or point.name),
        value,
        age_cell(story, now_s),
        raw_cell(point, story),
        Cell(address_words(point)),
        Cell(written(place, Notation.REGISTER_NUMBER), Tone.INK2),
        Cell(reference_words(place), Tone.INK2),
        note,
    )


def age_cell(story: PointStory | None, now_s: float) -> Cell:
    """Return how old the last look is."""
    return Cell("–" if story is None else seconds_words(max(0.0, now_s - story.last.at_s)), Tone.INK2)


def value_and_note(point: Point, story: PointStory | None, left_out: str) -> tuple[Cell, Cell]:
    """Return the value with unit, and what is to be said beside it."""
    if story is None:
        said = "only written" if not point.can_be_read else "not read"
        return Cell(said, Tone.INK3), Cell(left_out, Tone.INK2)
    last = story.last
    match last.sample.quality:
        case Quality.REFUSED:
            words = "refused" if not last.exception_code else f"{last.exception_code:02X}: {_meaning(last)}"
            cell = Cell("refused", Tone.REFUSE, Weight.BOLD, OutcomeKind.REFUSED, last.exception_code)
            return cell, Cell(f"{words}; was told before" if last.told_before else words, Tone.REFUSE)
        case Quality.NO_REPLY:
            shape = OutcomeKind.NO_REPLY if last.outcome == OutcomeKind.NO_REPLY.word else None
            before = f"before: {_shown(point, story.words)}" if story.words else ""
            return Cell(last.outcome, Tone.DOUBT, Weight.BOLD, shape), Cell(before, Tone.DOUBT)
        case Quality.NO_VALUE:
            code = value_words(point, value_of(point, last.sample.words), last.sample.words)
            code = code.removeprefix("no value (").removesuffix(")")
            return Cell("◇ no value", Tone.DOUBT, Weight.BOLD, spoken="no value"), Cell(code, Tone.DOUBT)
        case Quality.DOUBTFUL:
            note = "in doubt: perhaps an old reply"
            return Cell(_shown(point, last.sample.words), Tone.DOUBT, Weight.BOLD), Cell(note, Tone.DOUBT)
        case Quality.OUT_OF_RANGE:
            shown = Cell(_shown(point, last.sample.words), Tone.DOUBT, Weight.BOLD)
            return shown, Cell(f"outside {range_words(point)}", Tone.DOUBT)
        case Quality.GOOD:
            bits = "; ".join(one for one in bits_in_words(point, last.sample.words) if not one.endswith(": off"))
            return Cell(_shown(point, last.sample.words), weight=Weight.BOLD), Cell(bits, Tone.INK2)


def _meaning(look: PointLook) -> str:
    return SHORT_MEANINGS.get(look.exception_code, exception_meaning(look.exception_code).name)


def _shown(point: Point, words: Sequence[int]) -> str:
    """Return a value as the table shows it; a long text is whole in the side panel."""
    if not words:
        return "–"
    value = value_of(point, words)
    said = said_value(point, words)
    if isinstance(value, TextValue) and len(said) > LONGEST_VALUE:
        return f"text of {len(value.text)} letters"
    return said


def said_value(point: Point, words: Sequence[int]) -> str:
    """Return a value with unit, with thin spaces and a true minus."""
    said = value_words(point, value_of(point, words), words)
    return with_signs(said)


def with_signs(said: str) -> str:
    """Return a number as every page writes it."""
    number, space, rest = said.partition(" ")
    figures = number.lstrip("-")
    whole, point, decimals = figures.partition(".")
    if not whole.isdigit() or (space and rest.startswith("=")):
        return said
    sign = MINUS if number.startswith("-") else ""
    grouped = f"{int(whole):,}".replace(",", THIN_SPACE) if len(whole) > 4 else whole
    return f"{sign}{grouped}{point}{decimals.replace('e-', f'e{MINUS}')}{space}{rest}"


def raw_cell(point: Point, story: PointStory | None) -> Cell:
    """Return the words in wire order; of many only the first: the side panel has all."""
    if story is None or not story.last.sample.words:
        return Cell("–", Tone.INK2, Weight.FIXED)
    words = story.last.sample.words
    if point.table.holds_bits:
        return Cell(str(words[0]), weight=Weight.FIXED)
    said = raw_words(words)
    if len(words) > RAW_WORDS_SHOWN:
        return Cell(f"{raw_words(words[:1])} +{len(words) - 1}", weight=Weight.FIXED, spoken=said)
    return Cell(said, weight=Weight.FIXED)


def raw_words(words: Sequence[int]) -> str:
    """Return words in wire order as hex."""
    return " ".join(f"{one:04X}" for one in words)


def address_words(point: Point) -> str:
    """Return the address as sent, decimal and hex."""
    return f"{point.register_address} / 0x{point.register_address:04X}"


def reference_words(place: RegisterPlace) -> str:
    """Return the reference number, with five digits where they reach."""
    is_short = place.register_address < REGISTERS_OF_FIVE_DIGITS
    return written(place, Notation.REFERENCE_NUMBER_5 if is_short else Notation.REFERENCE_NUMBER_6)


def range_words(point: Point) -> str:
    """Return the range with unit; empty for none."""
    match point.range:
        case Between(low, high):
            ends = f"{with_signs(number_words(point, low))} to {with_signs(number_words(point, high))}"
            return f"{ends} {point.unit}".rstrip()
        case _:
            return ""


def notation_lines(point: Point) -> tuple[str, ...]:
    """Return one place in all notations side by side."""
    place = RegisterPlace(point.table, point.register_address)
    texts = {one.notation: one.text for one in notations_of(place)}
    number = f"number {texts[Notation.REGISTER_NUMBER]}"
    others = [texts[one] for one in Notation if one.names_the_table and one in texts]
    sent = f"as sent {texts[Notation.REGISTER_ADDRESS]} = {texts[Notation.REGISTER_ADDRESS_HEX]}"
    return (f"{TABLE_WORDS[place.table][:-1]}, {sent} = {' = '.join((number, *others))}.",)


def list_lines(point: Point) -> tuple[str, ...]:
    """Return what the list says of a point."""
    parts = [f"List: {type_words(point.value_type)}"]
    if point.scale != 1:
        parts.append(f"× {point.scale:f}")
    if point.offset:
        parts.append(f"{'+' if point.offset > 0 else MINUS} {abs(point.offset):f}")
    if range_words(point):
        parts.append(range_words(point))
    access = {Access.READ: "read only", Access.READ_WRITE: "read and write", Access.WRITE: "only written"}
    parts.append(access[point.access])
    return (", ".join(parts) + ".",)
