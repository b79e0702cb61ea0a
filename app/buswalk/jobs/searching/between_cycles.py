"""Lets requests leave between the cycles of another client: foretells its next request and keeps clear of it.

At the client's own setting its frames are understood; at others its bytes are noticed only, and taken for what is
expected then. So now and then its setting is gone back to, and a whole round is listened to.
"""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line_events import OtherClientNoticed
from buswalk.domain.listening.client_cycle import Asking, ClientCycle, Expected
from buswalk.domain.listening.client_harm import Harm, HarmCount
from buswalk.domain.modbus.adu import LARGEST_ADU_BYTES
from buswalk.domain.modbus.crc16 import has_right_crc
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.manners import ComingRequest
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.gave_way import SufferingHeard

LATE_ALLOWED_S = 0.1
"""A reply may come so long after its wait and still be clear of the client's next request."""
SHORTEST_WAIT_S = 0.03
LOOK_EVERY_S = 0.02
NEAR_S = 0.01
"""So much earlier than ever its next request may begin and still be told from its last reply."""
CHECK_EVERY_S = 15.0
"""At other settings than the client's, so often a round is listened to at its own."""
ROUNDS_UNTIL_SILENT = 3.0
LEAST_UNTIL_SILENT_S = 10.0
ROUNDS_WAITED = 4.0
LEAST_WAITED_S = 10.0


class BetweenCycles:
    """Manners of an asker beside a client whose cycle is known."""

    def __init__(self, asker: Asker, evidence: Evidence, cycle: ClientCycle) -> None:
        self._asker = asker
        self._evidence = evidence
        self._cycle = cycle
        lost = sum(one.asked - one.answered for one in cycle.requests)
        self.harm = HarmCount(lost, sum(one.asked for one in cycle.requests))
        self._since = b""
        """What was heard since its last request, at its own setting."""
        self._is_judged = True
        self._checked_s = asker.clock.now_s()

    # What comes

    def heard(self, arrival: Arrival) -> None:
        """Take what came between our exchanges."""
        if self._is_at_home:
            self._understand(arrival)
        else:
            self._notice(arrival)

    def heard_in_exchange(self, arrival: Arrival) -> None:
        """Take what came within one of ours: a request of the client in it has met ours."""
        if not self._is_at_home:
            return
        joined = self._since + arrival.data
        if self._cycle.request_in(joined) is not None:
            self.harm.was(Harm.MET)
            self._is_judged = True
        self._understand(arrival)

    @property
    def _is_at_home(self) -> bool:
        own, now = self._cycle.settings, self._asker.settings
        return (own.baud_rate, own.parity) == (now.baud_rate, now.parity)

    def _understand(self, arrival: Arrival) -> None:
        self._since = (self._since + arrival.data)[-2 * LARGEST_ADU_BYTES :]
        request = self._cycle.request_in(self._since)
        if request is None:
            return
        adu = self._cycle.requests[request].adu
        behind = self._since[self._since.index(adu) + len(adu) :]
        begin_s = arrival.not_after_s - (len(adu) + len(behind)) * self._cycle.settings.character_s
        self._judge_answer()
        self._judge_time(begin_s)
        self._cycle.is_at(Asking(request, begin_s))
        self._since, self._is_judged = behind, False

    def _notice(self, arrival: Arrival) -> None:
        """Bytes at another setting: the request that is due, or its reply, or something out of place."""
        expected = self._cycle.expected()
        if expected is None:
            return
        begin_s = arrival.not_after_s - len(arrival.data) * self._asker.settings.character_s
        if begin_s <= min(self._cycle.free_from_s(), expected.not_before_s - NEAR_S):
            return  # the rest of its exchange: with a short pause behind it the next one could be meant, but is not
        if expected.not_before_s - expected.margin_s <= begin_s <= expected.not_after_s + expected.margin_s:
            follower = self._cycle.follower()
            self._cycle.is_at(Asking(follower, begin_s))
            self._is_judged = True
            self._asker.tell(OtherClientNoticed(self._cycle.requests[follower].server_address, begin_s))
        else:
            self._cycle.lose_place()

    def _judge_time(self, begin_s: float) -> None:
        expected = self._cycle.expected()
        if expected is None:
            return
        early, late = expected.not_before_s - expected.margin_s, expected.not_after_s + expected.margin_s
        if not early <= begin_s <= late:
            self.harm.was(Harm.LATER)

    def _judge_answer(self) -> None:
        """Tell, once its exchange is over, whether its last request was answered as it was before."""
        last = self._cycle.last
        if self._is_judged or last is None:
            return
        self._is_judged = True
        asked = self._cycle.requests[last.request]
        if asked.is_answered_always and asked.server_address and not _has_reply(self._since, asked.adu):
            self.harm.was(Harm.LOST)
        else:
            self.harm.was_well()

    # Before a request of ours

    def make_room(self, request: ComingRequest) -> AskTiming:
        """Listen until it fits before the client's next request.

        Raises:
            SufferingHeard: The client's traffic suffers, or leaves no room any more.
        """
        timing, needed_s = self._fitted(request)
        give_up_s = self._asker.clock.now_s() + max(LEAST_WAITED_S, ROUNDS_WAITED * self._cycle.round_s)
        while True:
            self._require_unharmed()
            expected = self._cycle.expected()
            now_s = self._asker.clock.now_s()
            if now_s > give_up_s:
                raise SufferingHeard(replace(self.harm.fell_silent(), harm=Harm.NO_ROOM))
            if expected is None or now_s - self._checked_s > CHECK_EVERY_S:
                self._check()
                continue
            free_until_s = expected.not_before_s - expected.margin_s
            begin_s = max(now_s, self._cycle.free_from_s())
            if begin_s + needed_s > free_until_s:
                self._await_next(expected)
            elif begin_s > now_s:
                self._asker.listen_until(begin_s)
            elif self._has_settled():
                self._evidence.take_strays()
                return timing

    def _require_unharmed(self) -> None:
        suffers = self.harm.suffers
        if suffers is not None:
            raise SufferingHeard(suffers)

    def _has_settled(self) -> bool:
        """Judge the exchange that is over; tell whether that changes nothing."""
        if self._is_at_home:
            self._judge_answer()
        return self.harm.suffers is None

    def _fitted(self, request: ComingRequest) -> tuple[AskTiming, float]:
        """Return a timing that fits its longest pause, and how much of a pause it needs."""
        room_s = self._cycle.longest_room_s
        character_s = self._asker.settings.character_s
        beside_s = (
            (len(request.adu) + request.reply_bytes) * character_s + self._asker.traits.latency_s + LATE_ALLOWED_S
        )
        wait_s = min(request.timing.response_timeout_s, max(SHORTEST_WAIT_S, room_s - beside_s))
        gap_s = min(request.timing.minimum_gap_s, max(0.0, room_s - beside_s - wait_s))
        return AskTiming(wait_s, gap_s), min(beside_s + wait_s + gap_s, room_s)

    def _await_next(self, expected: Expected) -> None:
        """Listen until its next request has begun; where it does not come, its place is lost."""
        last = self._cycle.last
        until_s = expected.not_after_s + expected.margin_s
        while self._cycle.last is last and last is not None:
            now_s = self._asker.clock.now_s()
            if now_s > until_s:
                self._judge_answer()
                self._cycle.lose_place()
                return
            self._asker.listen_until(min(until_s + LOOK_EVERY_S, now_s + LOOK_EVERY_S))

    def _check(self) -> None:
        """At its own setting: a whole round where its place is known, else until it is."""
        ours = self._asker.settings
        self._asker.use_settings(self._cycle.settings)
        self._since, self._is_judged = b"", True
        self._cycle.lose_place()
        asked = self.harm.asked
        wanted = len(self._cycle.requests)
        began_s = self._asker.clock.now_s()
        silent_s = began_s + max(LEAST_UNTIL_SILENT_S, ROUNDS_UNTIL_SILENT * self._cycle.round_s)
        while self._cycle.last is None or self.harm.asked - asked < wanted:
            now_s = self._asker.clock.now_s()
            if now_s > silent_s and self._cycle.last is None:
                raise SufferingHeard(self.harm.fell_silent())
            if now_s > silent_s or self.harm.suffers is not None:
                break
            self._asker.listen_until(now_s + LOOK_EVERY_S)
            self._judge_when_over(now_s)
        self._checked_s = self._asker.clock.now_s()
        self._asker.use_settings(ours)

    def _judge_when_over(self, now_s: float) -> None:
        if self._cycle.last is not None and now_s > self._cycle.free_from_s():
            self._judge_answer()


def _has_reply(data: bytes, request_adu: bytes) -> bool:
    """Tell whether a whole frame of the server that was asked, with that function, is in these bytes."""
    for at in range(len(data) - 3):
        if data[at] == request_adu[0] and data[at + 1] & 0x7F == request_adu[1]:
            for end in range(at + 5, min(len(data), at + LARGEST_ADU_BYTES) + 1):
                if has_right_crc(data[at:end]):
                    return True
    return False
