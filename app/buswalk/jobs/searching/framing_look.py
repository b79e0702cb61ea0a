"""After a one-parity request was answered: which framing it was, and whether the second stop bit is really sent.

Only ordinary requests decide. A one-parity frame sent in its parity is, bit for bit, the one that was sent without.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.observation import MarksSeen
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.domain.search.events import Found, TwoStopBitsLearnt
from buswalk.domain.search.one_parity import parity_served
from buswalk.domain.search.probe import Probe, ProbeFunction, Shape, TwoStopBits, without_parity
from buswalk.domain.search.suspicion import wait_again_s
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.confirming import LONG_PAUSE_S
from buswalk.jobs.searching.ledger import Ledger
from buswalk.jobs.searching.reading_replies import is_answer, is_damaged, is_loud, is_marked, request_ended_s

SOON_S = 0.25
"""Wait for one that has just answered; who takes longer is asked again with the long wait."""
TRIES = 2


@dataclass(frozen=True, slots=True)
class Framed:
    """An ordinary request that was answered after a one-parity one."""

    probe: Probe
    exchange: Exchange


class FramingLook:
    """Asks ordinary requests in the framings that a one-parity request reaches."""

    def __init__(self, asker: Asker, ledger: Ledger) -> None:
        self._asker = asker
        self._ledger = ledger
        self._tried: set[int] = set()
        self._shown_by = 0
        self._told = ledger.two_stop_bits

    def look_after(self, probe: Probe, seen: Exchange, timing: AskTiming) -> Framed | None:
        """Return the ordinary request that is answered, or None.

        A reply with parity, heard without, has marks or wrong bytes: then that parity is asked first.
        """
        if isinstance(seen.turnaround, Turnaround):
            soon_s = max(timing.response_timeout_s, 2.0 * seen.turnaround.not_more_than_s)
            timing = replace(timing, response_timeout_s=soon_s)
        has_marks = any(isinstance(one, MarksSeen) for one in seen.observations)
        first = probe.reaches()[0 if is_answer(seen) and not has_marks else 1]
        framed = self.look(probe, timing, first)
        if framed is None and is_answer(seen):  # it was a whole answer, so it may want a pause before the next
            framed = self.look(probe, replace(timing, minimum_gap_s=LONG_PAUSE_S), first)
        return framed

    def look_late(self, asked: Probe, heard_in: SerialSettings, at_s: float, timing: AskTiming) -> Probe:
        """Return the ordinary request to confirm a late reply with, heard at `at_s` in line time.

        A reply with parity is mostly readable without: all framings in which that address was asked at that speed are
        tried, with the wait that fits the oldest of those requests.
        """
        awaited = self._ledger.awaited_of(asked.server_address, heard_in.baud_rate)
        framings = list(dict.fromkeys(one for awaits in awaited for one in awaits.probe.reaches()))
        if asked.shape is not Shape.ONE_PARITY and len(framings) <= 1:
            return asked.ordinary(framings[0] if framings else heard_in)
        late_s = max((at_s - one.ended_s for one in awaited), default=timing.response_timeout_s)
        timing = replace(timing, response_timeout_s=min(wait_again_s(late_s), timing.response_timeout_s))
        if asked.shape is Shape.ONE_PARITY:
            framed = self.look(asked, timing)
            return asked.ordinary(heard_in) if framed is None else framed.probe
        for settings in sorted(framings, key=lambda one: one != heard_in):
            framed = self._asked(asked.ordinary(settings), timing)
            if framed is not None and not is_marked(framed.exchange):
                return framed.probe
        return asked.ordinary(heard_in)

    def look(self, probe: Probe, timing: AskTiming, first: SerialSettings | None = None) -> Framed | None:
        """Return the ordinary request that is answered, or None; asked in the framing `first` before the other."""
        plain, parity = probe.reaches()
        for settings in (parity, plain) if first == parity else (plain, parity):
            framed = self._asked(probe.ordinary(settings), timing)
            if framed is None:
                continue
            if settings == parity:
                framed = self._with_parity(probe, framed, timing)
            return self._telling(framed, timing)
        return None

    def _telling(self, framed: Framed, timing: AskTiming) -> Framed:
        """Ask for registers where coils were answered: a refusal is the same of all, and hides two at one address."""
        if framed.probe.function is not ProbeFunction.COILS:
            return framed
        refused: list[Framed] = []
        for function in (ProbeFunction.HOLDING_REGISTERS, ProbeFunction.INPUT_REGISTERS):
            probe = replace(framed.probe, function=function)
            answer = self._ask(probe, timing)
            if isinstance(answer.outcome, NormalReply) or is_damaged(answer):
                return Framed(probe, answer)
            if is_answer(answer):
                refused.append(Framed(probe, answer))
        return refused[0] if refused else framed

    def _with_parity(self, probe: Probe, framed: Framed, timing: AskTiming) -> Framed:
        """It answers with parity; if it answers without as well, it does not check, and that is looked at."""
        careless = self._asked(probe.ordinary(probe.settings), timing)
        if careless is not None:
            return careless
        self._ledger.two_stop_bits = TwoStopBits.SENT
        self._shown_by = probe.server_address
        return framed

    def _asked(self, probe: Probe, timing: AskTiming) -> Framed | None:
        exchange = self._ask(probe, timing)
        return Framed(probe, exchange) if is_answer(exchange) else None

    def _ask(self, probe: Probe, timing: AskTiming) -> Exchange:
        self._ledger.asks(probe)
        exchange = self._exchange(probe, timing)
        self._ledger.has_asked(probe, request_ended_s(exchange), self._asker.clock.now_s())
        return exchange

    def _exchange(self, probe: Probe, timing: AskTiming) -> Exchange:
        self._asker.use_settings(probe.settings)
        return self._asker.ask(probe.server_address, probe.request(), timing)

    # The second stop bit

    def learn_two_stop_bits(
        self, settings: Collection[SerialSettings], timing: AskTiming
    ) -> Iterator[TwoStopBitsLearnt]:
        """Ask a found device of known parity with a one-parity frame in two stop bits: its answer proves the second.

        Each is asked once, and only where the answer changes how the search goes on.
        """
        while self._ledger.two_stop_bits is TwoStopBits.NOT_KNOWN:
            found = next((one for one in self._ledger.found if self._can_tell(one, settings)), None)
            if found is None:
                break
            self._tried.add(found.server_address)
            self._try(found, timing)
            self._shown_by = found.server_address
        if self._ledger.two_stop_bits is not self._told:
            self._told = self._ledger.two_stop_bits
            yield TwoStopBitsLearnt(self._told is TwoStopBits.SENT, self._shown_by)

    def _can_tell(self, found: Found, settings: Collection[SerialSettings]) -> bool:
        return (
            found.server_address not in self._tried
            and self._asker.traits.carries_framing
            and found.settings.parity is parity_served(found.server_address)
            and not found.doubts
            and any(without_parity(one.baud_rate) in settings for one in settings if one.parity is not Parity.NONE)
        )

    def _try(self, found: Found, timing: AskTiming) -> None:
        """Nothing is learnt of one that knows not the function, or answers whatever the framing."""
        plain = without_parity(found.settings.baud_rate)
        probe = Probe.of_one_parity(plain, found.server_address)
        is_answered = is_answer(self._exchange(probe.ordinary(found.settings), timing))
        if not is_answered or _is_heard(self._exchange(probe.ordinary(plain), timing)):
            return
        is_sent = any(_is_heard(self._exchange(probe, timing)) for _ in range(TRIES))
        self._ledger.two_stop_bits = TwoStopBits.SENT if is_sent else TwoStopBits.NOT_SENT


def _is_heard(exchange: Exchange) -> bool:
    return is_answer(exchange) or is_loud(exchange)
