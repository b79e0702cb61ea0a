"""What levers mean that are not for the address, and patterns that are no plain address."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

_SIGNS = "0123456789ABCDEF"
_LOWEST_BAUD, _HIGHEST_BAUD = 50, 4_000_000
AUTOMATIC = "automatic"
_ON_OFF = ("on", "off")
_PARITIES = ("none", "even", "odd")


class MeaningKind(Enum):
    """What a lever is for if not for the address."""

    SPEED = "speed"
    PARITY = "parity"
    TERMINATION = "line end"
    POLARIZATION = "polarization"
    NOTHING = "nothing"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one or more controls say together.

    Attributes:
        of: Their labels.
        values: Pairs of the signs of these controls, in the order of `of`, and what they say: a speed in baud or
            `automatic`; none, even, odd; on, off; words for other. Empty for nothing.
    """

    kind: MeaningKind
    of: tuple[str, ...]
    values: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        if not self.of:
            raise ValueError("a meaning names the levers or dials that it is of")
        if bool(self.values) == (self.kind is MeaningKind.NOTHING):
            raise ValueError("every meaning but nothing has values, and nothing has none")
        signs = [one for one, _ in self.values]
        if len(set(signs)) != len(signs):
            raise ValueError("a combination of these levers is given twice")
        for one, said in self.values:
            if len(one) != len(self.of):
                raise ValueError(f"'{one}' needs one sign for each of {', '.join(self.of)}")
            _check_value(self.kind, said)

    def check_positions(self, positions: tuple[int, ...]) -> None:
        """Raise ValueError if a combination names a position that a control does not have."""
        for signs, _ in self.values:
            for sign, count in zip(signs, positions, strict=True):
                if sign not in _SIGNS[:count]:
                    raise ValueError(f"'{signs}' cannot be set: a sign of it is 0 to {_SIGNS[count - 1]}")

    def said_by(self, signs: str) -> str:
        """Return what these positions say; empty where the description does not tell."""
        return dict(self.values).get(signs, "")


class SpecialKind(Enum):
    """What a pattern does that is no plain address."""

    INVALID = "invalid"
    LOADER = "firmware loader"
    PARAMETER = "address from parameter"
    ADDRESS = "address"
    """The board answers at an address that is not the sum of the switches."""


@dataclass(frozen=True, slots=True)
class Special:
    """A pattern with a meaning of its own.

    Attributes:
        pattern: One sign a control, - for any position.
        words: What happens, for people.
        address: Of `ADDRESS` only.
    """

    pattern: str
    kind: SpecialKind
    words: str
    address: int | None = None

    def __post_init__(self) -> None:
        if not self.pattern or any(sign not in f"{_SIGNS}-" for sign in self.pattern):
            raise ValueError(f"special pattern '{self.pattern}' cannot be: write 0 to 9, A to F, or - for any")
        if not self.words.strip():
            raise ValueError(f"special pattern '{self.pattern}' needs words: what does the device do then?")
        if (self.address is not None) != (self.kind is SpecialKind.ADDRESS):
            raise ValueError("an address belongs to special patterns of kind 'address', and to them only")
        if self.address is not None and not 1 <= self.address <= 247:
            raise ValueError(f"address {self.address} is no server's: servers have 1 to 247")

    def fits(self, signs: str) -> bool:
        """Whether a pattern, written with one sign a control, is meant."""
        return all(mine in ("-", sign) for mine, sign in zip(self.pattern, signs, strict=True))


def _check_value(kind: MeaningKind, said: str) -> None:
    match kind:
        case MeaningKind.SPEED:
            is_baud = said.isascii() and said.isdecimal() and _LOWEST_BAUD <= int(said) <= _HIGHEST_BAUD
            if not is_baud and said != AUTOMATIC:
                raise ValueError(f"speed '{said}' cannot be: write a number of baud, or {AUTOMATIC}")
        case MeaningKind.PARITY:
            if said not in _PARITIES:
                raise ValueError(f"parity '{said}' cannot be: write none, even or odd")
        case MeaningKind.TERMINATION | MeaningKind.POLARIZATION:
            if said not in _ON_OFF:
                raise ValueError(f"{kind.value} '{said}' cannot be: write on or off")
        case _:
            if not said.strip():
                raise ValueError("what these levers say is empty: write it in words")
