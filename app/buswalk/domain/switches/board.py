"""A board's address switches as its description says: blocks of levers and dials, and what each of them counts."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from buswalk.domain.switches.meaning import Meaning, Special

DIAL_SIZES = (10, 16)
MOST_LEVERS = 16
MOST_PATTERNS = 4096
"""Ways to set the address that a board may have: more are no switches for an address of one byte."""
SYMBOLS = "0123456789ABCDEF"
Pattern = tuple[int, ...]
"""One position a control, in the order of `Board.controls`: levers 0 (OFF) or 1 (ON), dials the digit they show."""


class Side(Enum):
    """Where something is, seen from the front."""

    UP = "up"
    DOWN = "down"
    LEFT = "left"
    RIGHT = "right"

    @property
    def is_upright(self) -> bool:
        """True for up and down."""
        return self in (Side.UP, Side.DOWN)


class CountsWhen(Enum):
    """At which position a lever adds its weight."""

    ON = "on"
    OFF = "off"


class TakesEffect(Enum):
    """When a changed switch is obeyed."""

    AT_ONCE = "at once"
    AFTER_POWER_UP = "after power-up"


class ControlKind(Enum):
    """What is set by hand."""

    LEVER = "lever"
    DIAL = "dial"


@dataclass(frozen=True, slots=True)
class Lever:
    """One lever: the number printed at it, and what it adds to the address; 0 for levers with another purpose."""

    label: str
    weight: int

    def __post_init__(self) -> None:
        _check_label_and_weight(self.label, self.weight)


@dataclass(frozen=True, slots=True)
class LeverBlock:
    """Levers in one body.

    Attributes:
        levers: By printed number, wherever the first one sits.
        first: The end at which the first lever sits.
        on: The side to which a lever is pushed for ON.
        counts_when: The position that adds the weight.
    """

    levers: tuple[Lever, ...]
    first: Side = Side.LEFT
    on: Side = Side.UP
    counts_when: CountsWhen = CountsWhen.ON

    def __post_init__(self) -> None:
        if not 1 <= len(self.levers) <= MOST_LEVERS:
            raise ValueError(f"a block has 1 to {MOST_LEVERS} levers")
        if self.first.is_upright == self.on.is_upright:
            raise ValueError(
                f"levers pushed {self.on.value} for ON stand side by side across that: "
                f"the first cannot be at the {self.first.value} end"
            )

    @property
    def is_row(self) -> bool:
        """Whether the levers stand in a row; else they stand above each other."""
        return self.on.is_upright


@dataclass(frozen=True, slots=True)
class Dial:
    """A rotary switch: what is printed at it, its positions (10 or 16), and what one step adds to the address."""

    label: str
    positions: int
    weight: int

    def __post_init__(self) -> None:
        _check_label_and_weight(self.label, self.weight)
        if self.positions not in DIAL_SIZES:
            raise ValueError(f"a dial has 10 or 16 positions, not {self.positions}")


Block = LeverBlock | Dial


@dataclass(frozen=True, slots=True)
class Control:
    """A lever or a dial as something that can be set, wherever it sits.

    Attributes:
        positions: How many it has.
        block: Index of its block.
    """

    kind: ControlKind
    label: str
    positions: int
    weight: int
    counts_when: CountsWhen
    block: int

    @property
    def is_for_address(self) -> bool:
        """Whether it takes part in the address."""
        return self.weight > 0

    def adds_at(self, position: int) -> int:
        """Return what it adds to the address at a position."""
        if self.kind is ControlKind.DIAL:
            return self.weight * position
        return self.weight if (position == 1) == (self.counts_when is CountsWhen.ON) else 0


@dataclass(frozen=True, slots=True)
class Board:
    """How the switches of a board count. Address = sum of what the controls add + `adds` + the stored base.

    Attributes:
        name: By which it is called in plans and commands.
        title: A few words on how it counts.
        about: By what one knows it, and what to mind.
        blocks: From left to right as one looks at the board.
        adds: What the board adds by itself.
        stored_base: What it adds from a parameter inside the device, as far as known; None where there is none.
        factory_address: Where it answers as delivered, whatever the switches say; None where it always obeys them.
        controls: All levers and dials, block by block; the order of a pattern.
    """

    name: str
    title: str
    blocks: tuple[Block, ...]
    about: str = ""
    adds: int = 0
    stored_base: int | None = None
    factory_address: int | None = None
    takes_effect: TakesEffect = TakesEffect.AFTER_POWER_UP
    meanings: tuple[Meaning, ...] = ()
    specials: tuple[Special, ...] = ()
    controls: tuple[Control, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "controls", _controls(self.blocks))
        if not self.name.strip() or not self.title.strip():
            raise ValueError("a board has a name and a title")
        self._check_numbers()
        self._check_labels()
        self._check_specials()

    @property
    def base(self) -> int:
        """What is added to the sum of the switches."""
        return self.adds + (self.stored_base or 0)

    @property
    def address_controls(self) -> tuple[int, ...]:
        """Indices of the controls that take part in the address."""
        return tuple(i for i, one in enumerate(self.controls) if one.is_for_address)

    @property
    def rest(self) -> Pattern:
        """Every lever OFF, every dial at 0."""
        return (0,) * len(self.controls)

    @property
    def shape(self) -> tuple[int, ...]:
        """Positions of each control: boards of one shape can be taken for each other."""
        return tuple(one.positions for one in self.controls)

    def sum_of(self, pattern: Pattern) -> int:
        """Return what the switches alone add up to."""
        return sum(one.adds_at(position) for one, position in zip(self.controls, pattern, strict=True))

    def is_pattern(self, pattern: Pattern) -> bool:
        """Whether the controls can be set so."""
        return len(pattern) == len(self.controls) and all(
            0 <= position < one.positions for one, position in zip(self.controls, pattern, strict=True)
        )

    def index_of(self, label: str) -> int:
        """Return the index of a control by what is printed at it. Raises ValueError."""
        for i, one in enumerate(self.controls):
            if one.label == label:
                return i
        raise ValueError(f"there is no lever or dial '{label}'")

    def _check_numbers(self) -> None:
        if not 0 <= self.adds <= 255 or not 0 <= (self.stored_base or 0) <= 255:
            raise ValueError("what a board adds is 0 to 255")
        if self.factory_address is not None and not 1 <= self.factory_address <= 247:
            raise ValueError("the address as delivered is 1 to 247")
        ways = 1
        for one in self.controls:
            ways *= one.positions if one.is_for_address else 1
        if ways == 1:
            raise ValueError("nothing on this board counts for the address: give a lever or dial a weight")
        if ways > MOST_PATTERNS:
            raise ValueError(f"the address can be set in {ways} ways: more than {MOST_PATTERNS} are not taken")

    def _check_labels(self) -> None:
        labels = [one.label for one in self.controls]
        double = next((one for one in labels if labels.count(one) > 1), None)
        if double is not None:
            raise ValueError(f"two levers or dials are called '{double}': label them apart")
        told: set[str] = set()
        for meaning in self.meanings:
            for label in meaning.of:
                if self.controls[self.index_of(label)].is_for_address:
                    raise ValueError(f"'{label}' counts for the address and cannot mean {meaning.kind.value} as well")
                if label in told:
                    raise ValueError(f"'{label}' is given two meanings")
                told.add(label)
            meaning.check_positions(tuple(self.controls[self.index_of(label)].positions for label in meaning.of))

    def _check_specials(self) -> None:
        for special in self.specials:
            if len(special.pattern) != len(self.controls):
                raise ValueError(
                    f"special pattern '{special.pattern}' has {len(special.pattern)} signs; "
                    f"this board takes {len(self.controls)}, one a lever or dial"
                )
            for sign, one in zip(special.pattern, self.controls, strict=True):
                if sign != "-" and SYMBOLS.index(sign) >= one.positions:
                    raise ValueError(f"special pattern '{special.pattern}': '{one.label}' has no position {sign}")


def pattern_text(pattern: Pattern) -> str:
    """Return a pattern with one sign a control: 10100100, or 25 for two dials."""
    return "".join(SYMBOLS[position] for position in pattern)


def _controls(blocks: tuple[Block, ...]) -> tuple[Control, ...]:
    found: list[Control] = []
    for at, block in enumerate(blocks):
        match block:
            case LeverBlock(levers=levers, counts_when=counts_when):
                found += [Control(ControlKind.LEVER, one.label, 2, one.weight, counts_when, at) for one in levers]
            case Dial(label, positions, weight):
                found.append(Control(ControlKind.DIAL, label, positions, weight, CountsWhen.ON, at))
    return tuple(found)


def _check_label_and_weight(label: str, weight: int) -> None:
    if not label.strip() or len(label) > 8:
        raise ValueError(f"label '{label}' cannot be: 1 to 8 signs, as printed on the board")
    if not 0 <= weight <= 255:
        raise ValueError(f"'{label}' cannot count {weight}: 0 (not for the address) to 255")
