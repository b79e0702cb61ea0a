"""Turns the JSON of an event back into the event, by the types of its fields; `event_json` is the other way.

What this program does not know, such as an event of a newer version, is told by `UnreadableEvent`, not guessed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from decimal import Decimal, InvalidOperation
from enum import Enum, Flag
from functools import cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from buswalk.domain.event_json import Json, snake_case
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LineEvent
from buswalk.domain.listening.events import ListeningEvent
from buswalk.domain.loss_timers.unasked import UnaskedEvent
from buswalk.domain.modbus.custom_frame import CustomFrame, CustomReply
from buswalk.domain.modbus.functions.table import FUNCTIONS
from buswalk.domain.modbus.request import Reply, Request
from buswalk.domain.presence.events import PresenceEvent
from buswalk.domain.readdressing.events import ReaddressEvent
from buswalk.domain.registers.map_learning.plan import LearningEvent
from buswalk.domain.registers.sunspec.events import SunSpecEvent
from buswalk.domain.registers.writing.events import WriteEvent
from buswalk.domain.search.events import SearchEvent
from buswalk.domain.search.ping import Pinged
from buswalk.domain.visit.session_events import SessionEvent
from buswalk.domain.watching.events import WatchEvent

EVENT_KINDS: dict[str, type] = {
    snake_case(one.__name__): one
    for one in (
        *get_args(SessionEvent),
        *get_args(LineEvent),
        *get_args(SearchEvent),
        *get_args(ListeningEvent),
        *get_args(WatchEvent),
        *get_args(PresenceEvent),
        *get_args(LearningEvent),
        *get_args(SunSpecEvent),
        *get_args(WriteEvent),
        *get_args(ReaddressEvent),
        *get_args(UnaskedEvent),
        Pinged,
    )
}
"""Every event that can be read back."""


class UnreadableEvent(ValueError):
    """JSON that is no event of this version."""


def event_from(kind: str, values: Mapping[str, Json]) -> object:
    """Return the event of this kind. Times are as exact as its JSON: to the nanosecond.

    Raises:
        UnreadableEvent: The kind is not known, or the values are not its.
    """
    of_kind = EVENT_KINDS.get(kind)
    if of_kind is None:
        raise UnreadableEvent(f"'{kind}' is no event that this version knows")
    return value_from(of_kind, values)


def value_from(hint: object, value: object) -> Any:
    """Return a part of an event from its JSON, given its type.

    Raises:
        UnreadableEvent: The JSON is not of this type.
    """
    try:
        return _value(hint, value)
    except (ValueError, KeyError, TypeError, AttributeError) as reason:
        raise UnreadableEvent(f"{value!r} is not what {hint} looks like") from reason


def _value(hint: object, value: Any) -> Any:
    if hint in _OPEN_TYPES:
        return _dataclass(_open_kinds(hint)[value["kind"]], value)
    origin = get_origin(hint)
    if origin in (Union, UnionType):
        return _one_of(get_args(hint), value)
    if origin in (tuple, frozenset):
        return origin(_value(get_args(hint)[0], one) for one in value)
    assert isinstance(hint, type), f"events hold no {hint}"
    return _plain(hint, value)


def _plain(hint: type, value: Any) -> Any:
    if hint is SerialSettings:
        baud, framing = value.split()
        return SerialSettings.of(int(baud), framing)
    if issubclass(hint, Flag):
        joined = hint(0)
        for name in value:
            joined |= hint[name.upper()]
        return joined
    if issubclass(hint, Enum):
        return hint(value)
    if is_dataclass(hint):
        return _dataclass(hint, value)
    if hint is bytes:
        return bytes.fromhex(value)
    if hint is float and not isinstance(value, bool):
        return math.nan if value is None else float(value)
    if hint is Decimal and isinstance(value, str):
        return _decimal(value)
    if type(value) is not hint:
        raise TypeError(f"{value!r} is no {hint.__name__}")
    return value


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation as reason:
        raise ValueError(f"'{text}' is no number") from reason


def _dataclass(hint: type, values: Mapping[str, Any]) -> Any:
    """A part that a record of an older version lacks has its default, if there is one."""
    hints = _hints(hint)
    present = [one for one in fields(hint) if one.name in values or _is_required(one)]
    return hint(**{one.name: _value(hints[one.name], values[one.name]) for one in present})


def _is_required(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _one_of(hints: tuple[Any, ...], value: Any) -> Any:
    if value is None and NoneType in hints:
        return None
    present = [one for one in hints if one is not NoneType]
    if len(present) == 1:
        return _value(present[0], value)
    of_kind = {snake_case(one.__name__): one for one in present}
    return _dataclass(of_kind[value["kind"]], value)


@cache
def _hints(hint: type) -> dict[str, Any]:
    return get_type_hints(hint)


_OPEN_TYPES = (Request, Reply)
"""Types whose members stand in the table of function codes."""


@cache
def _open_kinds(hint: object) -> dict[str, type]:
    """Return the requests, or the replies, of all function codes and of bytes of one's own by their kind."""
    requests = [get_type_hints(row.parse_request)["return"] for row in FUNCTIONS]
    if hint is Request:
        return _by_kind([*requests, CustomFrame])
    return _by_kind([*(get_type_hints(one.parse_reply)["return"] for one in requests), CustomReply])


def _by_kind(types: list[Any]) -> dict[str, type]:
    members = [member for one in types for member in (get_args(one) or (one,))]
    return {snake_case(member.__name__): member for member in members}
