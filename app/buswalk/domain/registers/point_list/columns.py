"""Which column of a point list holds what, guessed from headings as lists of the trade have them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from enum import Enum


class PointColumn(Enum):
    """What a column can hold; the value is how we call it."""

    NAME = "name"
    ADDRESS = "address"
    TABLE = "table"
    FUNCTION = "function"
    TYPE = "type"
    ORDER = "order"
    QUANTITY = "registers"
    SCALE = "scale"
    OFFSET = "offset"
    UNIT = "unit"
    RANGE = "range"
    LOW = "low"
    HIGH = "high"
    ACCESS = "access"
    BIT = "bit"
    SENTINEL = "no value"
    NAMED = "named values"
    NOTES = "notes"


HEADINGS: dict[PointColumn, frozenset[str]] = {
    PointColumn.ADDRESS: frozenset(
        {
            "address",
            "addr",
            "register",
            "register address",
            "register number",
            "register no",
            "reg",
            "reg no",
            "reg addr",
        }
        | {"reference", "modbus address", "modbus register", "start address", "start register", "offset address"}
        | {"adresse", "registeradresse", "registernummer", "adresse modbus", "registre", "dirección", "indirizzo"}
        | {"address dec", "address hex", "no", "number", "point address", "data address"}
    ),
    PointColumn.NAME: frozenset(
        {
            "name",
            "point",
            "point name",
            "description",
            "designation",
            "signal",
            "parameter",
            "parameter name",
            "variable",
        }
        | {"value", "content", "meaning", "data point", "datapoint", "tag", "label", "object name", "register name"}
        | {"bezeichnung", "beschreibung", "datenpunkt", "nom", "désignation", "nombre", "descripción", "nome"}
    ),
    PointColumn.TABLE: frozenset(
        {"table", "register type", "register table", "object type", "object", "area", "memory area", "tabelle"}
        | {"registerart", "registertyp", "modbus table", "modbus type", "reg type", "space"}
    ),
    PointColumn.FUNCTION: frozenset(
        {"function", "function code", "fc", "read function", "read fc", "fc read", "funktion", "funktionscode"}
        | {"functions", "function codes", "modbus function"}
    ),
    PointColumn.TYPE: frozenset(
        {"type", "data type", "datatype", "format", "data format", "value type", "encoding", "datentyp", "typ"}
        | {"type de données", "tipo"}
    ),
    PointColumn.ORDER: frozenset({"order", "word order", "byte order", "endianness", "endian", "wortreihenfolge"}),
    PointColumn.QUANTITY: frozenset(
        {"quantity", "registers", "words", "length", "size", "register count", "number of registers", "count", "anzahl"}
        | {"len", "regs"}
    ),
    PointColumn.SCALE: frozenset(
        {"scale", "scaling", "factor", "scale factor", "multiplier", "gain", "resolution", "faktor", "skalierung"}
        | {"divisor", "coefficient", "lsb", "échelle", "auflösung"}
    ),
    PointColumn.OFFSET: frozenset({"offset", "scale offset", "value offset", "bias"}),
    PointColumn.UNIT: frozenset({"unit", "units", "einheit", "unité", "unidad", "uom", "engineering unit"}),
    PointColumn.RANGE: frozenset({"range", "value range", "limits", "bereich", "wertebereich", "plage"}),
    PointColumn.LOW: frozenset({"low", "min", "minimum", "low limit", "min value"}),
    PointColumn.HIGH: frozenset({"high", "max", "maximum", "high limit", "max value"}),
    PointColumn.ACCESS: frozenset(
        {"access", "r w", "rw", "read write", "mode", "access mode", "attribute", "zugriff", "accès", "acceso", "r/w"}
    ),
    PointColumn.BIT: frozenset({"bit", "bit number", "bit no", "bit position"}),
    PointColumn.SENTINEL: frozenset(
        {"no value", "invalid value", "invalid", "error value", "not available", "na value"}
    ),
    PointColumn.NAMED: frozenset({"named values", "enumeration", "enum", "states", "values", "state text", "codes"}),
    PointColumn.NOTES: frozenset(
        {"notes", "note", "remark", "remarks", "comment", "comments", "bemerkung", "remarque"}
    ),
}
"""Common practice, no source: whole headings, small letters, punctuation taken off."""
_CONTAINED = (
    ("address", PointColumn.ADDRESS),
    ("register", PointColumn.ADDRESS),
    ("description", PointColumn.NAME),
    ("name", PointColumn.NAME),
    ("type", PointColumn.TYPE),
    ("scale", PointColumn.SCALE),
    ("factor", PointColumn.SCALE),
    ("unit", PointColumn.UNIT),
    ("range", PointColumn.RANGE),
    ("access", PointColumn.ACCESS),
)
_IN_BRACKETS = re.compile(r"\(.*?\)|\[.*?\]")
_NO_LETTER = re.compile(r"[^\w/]+")


def column_of(heading: str) -> PointColumn | None:
    """Return what a heading means, or None."""
    plain = _NO_LETTER.sub(" ", _IN_BRACKETS.sub(" ", heading.casefold())).replace("_", " ").strip()
    for column, names in HEADINGS.items():
        if plain in names:
            return column
    words = plain.split()
    return next((column for word, column in _CONTAINED if word in words), None)


def columns_of(cells: Sequence[str]) -> dict[PointColumn, int]:
    """Return where each thing stands if this row is the heading; the first of two headings of a kind counts."""
    at: dict[PointColumn, int] = {}
    for place, heading in enumerate(cells):
        column = column_of(heading)
        if column is not None and column not in at:
            at[column] = place
    return at
