"""What people write into cells of a planned list, as numbers and settings: decimal commas, units, spoilt text.

Nothing here knows rows or columns.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, SERVER_ADDRESSES

TAKES_ANY = "takes any"
"""What a list says of a device that finds speed and framing by itself, or of which the plan says nothing."""
_NOTHING_SAID = frozenset({"", "-", "–", "?", "any", "auto", "automatic", TAKES_ANY, "n/a", "tbd"})
_SPACES = re.compile(r"[\s\u00a0\u202f']")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_HEX = re.compile(r"0[xX][0-9a-fA-F]{1,4}")
_SEVERAL = re.compile(r"\d+\s*(?:-|–|/|;|\.\.\.?|\bto\b|\band\b|\+|&)\s*\d+")
_SPEED_UNIT = re.compile(r"(k?)\s*(?:bd|baud|bauds|bit/s|bits/s|bps|b/s)?\.?", re.IGNORECASE)
_GROUPED = re.compile(r"\d{1,3}(?:[.,]\d{3})+")
_PARTED = r"[\s,;/|.\-]*"
_FRAMING = re.compile(rf"([78]){_PARTED}(none|even|odd|[neo]){_PARTED}([12])(?!\d)", re.IGNORECASE)
_FRAMING_TURNED = re.compile(rf"\b([neo]){_PARTED}([78]){_PARTED}([12])(?!\d)", re.IGNORECASE)
_SPOILT_FRAMING = {"80": "8E1", "800": "8E2", "70": "7E1", "700": "7E2"}
"""A spreadsheet takes 8E1 for eight times ten: common practice, no source; seen with openpyxl and a cell typed in."""
PARITY_LETTERS = {
    "n": "N",
    "none": "N",
    "no": "N",
    "keine": "N",
    "e": "E",
    "even": "E",
    "gerade": "E",
    "o": "O",
    "odd": "O",
    "ungerade": "O",
}


@dataclass(frozen=True, slots=True)
class CannotBe:
    """A text that is not what its column holds; the words say why and what to write."""

    words: str


def number_of(text: str) -> float | None:
    """Return a number, whichever of comma and point is its decimal sign; None for anything else."""
    packed = _SPACES.sub("", text)
    comma, point = packed.rfind(","), packed.rfind(".")
    if comma >= 0 and point >= 0:
        group = "," if comma < point else "."
        packed = packed.replace(group, "")
    packed = packed.replace(",", ".")
    return float(packed) if _NUMBER.fullmatch(packed) else None


def address_of(text: str) -> int | CannotBe:
    """Return a server's address, decimal or with 0x in front."""
    shown = text.strip()
    if not shown:
        return CannotBe("no address: write one, 1 to 247")
    if _SEVERAL.fullmatch(shown):
        return CannotBe(f"'{shown}' are several addresses: give each device a row of its own")
    value = float(int(shown, 16)) if _HEX.fullmatch(shown) else number_of(shown.removeprefix("#"))
    if value is None:
        return CannotBe(f"address '{shown}' is no number: write one, 1 to 247")
    if value != int(value):
        return CannotBe(f"address '{shown}' cannot be: addresses are whole numbers, 1 to 247")
    if value == BROADCAST_ADDRESS:
        return CannotBe("address 0 is for all devices at once: give this one 1 to 247")
    if int(value) not in SERVER_ADDRESSES:
        return CannotBe(f"address {value:.0f} cannot be: devices have 1 to 247")
    return int(value)


def speed_of(text: str) -> int | CannotBe:
    """Return a speed in baud; 9.600, 19,2k and 9600 Bd are understood."""
    shown = text.strip()
    number = re.match(r"[\d.,\s\u00a0\u202f']+", shown)
    unit = _SPEED_UNIT.fullmatch(shown[number.end() :].strip()) if number else None
    if number is None or unit is None:
        return CannotBe(f"speed '{shown}' is no number: write such as 9600")
    packed = _SPACES.sub("", number.group(0))
    is_kilo = bool(unit.group(1))
    if _GROUPED.fullmatch(packed) and not is_kilo:
        packed = packed.replace(",", "").replace(".", "")
    value = number_of(packed)
    if value is None:
        return CannotBe(f"speed '{shown}' is no number: write such as 9600")
    return round(value * 1000 if is_kilo else value)


def framing_of(text: str) -> str | CannotBe:
    """Return a framing such as 8E1; also from 8-E-1, E81, and from the number that a spreadsheet made of it."""
    shown = text.strip()
    match = _FRAMING.fullmatch(shown)
    if match:
        return _joined(match.group(1), match.group(2), match.group(3))
    turned = _FRAMING_TURNED.fullmatch(shown)
    if turned:
        return _joined(turned.group(2), turned.group(1), turned.group(3))
    return spoilt_framing(shown) or CannotBe(f"framing '{shown}' cannot be: write such as 8N1 or 8E1")


def spoilt_framing(text: str) -> str:
    """Return the framing that a spreadsheet has made a number of; empty where the text is no such number."""
    if _FRAMING.fullmatch(text.strip()):
        return ""
    try:
        value = float(_SPACES.sub("", text).replace(",", "."))
    except ValueError:
        return ""
    return _SPOILT_FRAMING.get(f"{value:.0f}", "") if abs(value) < 1000 and value == int(value) else ""


def _joined(data_bits: str, parity: str, stop_bits: str) -> str:
    return f"{data_bits}{parity[0].upper()}{stop_bits}"


def setting_of(text: str) -> SerialSettings | CannotBe | None:
    """Return speed and framing written in one cell, in either order; None where the plan does not say."""
    shown = text.strip()
    if shown.casefold() in _NOTHING_SAID:
        return None
    found = _FRAMING.search(shown)
    found_turned = _FRAMING_TURNED.search(shown) if found is None else None
    match = found or found_turned
    if match is not None:
        speed_text = (shown[: match.start()] + " " + shown[match.end() :]).strip(" ,;/|-")
        return setting_from(speed_text, match.group(0))
    parts = shown.rsplit(maxsplit=1)
    if len(parts) == 2 and isinstance(framing_of(parts[1]), str):
        return setting_from(parts[0], parts[1])
    if isinstance(speed_of(shown), int):
        return CannotBe(f"setting '{shown}' has no framing: write such as {_digits(shown)} 8N1 or {_digits(shown)} 8E1")
    return CannotBe(f"setting '{shown}' cannot be: write speed and framing, such as 9600 8N1")


def setting_from(speed_text: str, framing_text: str) -> SerialSettings | CannotBe | None:
    """Return what two cells say together; None where both are empty."""
    speed_shown, framing_shown = speed_text.strip(), framing_text.strip()
    if speed_shown.casefold() in _NOTHING_SAID and framing_shown.casefold() in _NOTHING_SAID:
        return None
    if speed_shown.casefold() in _NOTHING_SAID:
        return CannotBe(f"framing {framing_shown} has no speed: write such as 9600 {framing_shown}")
    speed = speed_of(speed_shown)
    if isinstance(speed, CannotBe):
        return speed
    if framing_shown.casefold() in _NOTHING_SAID:
        return CannotBe(f"speed {speed} has no framing: write such as {speed} 8N1 or {speed} 8E1")
    framing = framing_of(framing_shown)
    if isinstance(framing, CannotBe):
        return framing
    try:
        settings = SerialSettings.of(speed, framing)
    except ValueError as reason:
        return CannotBe(f"{reason}: write such as 9600 8N1")
    if settings.data_bits != 8:
        return CannotBe(f"framing {framing} cannot carry RTU, whose characters have 8 data bits: write such as 8N1")
    return settings


def _digits(shown: str) -> str:
    speed = speed_of(shown)
    return str(speed) if isinstance(speed, int) else "9600"
