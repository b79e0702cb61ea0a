"""What is wrong with a pair of wires, or right: every parameter of the line that a scenario can set."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import pairwise


class OverlapRule(Enum):
    """Which level the pair takes while two drivers disagree; real drivers and cables differ."""

    ZERO_WINS = "zero_wins"
    ONE_WINS = "one_wins"
    STRONGER_WINS = "stronger_wins"


class HeldLevel(Enum):
    """What a stuck driver or a short does to the pair."""

    MARK = "mark"
    SPACE = "space"
    SHORT = "short"
    """No level at all: receivers read it as mark, nothing passes."""


@dataclass(frozen=True, slots=True)
class Window:
    """From one moment of line time to another, in seconds."""

    from_s: float
    until_s: float

    def __post_init__(self) -> None:
        if self.until_s < self.from_s:
            raise ValueError("a window ends after it begins")


@dataclass(frozen=True, slots=True)
class Held:
    """The pair is held at a level during windows."""

    level: HeldLevel
    windows: tuple[Window, ...]


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """Both cores are open between positions `after` and `after` + 1, during windows in order of time.

    Raises:
        ValueError: A window begins before the one in front of it has ended.
    """

    after: int
    windows: tuple[Window, ...]

    def __post_init__(self) -> None:
        for former, latter in pairwise(self.windows):
            if latter.from_s < former.until_s:
                raise ValueError(f"windows come in order of time: {latter.from_s:g} s lies in or before another one")


@dataclass(frozen=True, slots=True)
class WeakPlace:
    """One core is bad between `after` and `after` + 1: what passes it is hit by noise at this rate per bit."""

    after: int
    bit_error_rate: float


@dataclass(frozen=True, slots=True)
class Glitches:
    """Low pulses when drivers take or leave a pair that floats.

    Attributes:
        before, after: Probability of a pulse when a driver takes, and when it has left, the line.
        low_bits: Shortest and longest pulse, in bits of the burst.
        lead_characters: Shortest and longest time between pulse and burst, in characters.
        stations: Names of those whose bursts are meant; empty for all.
    """

    before: float = 0.0
    after: float = 0.0
    low_bits: tuple[float, float] = (1.0, 9.0)
    lead_characters: tuple[float, float] = (0.2, 3.0)
    stations: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (0 <= self.before <= 1 and 0 <= self.after <= 1):
            raise ValueError("a probability lies between 0 and 1")


@dataclass(frozen=True, slots=True)
class NoiseBursts:
    """Bursts of noise, so many a second, each of a length; only while the plant is on if `with_plant`.

    Attributes:
        period_s: Above zero, bursts come with this period (10 ms for phase-cut loads on 50 Hz) in
            place of at random.
    """

    per_second: float
    shortest_s: float
    longest_s: float
    with_plant: bool
    period_s: float = 0.0


@dataclass(frozen=True, slots=True)
class LineHabits:
    """All of it; the defaults are a sound line.

    Attributes:
        reference_baud: Noise pulses last one bit of this speed, and rates per bit count such bits.
        bit_error_rate: Chance that noise flips such a bit while the pair is driven.
        growth_per_100_m: By how much that chance grows with each 100 m between sender and receiver.
        edge_error_rate: Chance that the bit behind an edge is spoilt by a reflection, at 9600 baud
            and 100 m; it grows with speed and length.
        biased: Idle is a driven mark. Without, idle is nothing, which receivers read as mark.
        noise_on_battery: Share of the noise that is left while the laptop runs on its battery: 0 where all of it comes
            through the charger, 1 where none does.
    """

    reference_baud: int = 9600
    bit_error_rate: float = 0.0
    growth_per_100_m: float = 0.0
    edge_error_rate: float = 0.0
    biased: bool = True
    overlap: OverlapRule = OverlapRule.ZERO_WINS
    glitches: Glitches = Glitches()
    bursts: NoiseBursts | None = None
    held: Held | None = None
    open_place: OpenPlace | None = None
    weak_place: WeakPlace | None = None
    noise_on_battery: float = 1.0

    def __post_init__(self) -> None:
        for rate in (self.bit_error_rate, self.edge_error_rate):
            if not 0 <= rate <= 0.5:
                raise ValueError("an error rate per bit lies between 0 and 0.5")
        if not 0 <= self.noise_on_battery <= 1:
            raise ValueError("the share of noise that is left on battery lies between 0 and 1")
