"""Turns each event into plain JSON values: one rule for the command line and the record.

The event's kind is its class name in snake case; so are outcomes and requests under `kind`. Bytes are hex, flags are
lists of names, decimals are text with all their digits; a float that is no number is null.
"""

from __future__ import annotations

import math
import re
from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import Enum, Flag
from functools import cache
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings

SCHEMA = 1
Json: TypeAlias = bool | int | float | str | list["Json"] | dict[str, "Json"] | None
_CAPITAL = re.compile(r"(?<=[a-z0-9])(?=[A-Z])")


def event_json(event: object) -> dict[str, Json]:
    """Return an event as an object whose `event` is its kind.

    Raises:
        TypeError: It is no dataclass, or holds something that has no JSON form.
    """
    return {"event": snake_case(type(event).__name__), **_fields(event)}


@cache
def snake_case(class_name: str) -> str:
    """Return `NormalReply` as `normal_reply`."""
    return _CAPITAL.sub("_", class_name).lower()


def _fields(value: object) -> dict[str, Json]:
    if not is_dataclass(value) or isinstance(value, type):
        raise TypeError(f"{type(value).__name__} is no event")
    return {one.name: json_value(getattr(value, one.name)) for one in fields(value)}


def json_value(value: object) -> Json:
    """Return any part of an event; a nested object has its `kind` first.

    Raises:
        TypeError: It has no JSON form.
    """
    match value:
        case SerialSettings():
            return str(value)
        case Flag():
            return [str(one.name).lower() for one in value]
        case Enum():
            return json_value(value.value)
        case None | bool() | int() | str():
            return value
        case float():
            # JSON has no other numbers: what is none is said to be none.
            return round(value, 9) if math.isfinite(value) else None
        case Decimal():
            return str(value)
        case bytes():
            return value.hex(" ").upper()
        case tuple() | list() | frozenset():
            return [json_value(one) for one in value]
        case _:
            return {"kind": snake_case(type(value).__name__), **_fields(value)}
