"""Which column of a planned list holds what: headings as lists of the trade have them, in several languages."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum


class ListColumn(Enum):
    """What a column can hold; the value is how we call it."""

    PLACE = "place"
    ADDRESS = "address"
    NAME = "device"
    SETTING = "setting"
    SPEED = "speed"
    FRAMING = "framing"
    PARITY = "parity"
    DATA_BITS = "data bits"
    STOP_BITS = "stop bits"
    BOARD = "board"
    WHERE = "where"
    DEVICE_TYPE = "type"


HEADINGS: dict[ListColumn, frozenset[str]] = {
    ListColumn.ADDRESS: frozenset(
        {"address", "addr", "modbus address", "bus address", "server address", "planned address", "rtu address"}
        | {"station address", "node address", "device address", "node", "node id", "station", "station no"}
        | {"slave", "slave address", "slave id", "unit id", "device id", "modbus id", "id"}
        | {"adresse", "busadresse", "modbus adresse", "adr", "adresse modbus", "dirección", "indirizzo", "adres"}
    ),
    ListColumn.PLACE: frozenset(
        {"place", "place on cable", "position", "pos", "order", "cable order", "seq", "sequence", "item", "row"}
        | {"no", "nr", "number", "metres", "platz", "reihenfolge", "ordre", "nummer"}
    ),
    ListColumn.NAME: frozenset(
        {"device", "name", "device name", "description", "designation", "tag", "label", "equipment", "what it is"}
        | {"consumer", "unit", "gerät", "bezeichnung", "beschreibung", "appareil", "nom", "désignation", "nombre"}
    ),
    ListColumn.SETTING: frozenset(
        {"setting", "settings", "serial", "serial settings", "port settings", "communication", "comm settings"}
        | {"interface", "parameter", "parameters", "einstellung", "einstellungen", "schnittstelle", "réglage"}
    ),
    ListColumn.SPEED: frozenset(
        {"speed", "baud", "baudrate", "baud rate", "bit rate", "bitrate", "bps", "bit s", "vitesse", "rate"}
        | {"geschwindigkeit", "velocidad"}
    ),
    ListColumn.FRAMING: frozenset({"framing", "format", "frame", "character format", "data format", "rahmen", "trame"}),
    ListColumn.PARITY: frozenset({"parity", "parität", "parité", "paridad"}),
    ListColumn.DATA_BITS: frozenset({"data bits", "databits", "data bit", "datenbits"}),
    ListColumn.STOP_BITS: frozenset({"stop bits", "stopbits", "stop bit", "stop", "stoppbits", "bits d arrêt"}),
    ListColumn.BOARD: frozenset(
        {"board", "switch board", "switches", "address switches", "dip", "dip switches", "levers", "platine"}
    ),
    ListColumn.DEVICE_TYPE: frozenset(
        {"type", "device type", "profile", "register profile", "typ", "gerätetyp", "type d appareil", "tipo"}
    ),
    ListColumn.WHERE: frozenset(
        {"where", "location", "room", "box", "panel", "cabinet", "site", "place in building", "ort", "raum"}
        | {"standort", "schrank", "kasten", "lieu", "local", "emplacement", "ubicación"}
    ),
}
"""Common practice, no source: whole headings, small letters, punctuation taken off."""

_CONTAINED: tuple[tuple[str, ListColumn], ...] = (
    ("address", ListColumn.ADDRESS),
    ("addr", ListColumn.ADDRESS),
    ("adresse", ListColumn.ADDRESS),
    ("baud", ListColumn.SPEED),
    ("baudrate", ListColumn.SPEED),
    ("parity", ListColumn.PARITY),
    ("framing", ListColumn.FRAMING),
    ("setting", ListColumn.SETTING),
    ("settings", ListColumn.SETTING),
    ("location", ListColumn.WHERE),
    ("room", ListColumn.WHERE),
    ("device", ListColumn.NAME),
    ("name", ListColumn.NAME),
)
"""One word of a longer heading that tells enough."""
_OTHER_THINGS = frozenset({"ip", "mac", "register", "registers", "mail", "serial number", "postal", "start"})
"""'IP address' and 'register address' are no addresses of devices on a pair."""
_IN_BRACKETS = re.compile(r"\(.*?\)|\[.*?\]")
_NO_LETTER = re.compile(r"[^\w]+")


@dataclass(frozen=True, slots=True)
class Columns:
    """Where each thing stands.

    Attributes:
        at: Index of the column of each thing that is there.
        not_taken: Headings that mean nothing to us.
        twice: Headings that name a thing for the second time.
        width: How many cells the heading has.
    """

    at: dict[ListColumn, int]
    not_taken: tuple[str, ...]
    twice: tuple[str, ...]
    width: int


def column_of(heading: str) -> ListColumn | None:
    """Return what a heading means, or None."""
    plain = _NO_LETTER.sub(" ", _IN_BRACKETS.sub(" ", heading.casefold())).replace("_", " ").strip()
    for column, names in HEADINGS.items():
        if plain in names:
            return column
    words = plain.split()
    if _OTHER_THINGS.intersection(words):
        return None
    return next((column for word, column in _CONTAINED if word in words), None)


def columns_of(cells: Sequence[str]) -> Columns:
    """Return what a row means if it is taken for the heading."""
    at: dict[ListColumn, int] = {}
    not_taken: list[str] = []
    twice: list[str] = []
    for i, heading in enumerate(cells):
        column = column_of(heading)
        if column is None:
            not_taken += [heading.strip()] if heading.strip() else []
        elif column in at:
            twice.append(heading.strip())
        else:
            at[column] = i
    return Columns(at, tuple(not_taken), tuple(twice), len(cells))
