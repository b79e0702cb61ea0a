"""The side panel: every reading of the focused point's words, all notations, what moved. Plain text."""

from __future__ import annotations

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.every_reading import Reading, Verdict, every_reading
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import Quality
from buswalk.domain.registers.type_names import type_words
from buswalk.domain.registers.value import NoValue, NumberValue, TextValue, TimeValue
from buswalk.domain.registers.value_type import ByteOrder
from buswalk.ui.pages.registers.point_board import PointBoard, PointStory
from buswalk.ui.pages.registers.point_words import (
    list_lines,
    notation_lines,
    raw_words,
    said_value,
    value_and_note,
    with_signs,
)
from buswalk.ui.pages.registers.registers_state import ReadingsState
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone

MOST_LETTERS = 16
LETTERS_OF_A_DATE = 10
LETTERS_OF_A_TEXT = 13
PLACES = ("first", "second", "third", "fourth")


def readings_of(server_address: int, point: Point, board: PointBoard, now_s: float) -> ReadingsState:
    """Return the panel for one point of one device."""
    story = board.story(server_address, point.name)
    title = f"Every reading of {_span(point)}"
    _, note = value_and_note(point, story, board.left_out(server_address, point.name))
    below = (*_whole_text(point, story), *_moved(point, story, now_s), *list_lines(point), *notation_lines(point))
    if story is None or not story.words:
        return ReadingsState(title, "–", "nothing read yet", (), below, note.words, note.tone)
    behind: tuple[int, ...] = ()
    if len(story.words) == 1 and not point.table.holds_bits:
        behind = board.word_at(server_address, point.table, point.register_address + 1)
    readings = every_reading(point, story.words, behind)
    is_now = story.last.sample.quality not in (Quality.NO_REPLY, Quality.REFUSED)
    aside = ("word as sent" if len(story.words) == 1 else "words as sent") + ("" if is_now else ", before that")
    raw = str(story.words[0]) if point.table.holds_bits else raw_words(story.words)
    rows = tuple(_row(one, readings[i - 1] if i else None, len(story.words)) for i, one in enumerate(readings))
    return ReadingsState(title, raw, aside, rows, below, note.words, note.tone)


def _span(point: Point) -> str:
    first, last = point.register_address, point.last_register_address
    return str(first) if first == last else f"{first} – {last}"


def _row(reading: Reading, above: Reading | None, count: int) -> Row:
    whole = _kind_words(reading, count)
    is_under = above is not None and _is_exchanged_of(reading, above)
    words = "  …, bytes exchanged" if is_under else whole
    spoken = f"{whole}, with the next word" if len(reading.words) > count else whole
    weight = Weight.BOLD if reading.is_listed else Weight.REGULAR
    tone = Tone.INK if reading.verdict in (Verdict.FITS, Verdict.POSSIBLE) else Tone.INK2
    return (
        Cell(words, tone, weight, spoken=spoken),
        Cell(_value(reading), tone, weight, spoken=said_value(reading.point, reading.words)),
        Cell(reading.verdict.value, tone, weight),
    )


def _kind_words(reading: Reading, count: int) -> str:
    """Return type, order and scale; of one word out of several, which."""
    words = type_words(reading.point.value_type).replace("unsigned ", "uint").replace("signed ", "int")
    words = words.replace("sign and amount ", "sign+amount ").replace("float 32", "float")
    if reading.point.scale != 1:
        words += f", × {reading.point.scale:f}"
    if count > len(reading.words):
        words += f", {PLACES[reading.first_word]} word" if reading.first_word < len(PLACES) else ""
    return words


def _is_exchanged_of(reading: Reading, above: Reading) -> bool:
    mine, other = reading.point.value_type, above.point.value_type
    same = (mine.layout, mine.bits, mine.word_order) == (other.layout, other.bits, other.word_order)
    is_same = same and reading.point.scale == above.point.scale and reading.first_word == above.first_word
    return is_same and mine.byte_order is ByteOrder.EXCHANGED and other.byte_order is ByteOrder.STANDARD


def _value(reading: Reading) -> str:
    if isinstance(reading.value, NoValue):
        return "no number"
    if isinstance(reading.value, TimeValue):
        return said_value(reading.point, reading.words)[:LETTERS_OF_A_DATE]
    said = said_value(reading.point, reading.words)
    if reading.verdict is Verdict.ABSURD and not reading.is_listed:
        said = said.removesuffix(f" {reading.point.unit}")
    if isinstance(reading.value, TextValue):
        return said if len(said) <= LETTERS_OF_A_TEXT else "text, see below"
    return said if len(said) <= MOST_LETTERS else _without_unit(reading, said)


def _without_unit(reading: Reading, said: str) -> str:
    """Return a long number alone; one that is too long even so in powers of ten: figures are never cut away."""
    bare = said.removesuffix(f" {reading.point.unit}")
    if len(bare) <= MOST_LETTERS or not isinstance(reading.value, NumberValue):
        return bare
    return with_signs(f"{float(reading.value.value):.6e}".replace("e+", "e"))


def _whole_text(point: Point, story: PointStory | None) -> tuple[str, ...]:
    if story is None or not isinstance(_last_value(point, story), TextValue):
        return ()
    return (f"Text: {said_value(point, story.words)}.",)


def _moved(point: Point, story: PointStory | None, now_s: float) -> tuple[str, ...]:
    if story is None or not isinstance(_last_value(point, story), NumberValue):
        return ()
    span = story.moved(now_s)
    if span is None:
        return ()
    decimals = max(point.decimals, 0)
    moved = with_signs(f"{span[1] - span[0]:.{decimals}f}")
    return (f"Moved by {moved} {point.unit}".rstrip() + " in the last 60 s.",)


def _last_value(point: Point, story: PointStory) -> object:
    return value_of(point, story.words) if story.words else None
