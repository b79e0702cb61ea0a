"""Looks closer where something answered: at once, late, or in the name of another; one device is one finding."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from dataclasses import replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.search.events import Depth, Doubt, Found, SearchEvent
from buswalk.domain.search.probe import Probe, Shape
from buswalk.jobs.searching.confirming import Confirmation
from buswalk.jobs.searching.framing_look import Framed, FramingLook
from buswalk.jobs.searching.questions import Questions
from buswalk.jobs.searching.reading_replies import first_heard_s, is_marked
from buswalk.jobs.searching.recognising import recognise

SECOND_ANSWER_S = 0.3
"""So long a quick search listens for the answer of a second device at one address."""


class CloserLook:
    """Asks again what was answered, and yields what is there."""

    def __init__(self, questions: Questions, framing: FramingLook) -> None:
        self._questions = questions
        self._plan = questions.plan
        self._ledger = questions.ledger
        self._patience = questions.patience
        self._framing = framing

    def late(self, settings: SerialSettings, reply: LateReply) -> Iterator[SearchEvent]:
        """A late whole frame is credited by its own address and function."""
        asked = self._ledger.last_asked_as(reply.adu[0], reply.adu[1] & ~EXCEPTION_BIT, settings)
        if asked is not None and not self._ledger.is_settled(asked):
            yield from self._hit_late(asked, settings, reply.at_s)

    def _hit_late(self, asked: Probe, heard_in: SerialSettings, at_s: float) -> Iterator[SearchEvent]:
        yield from self.hit(self._framing.look_late(asked, heard_in, at_s, self._patience.patient(asked.settings)))

    @staticmethod
    def is_framed_by(probe: Probe, exchange: Exchange) -> bool:
        """Whether damaged bytes may be the answer of a device with parity to a request that was sent without."""
        return probe.shape is Shape.ONE_PARITY and probe.server_address in exchange.received

    def older(self, exchange: Exchange, heard_s: float) -> Generator[SearchEvent, None, bool]:
        """Look closer where a whole frame answers an older request; tell whether something came of it."""
        older = self._ledger.older_answered(exchange)
        if older is None:
            return False
        known = self._ledger.known_count
        yield from self._hit_late(older, exchange.settings, heard_s)
        return self._ledger.known_count > known

    def framed(self, probe: Probe, exchange: Exchange, wait_s: float = 0.0) -> Framed | None:
        """Return the ordinary request that is answered where a one-parity one was, if only by damaged bytes."""
        if not self.is_framed_by(probe, exchange):
            return None
        soon = self._patience.soon(probe.settings)
        soon = replace(soon, response_timeout_s=max(wait_s, soon.response_timeout_s))
        return self._framing.look_after(probe, exchange, soon)

    def answered(self, probe: Probe, exchange: Exchange, wait_s: float = 0.0) -> Iterator[SearchEvent]:
        """Look closer where something answered; first in which framing, if the request reached two."""
        if self._ledger.is_settled(probe):
            return
        framed = self.framed(probe, exchange, wait_s)
        if framed is None and probe.shape is Shape.ORDINARY and is_marked(exchange):
            yield from self._hit_late(probe, exchange.settings, first_heard_s(exchange))
        elif framed is not None:
            yield from self.hit(framed.probe, framed.exchange)
        else:
            yield from self.hit(probe.ordinary(probe.settings), exchange)

    def hit(self, probe: Probe, *before: Exchange) -> Iterator[SearchEvent]:
        """Look closer where something answered; `memory` forgets the probe until that is done."""
        self._patience.was_quiet(probe.settings)
        if self._ledger.is_settled(probe):
            return
        self._ledger.looks_at(probe)
        if self._ledger.is_everywhere_to_be_tried(probe):
            event = self._questions.everywhere_from(probe)
            if event is not None:
                yield event
                if event.exception_code == 0 or not before or self._ledger.is_like_everywhere(before[-1]):
                    self._ledger.has_looked_at(probe)
                    return
        self._let_older_answers_pass(probe, before)
        timing = self._patience.patient(probe.settings)
        result = Confirmation(self._questions.asker, timing, self._listens_s(probe)).look(probe, before)
        if isinstance(result, Found):
            result = self._recognised(result, probe)
        self._ledger.has_looked_at(probe)
        late = [one for one in self._questions.evidence.take_late() if one.server_address != probe.server_address]
        self._questions.evidence.take_strays()
        if isinstance(result, Found) and self._is_quick(before) and self._ledger.kept_silent_before(probe):
            result = replace(result, doubts=(*result.doubts, Doubt.SILENT_AT_FIRST))
        if result is not None and self._ledger.add(result):
            self._patience.judge(probe.settings).found_something()
            yield result
        for reply in late:
            yield from self.late(probe.settings, reply)

    def _listens_s(self, probe: Probe) -> float:
        """Return how long to listen for the answer of a second device; on a line with others it could be theirs."""
        if self._patience.is_restless_at(probe.settings):
            return 0.0
        return self._plan.long_wait_s if self._plan.depth is Depth.THOROUGH else SECOND_ANSWER_S

    def _recognised(self, found: Found, probe: Probe) -> Found:
        """Return it with the profiles that it fits, asked for in the settings in which it was identified."""
        timing = self._patience.patient(probe.settings)
        asker, types = self._questions.asker, self._plan.known_types
        profiles = recognise(asker, probe.server_address, timing, found.identity, types)
        return replace(found, identity=replace(found.identity, profiles=profiles))

    def _is_quick(self, before: Sequence[Exchange]) -> bool:
        """Tell whether what answered did so within the wait of a quick search."""
        seen = [one.turnaround for one in before if isinstance(one.turnaround, Turnaround)]
        return bool(seen) and all(one.not_more_than_s <= self._plan.wait_s for one in seen)

    def _let_older_answers_pass(self, probe: Probe, before: Sequence[Exchange]) -> None:
        """A slow one still answers older requests: those answers must not pass for a second device's."""
        if self._is_quick(before):
            return
        awaited = self._ledger.awaited_of(probe.server_address, probe.settings.baud_rate)
        if awaited:
            self._questions.listen_until(awaited[-1].ended_s + self._plan.long_wait_s)
            self._questions.evidence.take_late()

    def credit(self, settings: SerialSettings) -> Iterator[SearchEvent]:
        """Look closer at all late replies since the last look."""
        for reply in self._questions.evidence.take_late():
            yield from self.late(settings, reply)

    def _forget_energy(self) -> None:
        self._questions.evidence.take_late()
        self._questions.evidence.take_strays()
        self._ledger.nothing_is_awaited()
