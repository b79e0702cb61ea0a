"""After a hit: asks the same again with a long wait, finds the framing, and says what is doubtful about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    ExceptionReply,
    ForeignReply,
    NormalReply,
    ShortReply,
    UnexpectedReply,
)
from buswalk.domain.search.answer_shares import NOT_COUNTED
from buswalk.domain.search.events import Doubt, Found, Unclear
from buswalk.domain.search.probe import Probe
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.identifying import identify
from buswalk.jobs.searching.reading_replies import has_second_answer, is_answer, is_damaged, is_marked, is_strange
from buswalk.jobs.searching.twin_look import TwinLook

CONFIRMATIONS = 2
SUSPICIOUS = {Doubt.DAMAGED_REPLIES, Doubt.SECOND_ANSWER, Doubt.ANSWERS_DIFFER, Doubt.ANSWERS_SOMETIMES}
"""Then many more questions are counted."""
EXPLAINED_BY_OTHERS = {Doubt.DAMAGED_REPLIES, Doubt.SECOND_ANSWER}
"""A late answer of another device met ours: where all that is counted is clean, it is nothing of this one."""
LEAST_DAMAGED = 3
"""Of the two questions and the two after a pause: one that stays silent is allowed."""
LEAST_DAMAGED_OF_TWO = 2
"""Damaged replies among those to one address before two devices are thought of: a single one is the line's noise."""
LONG_PAUSE_S = 0.6
"""Longer than the pause that all but radio receivers want between a reply and the next request."""


class Confirmation:
    """Looks closer at one address where something answered."""

    def __init__(self, asker: Asker, timing: AskTiming, listens_s: float) -> None:
        self._asker = asker
        self._timing = timing
        self._listens_s = listens_s

    def look(self, probe: Probe, before: Sequence[Exchange] = ()) -> Found | Unclear | None:
        """Return what is there: a device, something unclear, or nothing after all.

        `before` holds exchanges that led here: they prove nothing, but may raise doubts.
        """
        self._asker.use_settings(probe.settings)
        exchanges = [self._ask(probe) for _ in range(CONFIRMATIONS)]
        settings, doubts = probe.settings, _doubts([*before, *exchanges])
        timing = self._timing
        if not all(is_answer(one) for one in exchanges):
            timing = replace(self._timing, minimum_gap_s=LONG_PAUSE_S)
            again = [self._asker.ask(probe.server_address, probe.request(), timing) for _ in range(CONFIRMATIONS)]
            if all(is_answer(one) for one in again):
                doubts = [Doubt.NEEDS_A_PAUSE, *_doubts([*before, *exchanges, *again])]
                exchanges = again
            elif not any(is_answer(one) for one in exchanges):
                exchanges += again
                doubts = _doubts(exchanges)
        answered = [one for one in exchanges if is_answer(one)]
        if not answered:
            return self._not_whole(probe, exchanges)
        if all(is_marked(one) for one in answered):
            settings = self._framing(probe)
            self._asker.use_settings(settings)
            doubts.append(Doubt.DAMAGED_REPLIES if settings == probe.settings else Doubt.DOES_NOT_CHECK_FRAMING)
        elif any(is_marked(one) for one in answered):
            doubts.append(Doubt.DAMAGED_REPLIES)
        if len(answered) < len(exchanges):
            doubts.append(Doubt.ANSWERS_SOMETIMES)
        asked_so = replace(probe, settings=settings)
        shares = NOT_COUNTED
        look = TwinLook(self._asker, timing, self._listens_s)
        if look.has_second(asked_so):
            doubts.append(Doubt.SECOND_ANSWER)
        if SUSPICIOUS & set(doubts) or is_strange([*before, *exchanges]):
            shares, more = look.counted(asked_so)
            doubts += _doubts([*before, *exchanges, *more])
            doubts += [Doubt.SECOND_ANSWER] if shares.second else []
            if shares.is_of_one:
                doubts = [one for one in doubts if one not in EXPLAINED_BY_OTHERS]
        identity = identify(self._asker, probe.server_address, timing)
        if shares.asked and identify(self._asker, probe.server_address, timing) != identity:
            doubts.append(Doubt.ANSWERS_DIFFER)
        return Found(
            server_address=_address_of(answered[0]),
            settings=settings,
            function=probe.function,
            is_refusal=isinstance(answered[0].outcome, ExceptionReply),
            answered=len(answered),
            confirmations=len(exchanges),
            doubts=tuple(dict.fromkeys(doubts)),
            identity=identity,
            exchange_numbers=tuple(one.number for one in exchanges),
            shares=shares,
        )

    def _ask(self, probe: Probe) -> Exchange:
        return self._asker.ask(probe.server_address, probe.request(), self._timing)

    def _framing(self, probe: Probe) -> SerialSettings:
        """Return the framing in which the reply comes without marks; that of the probe if none does."""
        for parity in (Parity.EVEN, Parity.ODD, Parity.NONE):
            settings = SerialSettings(probe.settings.baud_rate, parity, 2 if parity is Parity.NONE else 1)
            if settings == probe.settings:
                continue
            self._asker.use_settings(settings)
            exchange = self._ask(probe)
            if is_answer(exchange) and not is_marked(exchange):
                return settings
        return probe.settings

    def _not_whole(self, probe: Probe, exchanges: list[Exchange]) -> Unclear | None:
        damaged = [one for one in exchanges if is_damaged(one)]
        if len(damaged) < LEAST_DAMAGED:
            return None
        return Unclear(
            probe.server_address, probe.settings, _what_comes(damaged[0]), tuple(one.number for one in exchanges)
        )


def _what_comes(exchange: Exchange) -> str:
    match exchange.outcome:
        case UnexpectedReply(sentence=sentence):
            return f"it answers, but not what was asked: {sentence}"
        case ShortReply(received, expected_bytes):
            return f"its replies end after {len(received)} of {expected_bytes} bytes"
        case CorruptReply(received, _):
            return f"its replies are damaged ({len(received)} bytes, wrong CRC): two devices may share this address"
        case _:
            return "its replies are not whole"


def _address_of(exchange: Exchange) -> int:
    if isinstance(exchange.outcome, ForeignReply):
        return exchange.outcome.server_address
    return exchange.server_address


def _doubts(exchanges: Sequence[Exchange]) -> list[Doubt]:
    doubts: list[Doubt] = []
    damaged = sum(isinstance(one.outcome, CorruptReply | ShortReply) for one in exchanges)
    if damaged:
        doubts.append(Doubt.DAMAGED_REPLIES if damaged >= LEAST_DAMAGED_OF_TWO else Doubt.ANSWERS_SOMETIMES)
    if any(isinstance(one.outcome, ForeignReply) for one in exchanges):
        doubts.append(Doubt.ANSWERS_AS_ANOTHER)
    if has_second_answer(exchanges):
        doubts.append(Doubt.SECOND_ANSWER)
    kinds = {type(one.outcome) for one in exchanges}
    if {NormalReply, ExceptionReply} <= kinds:
        doubts.append(Doubt.ANSWERS_DIFFER)
    return doubts
