"""The switches as they sit before the eye: which lever or dial is drawn where, in millimetres. Drawing is elsewhere."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum

from buswalk.domain.switches.board import SYMBOLS, Board, Control, Dial, LeverBlock, Pattern, Side
from buswalk.domain.switches.geometry import Align, Frame, Point, Rectangle, Text, Turn
from buswalk.domain.switches.meaning import MeaningKind
from buswalk.domain.switches.seen import turned_side

KNOB_PART = 0.5
"""Part of its slot that a lever's knob fills."""
SHORT_WORDS = {
    MeaningKind.SPEED: ("speed",),
    MeaningKind.PARITY: ("parity",),
    MeaningKind.TERMINATION: ("line", "end"),
    MeaningKind.POLARIZATION: ("pol.",),
    MeaningKind.NOTHING: ("no", "use"),
    MeaningKind.OTHER: ("other",),
}
NOT_TOLD = ("not", "told")


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of a picture: those for print unless told.

    Attributes:
        lever_mm: Width of a slot; `slot_mm` is its length, `pitch_mm` from lever to lever.
        figure_mm: Height of figures; `word_mm` of words, where there are no figures.
    """

    lever_mm: float = 6.0
    slot_mm: float = 15.0
    pitch_mm: float = 8.5
    margin_mm: float = 1.5
    inset_mm: float = 0.5
    dial_radius_mm: float = 9.0
    gap_mm: float = 8.0
    figure_mm: float = 3.6
    word_mm: float = 2.4


PRINT = Sizes()


class BodyTone(Enum):
    """How levers and their body are drawn, to look like those of the board."""

    FILLED_IS_ON = "filled is ON"
    WHITE_LEVERS = "white levers, dark body"
    DARK_LEVERS = "dark levers, white body"


@dataclass(frozen=True, slots=True)
class LeverPicture:
    """One lever.

    Attributes:
        index: Of its control.
        slot, knob: The hole and what is pushed to one of its halves.
        digit: 1 or 0, on the knob.
        counts: Whether it adds its weight now.
        is_marked: Whether it is to be moved.
    """

    index: int
    slot: Rectangle
    knob: Rectangle
    digit: Text
    label: Text
    says: Text
    is_on: bool
    counts: bool
    is_for_address: bool
    is_marked: bool


@dataclass(frozen=True, slots=True)
class DialPicture:
    """One dial.

    Attributes:
        pointer_degrees: Clockwise from straight up.
        digits: Around it, in order from 0.
    """

    index: int
    center: Point
    radius_mm: float
    position: int
    pointer_degrees: float
    digits: tuple[Text, ...]
    label: Text
    says: Text
    is_for_address: bool
    is_marked: bool


@dataclass(frozen=True, slots=True)
class BodyPicture:
    """The body of a block of levers, and the arrow to its ON side from `arrow_from` to `arrow_to`."""

    body: Rectangle
    arrow_from: Point
    arrow_to: Point
    on: Text


@dataclass(frozen=True, slots=True)
class Picture:
    """All of it, from the top left corner."""

    width_mm: float
    height_mm: float
    bodies: tuple[BodyPicture, ...]
    levers: tuple[LeverPicture, ...]
    dials: tuple[DialPicture, ...]

    @property
    def texts(self) -> tuple[Text, ...]:
        """Every text in it."""
        of_levers = [text for one in self.levers for text in (one.digit, one.label, one.says)]
        of_dials = [text for one in self.dials for text in (one.label, one.says, *one.digits)]
        return (*(one.on for one in self.bodies), *of_levers, *of_dials)


def picture_of(
    board: Board,
    pattern: Pattern,
    turn: Turn = Turn.NONE,
    marked: Iterable[int] = (),
    sizes: Sizes = PRINT,
) -> Picture:
    """Return where everything is drawn.

    Raises:
        ValueError: The board cannot be set so.
    """
    if not board.is_pattern(pattern):
        raise ValueError(f"{pattern} cannot be set on this board")
    return _Drawing(board, pattern, turn, frozenset(marked), sizes).picture()


@dataclass(slots=True)
class _Drawing:
    """Lays out block after block as described, then turns everything."""

    board: Board
    pattern: Pattern
    turn: Turn
    marked: frozenset[int]
    sizes: Sizes
    frame: Frame = field(init=False)

    def picture(self) -> Picture:
        extents = [self._extent(block) for block in self.board.blocks]
        height = max(tall for _, tall in extents)
        width = sum(wide for wide, _ in extents) + self.sizes.gap_mm * (len(extents) - 1)
        self.frame = Frame(width, height, self.turn)
        bodies: list[BodyPicture] = []
        levers: list[LeverPicture] = []
        dials: list[DialPicture] = []
        left, index = 0.0, 0
        for block, (wide, tall) in zip(self.board.blocks, extents, strict=True):
            origin = Point(left, (height - tall) / 2)
            match block:
                case LeverBlock():
                    body = self._body(block, origin)
                    bodies.append(self._seen_body(block, body))
                    levers += [self._lever(block, body, place, index + place) for place in range(len(block.levers))]
                    index += len(block.levers)
                case Dial():
                    dials.append(self._dial(Rectangle(origin.x_mm, origin.y_mm, wide, tall), index))
                    index += 1
            left += wide + self.sizes.gap_mm
        wide_seen, tall_seen = self.frame.turned_size_mm
        return Picture(wide_seen, tall_seen, tuple(bodies), tuple(levers), tuple(dials))

    # Levers

    def _along_across(self, block: LeverBlock) -> tuple[float, float]:
        """Return the body's length along the row of levers, and its width."""
        sizes = self.sizes
        along = sizes.pitch_mm * (len(block.levers) - 1) + sizes.lever_mm + 2 * sizes.margin_mm
        return along, sizes.slot_mm + 2 * sizes.margin_mm

    def _text_room(self, *, beside: bool) -> float:
        """Return the room that labels or words need outside of the body: beside a column more than over a row."""
        return self.sizes.pitch_mm * 1.3 if beside else self.sizes.figure_mm * 2.2

    def _extent(self, block: LeverBlock | Dial) -> tuple[float, float]:
        sizes = self.sizes
        if isinstance(block, Dial):
            reach = 2 * (sizes.dial_radius_mm + 2.2 * sizes.figure_mm)
            with_words = reach + 4.4 * sizes.figure_mm
            # Its words stand over and under it however the board hangs.
            return (with_words, reach) if self.turn.quarters % 2 else (reach, with_words)
        along, across = self._along_across(block)
        if block.is_row:
            room = self._text_room(beside=self.turn.quarters % 2 == 1)
            return along + self._arrow_room(), across + 2 * room
        room = self._text_room(beside=self.turn.quarters % 2 == 0)
        return across + 2 * room, along + self._arrow_room()

    def _arrow_room(self) -> float:
        return self.sizes.figure_mm * 4.0

    def _body(self, block: LeverBlock, origin: Point) -> Rectangle:
        along, across = self._along_across(block)
        if block.is_row:
            room = self._text_room(beside=self.turn.quarters % 2 == 1)
            return Rectangle(origin.x_mm + self._arrow_room(), origin.y_mm + room, along, across)
        room = self._text_room(beside=self.turn.quarters % 2 == 0)
        return Rectangle(origin.x_mm + room, origin.y_mm + self._arrow_room(), across, along)

    def _seen_body(self, block: LeverBlock, body: Rectangle) -> BodyPicture:
        """The arrow stands beside the row and points to its word."""
        figure = self.sizes.figure_mm
        reach = self.sizes.slot_mm * 0.25
        middle = (
            Point(body.x_mm - figure * 2.0, body.center.y_mm)
            if block.is_row
            else Point(body.center.x_mm, body.y_mm - figure * 2.0)
        )
        x, y = _towards(block.on)
        away = reach + figure * (1.9 if turned_side(block.on, self.turn) in (Side.LEFT, Side.RIGHT) else 1.0)
        word = Point(middle.x_mm + x * away, middle.y_mm + y * away)
        return BodyPicture(
            self.frame.rectangle(body),
            self.frame.point(Point(middle.x_mm - x * reach, middle.y_mm - y * reach)),
            self.frame.point(Point(middle.x_mm + x * reach, middle.y_mm + y * reach)),
            Text(("ON",), self.frame.point(word), figure, is_bold=True),
        )

    def _lever(self, block: LeverBlock, body: Rectangle, place: int, index: int) -> LeverPicture:
        sizes, control = self.sizes, self.board.controls[index]
        is_first_end = block.first in (Side.LEFT, Side.UP)
        along = sizes.margin_mm + sizes.pitch_mm * (place if is_first_end else len(block.levers) - 1 - place)
        slot = (
            Rectangle(body.x_mm + along, body.y_mm + sizes.margin_mm, sizes.lever_mm, sizes.slot_mm)
            if block.is_row
            else Rectangle(body.x_mm + sizes.margin_mm, body.y_mm + along, sizes.slot_mm, sizes.lever_mm)
        )
        is_on = self.pattern[index] == 1
        knob = _knob(slot, block.on, sizes.inset_mm, is_on=is_on)
        counts = control.adds_at(self.pattern[index]) > 0
        return LeverPicture(
            index,
            self.frame.rectangle(slot),
            self.frame.rectangle(knob),
            Text((SYMBOLS[self.pattern[index]],), self.frame.point(knob.center), sizes.figure_mm, is_bold=is_on),
            self._beside(block, body, slot, (control.label,), is_label=True, is_bold=True),
            self._beside(block, body, slot, self._says(control), is_label=False, is_bold=counts),
            is_on,
            counts,
            control.is_for_address,
            index in self.marked,
        )

    def _beside(
        self,
        block: LeverBlock,
        body: Rectangle,
        slot: Rectangle,
        lines: tuple[str, ...],
        *,
        is_label: bool,
        is_bold: bool,
    ) -> Text:
        """Printed numbers stand over a row or left of a column, what they say on the other side."""
        distance = self.sizes.figure_mm * 1.1
        if block.is_row:
            distance += (len(lines) - 1) * self.sizes.word_mm * 0.5
        sign = -1.0 if is_label else 1.0
        if block.is_row:
            edge = body.y_mm if is_label else body.bottom_mm
            at, outward = Point(slot.center.x_mm, edge + sign * distance), Point(0.0, sign)
        else:
            edge = body.x_mm if is_label else body.right_mm
            at, outward = Point(edge + sign * distance, slot.center.y_mm), Point(sign, 0.0)
        seen = Frame(0.0, 0.0, self.turn).point(outward)
        align = Align.LEFT if seen.x_mm > 0.5 else Align.RIGHT if seen.x_mm < -0.5 else Align.CENTER
        is_figure = all(line.isdecimal() for line in lines) or is_label
        height = self.sizes.figure_mm if is_figure else self.sizes.word_mm
        room = self.sizes.pitch_mm if align is Align.CENTER else 0.0
        return Text(lines, self.frame.point(at), height, align, is_bold, room)

    # Dials

    def _dial(self, area: Rectangle, index: int) -> DialPicture:
        sizes, control = self.sizes, self.board.controls[index]
        center = area.center
        ring = sizes.dial_radius_mm + 1.1 * sizes.figure_mm
        step = 360.0 / control.positions
        digits = tuple(
            Text(
                (SYMBOLS[position],),
                self.frame.point(_on_circle(center, ring, step * position)),
                sizes.figure_mm,
                is_bold=position == self.pattern[index],
            )
            for position in range(control.positions)
        )
        # Words over and under a dial stay there however the board hangs: they belong to the picture, not to the print.
        seen = self.frame.point(center)
        away = ring + 2.0 * sizes.figure_mm
        return DialPicture(
            index,
            seen,
            sizes.dial_radius_mm,
            self.pattern[index],
            (step * self.pattern[index] + self.turn.value) % 360.0,
            digits,
            Text((control.label,), Point(seen.x_mm, seen.y_mm - away), sizes.figure_mm, is_bold=True),
            Text(self._says_dial(control, self.pattern[index]), Point(seen.x_mm, seen.y_mm + away), sizes.figure_mm),
            control.is_for_address,
            index in self.marked,
        )

    # Words

    def _says(self, control: Control) -> tuple[str, ...]:
        if control.is_for_address:
            return (str(control.weight),)
        kinds = [one.kind for one in self.board.meanings if control.label in one.of]
        return SHORT_WORDS[kinds[0]] if kinds else NOT_TOLD

    def _says_dial(self, control: Control, position: int) -> tuple[str, ...]:
        if not control.is_for_address:
            return self._says(control)
        return (f"{position} x {control.weight} = {control.adds_at(position)}",)


def _towards(side: Side) -> tuple[float, float]:
    return {Side.UP: (0.0, -1.0), Side.DOWN: (0.0, 1.0), Side.LEFT: (-1.0, 0.0), Side.RIGHT: (1.0, 0.0)}[side]


def _knob(slot: Rectangle, on: Side, inset_mm: float, *, is_on: bool) -> Rectangle:
    """Return the knob in the half of its slot to which it is pushed."""
    x, y = _towards(on)
    sign = 1.0 if is_on else -1.0
    inner = Rectangle(
        slot.x_mm + inset_mm, slot.y_mm + inset_mm, slot.width_mm - 2 * inset_mm, slot.height_mm - 2 * inset_mm
    )
    width = inner.width_mm * (KNOB_PART if x else 1.0)
    height = inner.height_mm * (KNOB_PART if y else 1.0)
    left = inner.x_mm if x * sign <= 0 else inner.right_mm - width
    top = inner.y_mm if y * sign <= 0 else inner.bottom_mm - height
    return Rectangle(left, top, width, height)


def _on_circle(center: Point, radius_mm: float, degrees: float) -> Point:
    angle = math.radians(degrees)
    return Point(center.x_mm + radius_mm * math.sin(angle), center.y_mm - radius_mm * math.cos(angle))
