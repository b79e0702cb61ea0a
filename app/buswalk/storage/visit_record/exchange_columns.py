"""An exchange and its arrivals as columns, and back. A table says which bytes of an outcome are `reply`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any, TypeAlias, get_args

from buswalk.domain.event_json import json_value, snake_case
from buswalk.domain.event_reading import value_from
from buswalk.domain.line.arrival import Arrival, Mark
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.custom_frame import CustomFrame
from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround, Turnaround, TurnaroundSeen
from buswalk.domain.modbus.functions.table import function_row
from buswalk.domain.modbus.observation import Observation
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    DamagedEcho,
    ExceptionReply,
    ForeignReply,
    NormalReply,
    Outcome,
    ShortReply,
    Stopped,
    UnexpectedReply,
)
from buswalk.domain.modbus.request import Request

NS = 1_000_000_000
CUSTOM = 0
"""The `function` of bytes of one's own; the standard has no function 0."""
Columns: TypeAlias = tuple[int | str | bytes | None, ...]

_BYTES_OF: dict[type, str] = {
    NormalReply: "adu",
    ExceptionReply: "adu",
    CorruptReply: "received",
    ShortReply: "received",
    ForeignReply: "adu",
    UnexpectedReply: "adu",
    DamagedEcho: "heard",
    Stopped: "received",
}
_READ_FROM_REQUEST = {NormalReply: "reply"}


@dataclass(frozen=True, slots=True)
class _OutcomeForm:
    """How one kind of outcome stands in its columns: `reply`, if it has bytes, and the rest."""

    of_kind: type
    kind: str
    bytes_field: str
    other_fields: tuple[str, ...]


def _form(of_kind: Any) -> _OutcomeForm:
    bytes_field = _BYTES_OF.get(of_kind, "")
    left_out = (bytes_field, _READ_FROM_REQUEST.get(of_kind, ""))
    others = tuple(one.name for one in fields(of_kind) if one.name not in left_out)
    return _OutcomeForm(of_kind, snake_case(of_kind.__name__), bytes_field, others)


_FORMS: dict[type, _OutcomeForm] = {one: _form(one) for one in get_args(Outcome)}
_FORM_OF: dict[str, _OutcomeForm] = {one.kind: one for one in _FORMS.values()}

EXCHANGE_COLUMNS = (
    "number, server_address, function, request, begin_ns, sent_not_before_ns, sent_not_after_ns, ended_ns, "
    "outcome, reply, detail, observations, turnaround_not_less_ns, turnaround_not_more_ns"
)
ARRIVAL_COLUMNS = "not_before_ns, not_after_ns, bytes, marks"


def nanoseconds(seconds: float) -> int:
    """Return a line time as the record has it."""
    return round(seconds * NS)


def outcome_kind(outcome: Outcome) -> str:
    """Return the name of an outcome in the record."""
    return _FORMS[type(outcome)].kind


def exchange_columns(exchange: Exchange) -> Columns:
    """Return an exchange without its arrivals and settings, in the order of EXCHANGE_COLUMNS."""
    form = _FORMS[type(exchange.outcome)]
    reply = getattr(exchange.outcome, form.bytes_field) if form.bytes_field else None
    detail = {name: json_value(getattr(exchange.outcome, name)) for name in form.other_fields}
    return (
        exchange.number,
        exchange.server_address,
        CUSTOM if isinstance(exchange.request, CustomFrame) else exchange.request.function_code,
        exchange.request_adu,
        *_sent_columns(exchange.sent),
        nanoseconds(exchange.ended_s),
        form.kind,
        reply,
        _json_or_none(detail),
        _json_or_none([json_value(one) for one in exchange.observations]),
        *_turnaround_columns(exchange.turnaround),
    )


def exchange_from(columns: Sequence[Any], settings: SerialSettings, arrivals: tuple[Arrival, ...]) -> Exchange:
    """Return the exchange that these columns are.

    Raises:
        ValueError: They are none: the record is damaged.
    """
    (number, server_address, function, request_adu, begin, sent_low, sent_high, ended, *rest) = columns
    outcome, reply, detail, observations, turnaround_low, turnaround_high = rest
    request = request_from(function, request_adu)
    return Exchange(
        number=number,
        server_address=server_address,
        request=request,
        request_adu=request_adu,
        settings=settings,
        sent=NeverSent(begin / NS) if sent_low is None else Sent(begin / NS, sent_low / NS, sent_high / NS),
        arrivals=arrivals,
        ended_s=ended / NS,
        outcome=outcome_from(outcome, reply, detail, request),
        observations=observations_from(observations),
        turnaround=(
            NoTurnaround() if turnaround_low is None else Turnaround(turnaround_low / NS, turnaround_high / NS)
        ),
    )


def request_from(function: int, request_adu: bytes) -> Request:
    """Return what was asked.

    Raises:
        ValueError: The record is damaged.
    """
    request_adu = _really_bytes(request_adu)
    if function == CUSTOM:
        return CustomFrame(request_adu)
    row = function_row(function)
    request = row.parse_request(request_adu[1:-2]) if row is not None else None
    if request is None:
        raise ValueError(f"an exchange asks with function {function}, which this version does not know")
    return request


def outcome_from(kind: str, reply: bytes | None, detail: str | None, request: Request) -> Outcome:
    """Return what came of a request.

    Raises:
        ValueError: The record is damaged.
    """
    form = _FORM_OF.get(kind)
    if form is None:
        raise ValueError(f"an exchange has the outcome {kind}, which this version does not know")
    if form.of_kind is NormalReply:
        reply = _really_bytes(reply)
        return NormalReply(reply, request.parse_reply(reply[1:-2]))
    values: dict[str, Any] = json.loads(detail) if detail else {}
    if form.bytes_field:
        values[form.bytes_field] = _really_bytes(reply or b"").hex()
    outcome: Outcome = value_from(form.of_kind, values)
    return outcome


def observations_from(text: str | None) -> tuple[Observation, ...]:
    """Return what was seen beside an outcome.

    Raises:
        ValueError: The record is damaged.
    """
    seen: tuple[Observation, ...] = value_from(tuple[Observation, ...], _from_json_or_none(text))
    return seen


def arrival_columns(arrival: Arrival) -> Columns:
    """Return an arrival in the order of ARRIVAL_COLUMNS."""
    marks = _json_or_none([json_value(one) for one in arrival.marks])
    return (nanoseconds(arrival.not_before_s), nanoseconds(arrival.not_after_s), arrival.data, marks)


def arrival_from(columns: Sequence[Any]) -> Arrival:
    """Return the arrival that these columns are.

    Raises:
        ValueError: They are none: the record is damaged.
    """
    not_before, not_after, data, marks = columns
    seen: tuple[Mark, ...] = value_from(tuple[Mark, ...], _from_json_or_none(marks))
    return Arrival(_really_bytes(data), seen, not_before / NS, not_after / NS)


def _really_bytes(value: object) -> bytes:
    """Return bytes that are bytes: one bit that is turned in a file makes text of them."""
    if not isinstance(value, bytes):
        raise ValueError(f"{value!r} stands where bytes must")
    return value


def _sent_columns(sent: Sent | NeverSent) -> Columns:
    match sent:
        case Sent():
            return (
                nanoseconds(sent.begin_s),
                nanoseconds(sent.end_not_before_s),
                nanoseconds(sent.end_not_after_s),
            )
        case NeverSent(at_s):
            return nanoseconds(at_s), None, None


def _turnaround_columns(turnaround: TurnaroundSeen) -> Columns:
    match turnaround:
        case Turnaround(low_s, high_s):
            return nanoseconds(low_s), nanoseconds(high_s)
        case NoTurnaround():
            return None, None


def _json_or_none(value: Any) -> str | None:
    return json.dumps(value, ensure_ascii=False) if value else None


def _from_json_or_none(text: str | None) -> Any:
    return json.loads(text) if text else []
