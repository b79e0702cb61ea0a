"""Every figure of the page Trend in words: units after amounts, limits and doubt beside them. Plain Python."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from buswalk.domain.trend.correlation import NoCorrelation
from buswalk.domain.trend.moment_story import Together
from buswalk.domain.trend.series_statistics import Movement, SeriesStatistics, TooFew, WithLimit
from buswalk.domain.trend.step_response import NoStep, OneLag, StepResponse
from buswalk.domain.trend.which_moved import Moved, PointMoved
from buswalk.ui.pages.trend.trend_state import Figure, FiguresState
from buswalk.ui.pages.trend.watched_board import WatchedPoint
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import MINUS, counted, duration, plural, seconds_words

HOUR_S = 3600.0
MINUTES_FROM_S = 600.0
NONE = "–"
MOST_NAMES = 3
ONE_LAG_WORDS = {
    OneLag.GOOD: "good",
    OneLag.FAIR: "roughly",
    OneLag.TWO_LAGS: "no, two do",
    OneLag.POOR: "no",
}


def amount(number: float, decimals: int, unit: str = "") -> str:
    """Return a value with its unit: 21.5 °C, −4 kPa; thousands by a thin space."""
    if not math.isfinite(number):
        return NONE
    whole, _, rest = f"{abs(number):.{max(decimals, 0)}f}".partition(".")
    text = counted(int(whole)) + (f".{rest}" if rest else "")
    sign = MINUS if number < 0 and text.strip("0.") else ""
    return f"{sign}{text} {unit}".rstrip()


def difference_unit(unit: str) -> str:
    """Return the unit of a difference: that of two temperatures in °C is in K."""
    return "K" if unit == "°C" else unit


def small(number: float, unit: str = "") -> str:
    """Return a noise or a limit with two figures that count."""
    if not math.isfinite(number):
        return "not known"
    if number == 0:
        return f"0 {unit}".rstrip()
    decimals = max(0, 1 - math.floor(math.log10(abs(number))))
    return amount(number, decimals, unit)


def signed(number: float, decimals: int, unit: str = "") -> str:
    """Return a change: +6.4 K."""
    text = amount(number, decimals, unit)
    return text if text.startswith(MINUS) or not math.isfinite(number) else f"+{text}"


def seconds_with_limit(told: WithLimit) -> str:
    """Return 46 ± 2 s."""
    by, unit = (60.0, "min") if told.value >= MINUTES_FROM_S else (1.0, "s")
    value, limit = told.value / by, told.limit / by
    if not math.isfinite(limit) or limit > max(value, 1.0):
        return f"about {value:.0f} {unit}"
    decimals = 1 if limit < 0.95 and (value < 10 or by > 1) else 0
    return f"{value:.{decimals}f} ± {max(limit, 10.0**-decimals):.{decimals}f} {unit}"


def statistics_card(point: WatchedPoint, title: str, told: SeriesStatistics | TooFew) -> FiguresState:
    """Return the card of a span."""
    if isinstance(told, TooFew):
        return FiguresState(title, point.name, (), f"{plural(told.samples, 'value')}: too few to say anything.")
    unit, decimals = point.unit, point.decimals
    step_unit = difference_unit(unit)
    noise = f"under {small(told.step, step_unit)}" if told.noise_is_the_step else small(told.noise, step_unit)
    figures = (
        Figure("mean", amount(told.mean.value, decimals + 1, unit)),
        Figure("noise, 1 σ", noise if told.noise else "none seen"),
        Figure(f"samples in {duration(told.ends_s - told.begins_s)}", counted(told.samples)),
        Figure(
            f"span{', ' + unit if unit else ''}", f"{amount(told.least, decimals)} – {amount(told.greatest, decimals)}"
        ),
        Figure("every", seconds_words(told.period_s)),
        Figure("missing", counted(told.missing)),
    )
    return FiguresState(title, point.name, figures, _movement_words(told, step_unit))


def _movement_words(told: SeriesStatistics, unit: str) -> str:
    if told.movement is Movement.UNCHANGED:
        return f"Unchanged for {duration(told.unchanged_s)}: stuck, or it moves less than its step."
    if told.movement is Movement.STOPPED:
        return f"Stopped: unchanged for {duration(told.unchanged_s)}, far longer than before."
    parts = []
    drift, limit = told.drift_per_s.value * HOUR_S, told.drift_per_s.limit * HOUR_S
    if abs(drift) > limit:
        decimals = max(0, -math.floor(math.log10(limit))) if limit > 0 else 2
        parts.append(f"drift {signed(drift, decimals)} ± {amount(limit, decimals, unit)} an hour")
    elif math.isfinite(limit):
        parts.append(f"drift below {small(abs(drift) + limit, unit)} an hour")
    if told.step:
        parts.append(f"steps of {_plain(told.step, unit)}")
    if told.doubtful:
        parts.append(f"{plural(told.doubtful, 'value')} in doubt left out")
    words = "; ".join(parts)
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _plain(number: float, unit: str) -> str:
    return f"{number:.6g} {unit}".rstrip()


def step_card(point: WatchedPoint, title: str, told: StepResponse | NoStep, ranked: str) -> FiguresState:
    """Return the card of a response."""
    if isinstance(told, NoStep):
        return FiguresState(title, point.name, (), _joined(f"No step: {told.why.value}.", ranked))
    unit = difference_unit(point.unit)
    decimals = max(point.decimals, 0)
    settled = f"{told.settled_s:.0f} s" if told.is_settled else "not seen"
    figures = (
        Figure("step" if told.is_settled else "step, guessed", signed(told.step.value, decimals, unit)),
        Figure("dead time", seconds_with_limit(told.dead_time_s)),
        Figure("lag, 63 %", seconds_with_limit(told.lag_s)),
        Figure("to 95 %", settled),
        Figure("misfit", small(told.misfit, unit)),
        Figure("one lag fits", ONE_LAG_WORDS[told.one_lag]),
    )
    return FiguresState(title, point.name, figures, _joined(_response_words(told), ranked))


def _response_words(told: StepResponse) -> str:
    if not told.is_settled:
        return f"Seen for {told.seen_s:.0f} s: wait longer, the end is not reached."
    if told.one_lag is OneLag.TWO_LAGS:
        return "Two lags in a row fit better: a pocket or a duct between."
    if told.one_lag is OneLag.POOR:
        return "One lag does not describe it: dead time and lag are no more than a hint."
    return ""


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)


def ranking_words(ranking: Sequence[PointMoved], name_of: Callable[[str], str]) -> str:
    """Return who moved in a sentence; that a wire is a sensor's only where one alone moved and no other may have."""
    moved = [one for one in ranking if one.moved is Moved.MOVED]
    unclear = [one for one in ranking if one.moved is Moved.UNCLEAR]
    still = [one for one in ranking if one.moved is Moved.STILL]
    if not moved:
        return "None moved clearly." if ranking else ""
    first = moved[0]
    words = f"{name_of(first.name)} moved {times_words(first.times)}"
    if len(moved) > 1:
        more = [name_of(one.name) for one in moved[1:]]
        return f"{words}; {_names(more)} moved too."
    if unclear:
        return f"{words}; unclear: {_names([name_of(one.name) for one in unclear])}."
    if not still:
        return f"{words}."
    return f"{words}, {_names([name_of(one.name) for one in still])} did not."


def times_words(times: float) -> str:
    """Return by how much something moved."""
    if math.isinf(times):
        return "from rest"
    return f"{times:.0f} times its noise" if times >= 10 else f"{times:.1f} times its noise"


def _names(names: Sequence[str]) -> str:
    if len(names) <= MOST_NAMES:
        return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]
    return f"{', '.join(names[:MOST_NAMES])} and {len(names) - MOST_NAMES} more"


def moved_row(one: PointMoved, point: WatchedPoint) -> Row:
    """Return a row of the ranking."""
    change = NONE if one.moved is Moved.NOT_SEEN else signed(one.change, point.decimals, difference_unit(point.unit))
    weight = Weight.BOLD if one.moved is Moved.MOVED else Weight.REGULAR
    tone = {Moved.UNCLEAR: Tone.DOUBT, Moved.NOT_SEEN: Tone.DOUBT}.get(one.moved, Tone.INK)
    times = "" if math.isinf(one.times) else f"{one.times:.0f} ×" if one.times >= 10 else f"{one.times:.1f} ×"
    verdict = one.moved.value if one.moved in (Moved.NOT_SEEN, Moved.UNCLEAR) or not times else times
    return Cell(point.name, weight=weight), Cell(change, weight=weight), Cell(verdict, tone, weight)


def together_row(one: Together, point: WatchedPoint) -> Row:
    """Return a row of how another point goes along."""
    if isinstance(one.found, NoCorrelation):
        return Cell(point.name), Cell(NONE, Tone.INK3), Cell("", spoken=one.found.sentence)
    r = f"{one.found.r:.2f}".replace("-", MINUS)
    if not one.found.is_beyond_chance:
        return Cell(point.name), Cell(r, Tone.INK3), Cell("chance", Tone.INK3)
    lag = f"{abs(one.found.lag_s):.0f} s"
    when = (
        "at once"
        if abs(one.found.lag_s) < one.found.grid_s
        else f"{lag} {'later' if one.found.lag_s > 0 else 'before'}"
    )
    return Cell(point.name, weight=Weight.BOLD), Cell(r, weight=Weight.BOLD), Cell(when)


def reading_row(point: WatchedPoint, at_s: float, weight: Weight) -> Row:
    """Return what a point told at a moment."""
    words, tone = reading(point, at_s)
    return Cell(point.name, weight=weight), Cell(words, tone, Weight.BOLD), Cell("")


def reading(point: WatchedPoint, at_s: float) -> tuple[str, Tone]:
    """Return the value that held at a moment, or why there was none."""
    for gap in point.series.gaps_between(at_s, at_s):
        if gap.begins_s <= at_s < gap.ends_s or (gap.begins_s <= at_s and not gap.is_over):
            return gap.why.value, Tone.DOUBT
    place = point.series.last_before(at_s)
    if place < 0:
        return NONE, Tone.INK3
    samples = point.series.samples
    words = amount(float(samples.numbers[place]), point.decimals, point.unit)
    if samples.is_doubtful(place):
        return f"{words}, in doubt", Tone.DOUBT
    return words, Tone.INK
