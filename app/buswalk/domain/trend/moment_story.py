"""What is worked out for one point and one moment, away from the window: rest, response, who moved, who goes along."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.trend.correlation import Correlation, NoCorrelation, correlation
from buswalk.domain.trend.samples import Samples
from buswalk.domain.trend.series_statistics import SeriesStatistics, TooFew, series_statistics
from buswalk.domain.trend.step_response import NoStep, StepResponse, step_response
from buswalk.domain.trend.which_moved import PointMoved, Watched, which_moved

MOST_SAMPLES = 20_000
"""Of one point: what is older within the span is left out, and said."""
LONGEST_LAG_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class Together:
    """How another point goes with the chosen one."""

    name: str
    found: Correlation | NoCorrelation


@dataclass(frozen=True, slots=True)
class SpanTold:
    """What can be said of a span without a moment in it."""

    name: str
    statistics: SeriesStatistics | TooFew
    together: tuple[Together, ...]


@dataclass(frozen=True, slots=True)
class MomentTold:
    """What can be said of a moment."""

    name: str
    before: SeriesStatistics | TooFew
    response: StepResponse | NoStep
    ranking: tuple[PointMoved, ...]
    together: tuple[Together, ...]


Told: TypeAlias = SpanTold | MomentTold


@dataclass(frozen=True, slots=True)
class SpanQuestion:
    """Of a span: statistics of the chosen point, and how the others go with it."""

    chosen: str
    points: tuple[Watched, ...]
    begins_s: float
    ends_s: float

    def result(self) -> SpanTold:
        """Work it out."""
        spans = {one.name: one.samples.between(self.begins_s, self.ends_s).last(MOST_SAMPLES) for one in self.points}
        return SpanTold(self.chosen, series_statistics(spans[self.chosen]), _together(self.chosen, spans))


@dataclass(frozen=True, slots=True)
class MomentQuestion:
    """Of a moment: rest from `begins_s` to it, response from it to `ends_s`."""

    chosen: str
    points: tuple[Watched, ...]
    begins_s: float
    moment_s: float
    ends_s: float

    def result(self) -> MomentTold:
        """Work it out."""
        spans = {one.name: one.samples.between(self.begins_s, self.ends_s).last(MOST_SAMPLES) for one in self.points}
        whole = spans[self.chosen]
        before = whole.between(self.begins_s, self.moment_s)
        after = whole.between(self.moment_s, self.ends_s)
        ranking = which_moved(self.points, self.moment_s, self.moment_s - self.begins_s, self.ends_s - self.moment_s)
        return MomentTold(
            self.chosen,
            series_statistics(before),
            step_response(before, after, self.moment_s),
            ranking,
            _together(self.chosen, spans),
        )


def _together(chosen: str, spans: dict[str, Samples]) -> tuple[Together, ...]:
    """Compare the chosen point with every other, the closest first."""
    whole = spans[chosen]
    if not len(whole):
        return ()
    longest_s = LONGEST_LAG_SHARE * float(whole.times_s[-1] - whole.times_s[0])
    found = [Together(name, correlation(whole, span, longest_s)) for name, span in spans.items() if name != chosen]
    return tuple(sorted(found, key=_closeness))


def _closeness(one: Together) -> float:
    return -abs(one.found.r) if isinstance(one.found, Correlation) else 1.0
