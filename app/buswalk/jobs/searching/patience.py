"""How patiently a line is asked: what came on it so far decides how long second questions wait."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.energy import ChatterJudge, EnergyJudge, Reaction
from buswalk.domain.search.events import SearchPlan
from buswalk.jobs.asking.asker import AskTiming
from buswalk.jobs.searching.framing_look import SOON_S

RESTLESS_GAP_S = 0.25
"""Longer than other clients usually pause between the requests of one round (judgement, no source).

Halved each time the line does not grant it.
"""
RESTLESS_WAIT_S = 0.5
ECHO_HOLDS = 2
"""So many times our own request came back changed, and it is the adapter or the pair that changes it (judgement)."""


class Patience:
    """One judge a setting; `is_living` once another client was heard."""

    def __init__(self, plan: SearchPlan) -> None:
        self._plan = plan
        self._judges: dict[SerialSettings, EnergyJudge] = {}
        self.chatter = ChatterJudge()
        self.is_living = False
        self._answered_whatever: set[SerialSettings] = set()
        self._damaged_echoes = 0
        self.gap_s = RESTLESS_GAP_S

    def judge(self, settings: SerialSettings) -> EnergyJudge:
        """Return who decides about bytes that nothing explains at these settings."""
        return self._judges.setdefault(settings, EnergyJudge(is_living=self.is_living))

    def was_quiet(self, settings: SerialSettings) -> None:
        """A request was followed by silence, or by its answer."""
        self.judge(settings).was_quiet()
        self.chatter.was_quiet()

    def was_loud(self, settings: SerialSettings, now_s: float) -> Reaction:
        """A request was followed by bytes that nothing explains: return what to do."""
        if settings in self._answered_whatever:
            return Reaction.LET_BE
        self.chatter.was_loud(now_s)
        reaction = self.judge(settings).was_loud()
        is_needless = reaction is not Reaction.GIVE_UP and self.chatter.is_chattering
        return Reaction.LET_BE if is_needless else reaction

    def somebody_answers_whatever_is_sent(self, settings: SerialSettings) -> None:
        """Bytes follow every request at these settings and none come without one: they say nothing of who was asked."""
        self._answered_whatever.add(settings)
        self.chatter.was_quiet()

    def is_echo_worth_a_hold(self) -> bool:
        """Count one more damaged echo; somebody may have sent at that moment, unless it happens again and again."""
        self._damaged_echoes += 1
        return self._damaged_echoes <= ECHO_HOLDS and not self.is_restless()

    def is_restless(self) -> bool:
        """Tell whether the line has bytes of its own, at any setting."""
        return self.is_living or any(one.is_restless for one in self._judges.values())

    def is_restless_at(self, settings: SerialSettings) -> bool:
        """Tell whether bytes at these settings say nothing of who was asked."""
        return self.chatter.is_chattering or self.judge(settings).is_restless

    def patient(self, settings: SerialSettings) -> AskTiming:
        """Return the timing of second questions: long waits, or on a restless line a pause before and a shorter one."""
        if self.is_restless_at(settings) and settings not in self._answered_whatever:
            return AskTiming(min(RESTLESS_WAIT_S, self._plan.long_wait_s), minimum_gap_s=self.gap_s)
        return AskTiming(self._plan.long_wait_s)

    def soon(self, settings: SerialSettings) -> AskTiming:
        """Return the timing of a question to one that has just answered."""
        return self.patient(settings) if self.is_restless() else AskTiming(SOON_S)
