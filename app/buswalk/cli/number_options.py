"""Numbers on the command line: each option says its own limits, and what is outside of them gets one sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buswalk.cli.parts import WrongUse

_DECIMAL = re.compile(r"[0-9]+(\.[0-9]*)?|\.[0-9]+")
_WHOLE = re.compile(r"[0-9]{1,12}")
_HEX = re.compile(r"(?:0[xX])?([0-9A-Fa-f]{1,8})")


@dataclass(frozen=True, slots=True)
class SecondsOption:
    """Reads an option's text as seconds: finite, and within its limits."""

    option: str
    least_s: float
    most_s: float

    def __call__(self, text: str) -> float:
        """Return the seconds. Raises WrongUse."""
        seconds = float(text) if _DECIMAL.fullmatch(text) else -1.0
        if not self.least_s <= seconds <= self.most_s:
            raise WrongUse(f"{self.option} '{text}' cannot be: write seconds from {self.least_s:g} to {self.most_s:g}")
        return seconds


@dataclass(frozen=True, slots=True)
class WholeOption:
    """Reads an option's text as a whole number within its limits."""

    option: str
    least: int
    most: int
    remark: str = ""

    def __call__(self, text: str) -> int:
        """Return the number. Raises WrongUse."""
        number = int(text) if _WHOLE.fullmatch(text) else -1
        if not self.least <= number <= self.most:
            remark = f" ({self.remark})" if self.remark else ""
            raise WrongUse(
                f"{self.option} '{text}' cannot be: write a whole number from {self.least} to {self.most}{remark}"
            )
        return number


@dataclass(frozen=True, slots=True)
class HexOption:
    """Reads an option's text as a number in hex, as the standard writes codes and masks."""

    option: str
    most: int

    def __call__(self, text: str) -> int:
        """Return the number. Raises WrongUse."""
        matched = _HEX.fullmatch(text)
        number = int(matched.group(1), 16) if matched else -1
        if not 0 <= number <= self.most:
            raise WrongUse(f"{self.option} '{text}' cannot be: write it in hex, 00 to {self.most:X}")
        return number


@dataclass(frozen=True, slots=True)
class WordsOption:
    """Reads an option's text as words of 16 bits with commas between, decimal or with 0x; on and off are 1 and 0."""

    option: str

    def __call__(self, text: str) -> tuple[int, ...]:
        """Return the words, at least one. Raises WrongUse."""
        return tuple(self._word(one.strip()) for one in text.split(","))

    def _word(self, text: str) -> int:
        if text.lower() in ("on", "off"):
            return int(text.lower() == "on")
        is_hex = text[:2].lower() == "0x" and _HEX.fullmatch(text)
        number = int(text, 16) if is_hex else int(text) if _WHOLE.fullmatch(text) else -1
        if not 0 <= number <= 0xFFFF:
            raise WrongUse(
                f"{self.option} '{text}' cannot be: write 0 to 65535 or 0x0000 to 0xFFFF, several with commas between"
            )
        return number


@dataclass(frozen=True, slots=True)
class BytesOption:
    """Reads an option's text as bytes in hex, with or without spaces."""

    option: str

    def __call__(self, text: str) -> bytes:
        """Return the bytes, at least one. Raises WrongUse."""
        plain = text.replace(" ", "")
        if not plain or len(plain) % 2 or not all(sign in "0123456789abcdefABCDEF" for sign in plain):
            raise WrongUse(f"{self.option} '{text}' cannot be: write whole bytes in hex, such as 'A5 37'")
        return bytes.fromhex(plain)


@dataclass(frozen=True, slots=True)
class ChoiceOption:
    """Reads an option's text as one of a few words."""

    option: str
    words: tuple[str, ...]

    def __call__(self, text: str) -> str:
        """Return the word. Raises WrongUse."""
        if text not in self.words:
            raise WrongUse(f"{self.option} '{text}' cannot be: write {' or '.join(self.words)}")
        return text
