"""An exchange reduced to what counting needs of it."""

from __future__ import annotations

from buswalk.domain.line_events import Credit, LateReply
from buswalk.domain.modbus.exchange import Exchange, NeverSent, Turnaround
from buswalk.domain.modbus.outcome import ExceptionReply
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.counted_exchange import NO_REFUSAL, CountedExchange
from buswalk.domain.statistics.outcome_table import CLEAN_OUTCOMES, has_foreign_frame, has_stray, outcome_name


def counted_exchange(recorded: RecordedExchange) -> CountedExchange:
    """Return what counting needs of an exchange that was read whole."""
    exchange, outcome, seen = recorded.exchange, recorded.exchange.outcome, recorded.exchange.turnaround
    return CountedExchange(
        exchange.number,
        recorded.session,
        exchange.server_address,
        outcome_name(exchange),
        outcome.exception_code if isinstance(outcome, ExceptionReply) else NO_REFUSAL,
        has_stray(exchange),
        has_foreign_frame(exchange),
        sent_at_s(exchange),
        None if isinstance(exchange.sent, NeverSent) else exchange.sent.end_not_before_s,
        exchange.ended_s,
        seen.not_more_than_s if isinstance(seen, Turnaround) else None,
        sum(len(one.data) for one in exchange.arrivals),
        exchange.settings.character_s,
        credited_late(exchange.number, recorded.late),
    )


def sent_at_s(exchange: Exchange) -> float:
    """Return when its request began, or was given up."""
    return exchange.sent.at_s if isinstance(exchange.sent, NeverSent) else exchange.sent.begin_s


def credited_late(number: int, replies: tuple[LateReply, ...]) -> LateReply | None:
    """Return the late reply that is surely the answer to the exchange of this number."""
    for late in replies:
        if late.credit is Credit.CREDITED and late.exchange_numbers[0] == number:
            return late
    return None


def was_clean(one: CountedExchange) -> bool:
    """Tell whether it was answered or refused in time, and without stray bytes."""
    return one.outcome in CLEAN_OUTCOMES and not one.is_stray
