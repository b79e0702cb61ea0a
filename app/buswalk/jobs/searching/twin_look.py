"""Looks whether two devices share an address: listens for a second answer, then counts what many questions bring."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.search.answer_shares import AnswerShares, turnaround_peaks_s
from buswalk.domain.search.probe import Probe
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.reading_replies import LEAST_SECOND_ANSWER_BYTES, has_second_answer, is_answer, is_damaged

COUNTED = 8
"""Questions that are counted where two are suspected: at a share of one half, less than 1 in 100 are all alike."""
LISTENS = 2
"""A tail that begins like no answer of this address may be another client's: only the second one counts."""


class TwinLook:
    """One look at one address; `listens_s` is how late a second answer may begin, 0 to leave that out."""

    def __init__(self, asker: Asker, timing: AskTiming, listens_s: float) -> None:
        self._asker = asker
        self._timing = timing
        self._listens_s = listens_s

    def has_second(self, probe: Probe) -> bool:
        """Listen behind the last answer; bytes that begin like one, or that come twice, are a second one."""
        for times in range(LISTENS):
            if times:
                self._asker.ask(probe.server_address, probe.request(), self._timing)
            tail = self._tail()
            if len(tail) < LEAST_SECOND_ANSWER_BYTES:
                return False
            if tail[0] == probe.server_address:
                return True
        return True

    def counted(self, probe: Probe) -> tuple[AnswerShares, list[Exchange]]:
        """Ask the same many times, each until the line is still, and count what comes."""
        exchanges: list[Exchange] = []
        second = 0
        timing = replace(self._timing, minimum_gap_s=max(self._timing.minimum_gap_s, self._listens_s))
        for _ in range(COUNTED):
            exchange = self._asker.ask(probe.server_address, probe.request(), timing)
            exchanges.append(exchange)
            second += has_second_answer([exchange]) or len(self._tail()) >= LEAST_SECOND_ANSWER_BYTES
        turnarounds = [
            one.turnaround.not_more_than_s
            for one in exchanges
            if is_answer(one) and isinstance(one.turnaround, Turnaround)
        ]
        shares = AnswerShares(
            len(exchanges),
            sum(is_answer(one) for one in exchanges),
            sum(is_damaged(one) for one in exchanges),
            second,
            turnaround_peaks_s(turnarounds),
        )
        return shares, exchanges

    def _tail(self) -> bytes:
        if not self._listens_s:
            return b""
        arrivals: tuple[Arrival, ...] = self._asker.listen_until(self._asker.clock.now_s() + self._listens_s)
        return b"".join(one.data for one in arrivals)
