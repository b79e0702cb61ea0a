"""What one search has brought so far, through all its pauses, and how it stands. Plain values, no Qt."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    EverythingIsAnswered,
    Found,
    FramingNotCarried,
    GoesBetween,
    LineChatters,
    ListenedFirst,
    LivingLine,
    PassBegan,
    SearchEnded,
    SearchForecast,
    SearchPlan,
    SearchProgress,
    SettingsNotCarried,
    Unclear,
)

Remark: TypeAlias = (
    SettingsNotCarried
    | FramingNotCarried
    | AskedRested
    | GoesBetween
    | AdapterHearsItself
    | PassBegan
    | LineChatters
    | EverythingIsAnswered
)


class Phase(Enum):
    """How the search stands."""

    READY = "ready"
    LISTENING = "listening"
    ASKING = "asking"
    PAUSED = "paused"
    HELD = "held"
    """Another client, or something else, is alive on the line: nothing was sent."""
    DONE = "done"
    GIVEN_UP = "given_up"
    BROKEN = "broken"
    """The port was lost for good, or the job failed."""

    @property
    def is_running(self) -> bool:
        """Whether the job runs."""
        return self in (Phase.LISTENING, Phase.ASKING)


@dataclass(slots=True)
class SearchRun:
    """What one search has brought so far; goes on through pauses.

    Attributes:
        asked: Distinct requests (address and PDU) at each setting.
        asked_at: Settings in which an address was asked.
        disturbed_at: Those of them in which bytes that are no reply followed, and no silence since.
        all_alike: Addresses of a search that has found a setting at which every address answers.
        forecast, forecast_ran_s: The latest forecast and how long the search had run; None before the first.
        stops: The forecast made when something was last learnt: what it tells stays true while nothing answers.
        stops_know: So much was known then.
        searched_through: Addresses that were asked everything the search had for them.
    """

    phase: Phase = Phase.READY
    plan: SearchPlan | None = None
    found: dict[tuple[int, SerialSettings], Found] = field(default_factory=dict)
    unclear: dict[tuple[int, SerialSettings], Unclear] = field(default_factory=dict)
    everywhere: tuple[AnswersEverywhere, ...] = ()
    remarks: tuple[Remark, ...] = ()
    listened: ListenedFirst | None = None
    living: LivingLine | None = None
    ended: SearchEnded | None = None
    end_sentence: str = ""
    asked_now: tuple[int, SerialSettings] | None = None
    asked: dict[SerialSettings, set[tuple[int, bytes]]] = field(default_factory=dict)
    asked_at: dict[int, set[SerialSettings]] = field(default_factory=dict)
    disturbed_at: dict[int, set[SerialSettings]] = field(default_factory=dict)
    all_alike: frozenset[int] = frozenset()
    searched_through: set[int] = field(default_factory=set)
    forecast: SearchForecast | None = None
    forecast_ran_s: float = 0.0
    stops: SearchForecast | None = None
    stops_know: int = 0
    progress: SearchProgress | None = None
    progress_at_s: float = 0.0
    running_from_s: float = 0.0
    ran_before_s: float = 0.0

    def ran_s(self, now_s: float) -> float:
        """Return how long it has been asking and listening, pauses not counted."""
        return self.ran_before_s + (max(0.0, now_s - self.running_from_s) if self.phase.is_running else 0.0)

    @property
    def requests_asked(self) -> int:
        """Distinct requests, each counted once however often it was repeated."""
        return sum(len(one) for one in self.asked.values())


def scope_of(plan: SearchPlan) -> tuple[object, ...]:
    """Return what of a plan says which requests there are."""
    return frozenset(plan.addresses), frozenset(plan.settings), plan.depth


def adds_to(old: SearchPlan, plan: SearchPlan) -> bool:
    """Tell whether a plan asks all that an old one asks in the same way, and more."""
    is_wider = old.settings.keys() <= plan.settings.keys() and set(old.addresses) <= set(plan.addresses)
    return is_wider and old.depth is plan.depth and scope_of(old) != scope_of(plan)
