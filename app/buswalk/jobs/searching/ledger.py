"""What a search knows at any moment: what was asked, what answered, what is awaited, and what of it is remembered."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, ForeignReply, NormalReply, UnexpectedReply
from buswalk.domain.search.events import Found, SearchMemory, Unclear
from buswalk.domain.search.probe import Probe, ProbeFunction, TwoStopBits
from buswalk.domain.search.thorough import Pass
from buswalk.jobs.searching.reading_replies import answers_as_another, is_answer_to, is_marked

KEPT_S = 1.6
"""So long, in seconds of line time, a question counts as one that may still be answered."""

MANY = 8
"""So many devices at one setting, and each time twice as many: worth asking once more where nobody should be."""


@dataclass(frozen=True, slots=True)
class Awaited:
    """A recent request whose answer may still come: when its bytes ended, and until when it was waited for."""

    probe: Probe
    ended_s: float
    waited_until_s: float


class Ledger:
    """The state of one search, apart from how it decides what to do next."""

    def __init__(self, memory: SearchMemory) -> None:
        self.asked = set(memory.asked)
        self.passed = set(memory.passed)
        self._latest_pass: dict[Probe, Pass] = {}
        self.found = list(memory.found)
        self.everywhere = dict(memory.everywhere)
        """At which settings every address answers, and with which exception code (0: with data)."""
        self.given_up: set[SerialSettings] = set()
        self.two_stop_bits: TwoStopBits = memory.two_stop_bits
        self._unclear = set(memory.unclear)
        self._checked_for_everywhere = {(one.settings, int(one.function)) for one in self.found}
        self._many_at: dict[SerialSettings, int] = {}
        self._unsettled: set[Probe] = set()
        self._recent: deque[Awaited] = deque()

    @property
    def memory(self) -> SearchMemory:
        """What a later search needs; requests whose answer was still awaited count as not asked."""
        waiting = self._unsettled | {one.probe for one in self._recent}
        return SearchMemory(
            frozenset(self.asked - waiting),
            tuple(self.found),
            frozenset(self.passed - {(one, self._latest_pass[one]) for one in waiting if one in self._latest_pass}),
            frozenset(self.everywhere.items()),
            frozenset(self._unclear),
            self.two_stop_bits,
        )

    # Asking

    def asks(self, probe: Probe) -> None:
        """A probe is about to be sent."""
        self.asked.add(probe)
        self._unsettled.add(probe)

    def passes(self, probe: Probe, of_pass: Pass) -> None:
        """A probe is about to be sent as part of a pass."""
        self.passed.add((probe, of_pass))
        self._latest_pass[probe] = of_pass
        self._unsettled.add(probe)

    def kept_silent_before(self, probe: Probe) -> bool:
        """Tell whether a probe was asked in an earlier pass without a pause, and is asked so again: both alike."""
        is_alike = self._latest_pass.get(probe) in (Pass.HOLD, Pass.SECOND, Pass.THIRD)
        return is_alike and (probe, Pass.FIRST) in self.passed

    def has_asked(self, probe: Probe, ended_s: float, now_s: float) -> None:
        """Its bytes ended at `ended_s` and its wait is over now, in seconds of line time; an answer may still come."""
        self._unsettled.discard(probe)
        self._recent.append(Awaited(probe, ended_s, now_s))
        while self._recent and self._recent[0].waited_until_s < now_s - KEPT_S:
            self._recent.popleft()

    def asked_since(self, since_s: float) -> tuple[Probe, ...]:
        """Return the probes whose wait ended since, latest first, each once."""
        return tuple(dict.fromkeys(one.probe for one in reversed(self._recent) if one.waited_until_s >= since_s))

    def ended_s(self, probe: Probe) -> float:
        """Return when the bytes of a recent probe ended, in seconds of line time."""
        return max(one.ended_s for one in self._recent if one.probe == probe)

    def last_asked_as(self, server_address: int, function: int, heard_in: SerialSettings) -> Probe | None:
        """Return the latest recent probe that a late reply could belong to, those in the settings it came in first."""
        probes = [one.probe for one in reversed(self._recent)]
        alike = [one for one in probes if (one.server_address, one.function) == (server_address, function)]
        return max(alike, key=lambda one: heard_in in one.reaches(), default=None)

    def older_answered(self, exchange: Exchange) -> Probe | None:
        """Return the request that a whole frame answers which came after settings were changed and changed back."""
        match exchange.outcome:
            case ForeignReply(adu=adu) | UnexpectedReply(adu=adu):
                older = self.last_asked_as(adu[0], adu[1] & ~EXCEPTION_BIT, exchange.settings)
                if older is None or self.is_settled(older) or not is_answer_to(older.request(), adu):
                    return None
                return older
            case _:
                return None

    def awaited_of(self, server_address: int, baud_rate: int) -> tuple[Awaited, ...]:
        """Return the recent requests to an address at one speed, oldest first."""
        return tuple(
            one
            for one in self._recent
            if one.probe.server_address == server_address and one.probe.settings.baud_rate == baud_rate
        )

    def nothing_is_awaited(self) -> None:
        """What was asked so far is not going to be answered any more."""
        self._recent.clear()

    # A closer look

    def looks_at(self, probe: Probe) -> None:
        """A probe is looked at more closely: until that is done, it is not remembered as asked."""
        self._unsettled.add(probe)

    def has_looked_at(self, probe: Probe) -> None:
        """The closer look is over."""
        self._unsettled.discard(probe)

    def is_everywhere_to_be_tried(self, probe: Probe) -> bool:
        """Tell, once for each setting and function, that nothing had answered there before.

        A device may answer at every address, but not every function. Where ever more devices are found, it is told
        again: one control whose answer was lost must not make a device of each address.
        """
        settings = probe.settings
        if settings in self.everywhere:
            return False
        is_first = (settings, int(probe.function)) not in self._checked_for_everywhere
        self._checked_for_everywhere.add((settings, int(probe.function)))
        many = self._many_at.get(settings, MANY)
        if sum(one.settings == settings for one in self.found) < many:
            return is_first
        self._many_at[settings] = 2 * many
        return True

    def add(self, result: Found | Unclear) -> bool:
        """Take in a result; tell whether it is new."""
        match result:
            case Found() if self.is_found(result.server_address, result.settings):
                return False
            case Found():
                self.found.append(result)
            case Unclear():
                self._unclear.add((result.address, result.settings))
        return True

    # What is known

    @property
    def known_count(self) -> int:
        """How many addresses gave a result, clear or not."""
        return len(self.found) + len(self._unclear)

    @property
    def found_at(self) -> frozenset[SerialSettings]:
        """The settings at which a device was found."""
        return frozenset(one.settings for one in self.found)

    @property
    def answered_at(self) -> frozenset[SerialSettings]:
        """The settings at which anything answered."""
        return self.found_at | self.everywhere.keys()

    @property
    def lessons(self) -> tuple[frozenset[SerialSettings], TwoStopBits]:
        """Return what changes the order of what is left."""
        return self.answered_at, self.two_stop_bits

    def known_question(self) -> Probe | None:
        """Return a question that was answered with certainty."""
        for one in self.found:
            return Probe(one.settings, one.server_address, ProbeFunction(one.function))
        return None

    def silent(self, server_addresses: tuple[int, ...]) -> tuple[int, ...]:
        """Return which of these addresses gave no result at any setting."""
        heard = {one.server_address for one in self.found} | {address for address, _ in self._unclear}
        return tuple(one for one in server_addresses if one not in heard)

    def is_found(self, server_address: int, settings: SerialSettings) -> bool:
        """Tell whether a device was found there."""
        return any((one.server_address, one.settings) == (server_address, settings) for one in self.found)

    def is_settled(self, probe: Probe) -> bool:
        """Tell whether nothing new can come of a probe: its device is known, or all answer alike with data."""
        if self.everywhere.get(probe.settings) == 0 or probe.settings in self.given_up:
            return True
        reached = probe.reaches()
        if any((probe.server_address, one) in self._unclear for one in reached):
            return True
        return any(self.is_found(probe.server_address, one) for one in reached)

    def is_hit(self, exchange: Exchange) -> bool:
        """Tell whether something answered: this request, or in the name of a device that is not known yet."""
        if isinstance(exchange.outcome, NormalReply | ExceptionReply):
            return True
        return answers_as_another(exchange) and not self.is_of_known_device(exchange)

    def is_of_known_device(self, exchange: Exchange) -> bool:
        """Tell whether a reply names a device already found: one that answers for others is one finding.

        Heard with marks it was sent in another framing: then it may have been found in that.
        """
        outcome, heard_in = exchange.outcome, exchange.settings
        if not isinstance(outcome, ForeignReply):
            return False
        return self.is_found(outcome.server_address, heard_in) or (
            is_marked(exchange)
            and any(
                (one.server_address, one.settings.baud_rate) == (outcome.server_address, heard_in.baud_rate)
                for one in self.found
            )
        )

    def is_like_everywhere(self, exchange: Exchange) -> bool:
        """Tell a refusal that every address gives: where all refuse alike, only another answer tells of a device."""
        common = self.everywhere.get(exchange.settings)
        return isinstance(exchange.outcome, ExceptionReply) and exchange.outcome.exception_code == common
