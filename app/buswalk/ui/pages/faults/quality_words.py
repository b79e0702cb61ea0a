"""What the exchanges with one device show, in sentences: how sure, how long, how bunched, how slow."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import isfinite

from buswalk.bus.fault_queries import TallyPart
from buswalk.bus.fault_sums import ClaimStand, Contrast, ShareLimit
from buswalk.domain.statistics.claim import seconds_needed
from buswalk.domain.statistics.device_quality import DeviceQuality
from buswalk.domain.statistics.refusal_words import refusal_words
from buswalk.domain.statistics.turnarounds import TIME_OUT_RULE
from buswalk.ui.pages.faults.device_rows import beside_words, sum_words
from buswalk.ui.pages.faults.faults_state import FigureLine
from buswalk.ui.share_words import limited_words, percent_down, percent_seen
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, milliseconds, plural, seconds_words

BUNCHED_BELOW = 0.01
"""What chance makes more rarely than this is called bunched."""
LEAST_CHANCE = 0.05
"""Below it, chance alone is not believed to make a difference: the custom of the trade, no more."""
SHOWN_RETRIES = (1, 2, 3)


def long_duration(seconds: float) -> str:
    """Return a time that may be days: 40 s, 5 min, 1 h 23 min, 3 days 4 h."""
    if seconds < 60:
        return seconds_words(seconds if seconds < 10 else round(seconds))
    minutes = round(seconds / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    days, left = divmod(hours, 24)
    return f"{days} days {left} h" if left else f"{days} days"


def quality_lines(part: TallyPart, began: dict[int, datetime]) -> tuple[FigureLine, ...]:
    """Return the figures of one device; `began` is when each session did."""
    quality = part.quality
    lines = [FigureLine("Asked", sum_words(quality.row))]
    if quality.refusals:
        lines.append(FigureLine("Refused", refusal_words(quality.refusals)))
    if beside := beside_words(quality.row):
        lines.append(FigureLine("Beside", beside))
    if part.limit is not None:
        lines.append(FigureLine("Not clean", _limit_words(part.limit)))
        lines += [_claim_line(one, quality) for one in part.claims]
    lines += _outage_lines(quality, began)
    lines += _bunching_lines(quality)
    lines += _retry_lines(quality)
    lines += _turnaround_lines(quality)
    return tuple(lines)


def _limit_words(limit: ShareLimit) -> str:
    words = limited_words((limit.seen, limit.trials), limit.lower, limit.upper)
    return f"{counted(limit.seen)} of {counted(limit.trials)}: {words}"


def _claim_line(claim: ClaimStand, quality: DeviceQuality) -> FigureLine:
    """Return what a claim still needs, and the time that this takes at the pace seen."""
    caption = f"Below {claim.share * 100:g} %"
    if claim.over:
        return FigureLine(caption, f"disproved: over {percent_down(claim.over)}", Tone.DOUBT)
    if not claim.more:
        return FigureLine(caption, "shown (95 %)")
    return FigureLine(caption, f"{plural(claim.more, 'more clean request')}{_at_pace(claim.more, quality)}")


def _at_pace(more: int, quality: DeviceQuality) -> str:
    pace = quality.requests_per_second
    return f", {long_duration(seconds_needed(more, pace))} here" if pace > 0.0 else ""


def _outage_lines(quality: DeviceQuality, began: dict[int, datetime]) -> list[FigureLine]:
    outage = quality.outage
    if not outage.requests:
        return []
    start = began.get(outage.session)
    at = f" from {start + timedelta(seconds=outage.from_s):%H:%M:%S}" if start is not None else ""
    end = "" if outage.is_over else ", not over"
    words = f"{long_duration(outage.seconds)}{at}, {plural(outage.requests, 'request')}{end}"
    return [FigureLine("Longest outage", words)]


def _bunching_lines(quality: DeviceQuality) -> list[FigureLine]:
    bunching, between = quality.bunching, quality.between
    if bunching.not_clean < 2 or bunching.clean == 0:
        return []
    row = f"{bunching.longest_run} in a row at most"
    times = f"{long_duration(between.mean_s)} between two on average" if between.intervals else ""
    if bunching.chance < BUNCHED_BELOW:
        words = f"{row}; chance alone makes so few runs in {chance_words(bunching.chance)} of cases"
        return [FigureLine("In bunches", f"{words}{'; ' + times if times else ''}", Tone.DOUBT)]
    return [FigureLine("No bunches seen", f"{row}{'; ' + times if times else ''}")]


def _retry_lines(quality: DeviceQuality) -> list[FigureLine]:
    if not quality.retries or not quality.retries[0].lost:
        return []
    lines = []
    for loss in quality.retries:
        if loss.retries not in SHOWN_RETRIES or not loss.windows:
            continue
        seen = _small_percent(loss.as_measured) if loss.lost else "none"
        rows = f"{counted(loss.lost)} of {counted(loss.windows)} rows of {loss.retries + 1}"
        words = f"{_small_percent(loss.if_independent)} if independent, {seen} as measured ({rows})"
        lines.append(FigureLine(f"Lost after {plural(loss.retries, 'retry', 'retries')}", words))
    return lines


def _small_percent(share: float) -> str:
    return percent_seen(share) if share >= 1e-6 else "below 0.0001 %"


def _turnaround_lines(quality: DeviceQuality) -> list[FigureLine]:
    seen = quality.turnarounds
    if not seen.seen:
        return []
    late = f", {counted(seen.late)} late" if seen.late else ""
    lines = [
        FigureLine(
            "Turnaround",
            f"half within {milliseconds(seen.median_s)}, 95 % {milliseconds(seen.most_of_20_s)}, "
            f"99 % {milliseconds(seen.most_of_100_s)}, longest {milliseconds(seen.longest_s)} "
            f"({plural(seen.seen, 'answer')}{late})",
        )
    ]
    if seen.unseen:
        lines.append(FigureLine("Not in it", f"{plural(seen.unseen, 'request')} without any answer"))
    lines.append(FigureLine("Proposed time-out", f"{milliseconds(seen.time_out_s)}: {TIME_OUT_RULE}"))
    return lines


def chance_words(chance: float) -> str:
    """Return a chance in percent; never so rounded that it reads as none."""
    return "under 0.0001 %" if chance < 1e-6 else percent_seen(chance) if chance < 1.0 else "100 %"


def contrast_lines(contrast: Contrast) -> tuple[FigureLine, ...]:
    """Return inside and outside of a mark, and what chance has to do with it."""
    table = contrast.table
    lines = [
        FigureLine(caption, "nothing asked" if limit is None else _limit_words(limit))
        for caption, limit in zip(("Not clean inside", "Not clean outside"), contrast.sides, strict=True)
    ]
    if not table.inside or not table.outside:
        return (*lines, FigureLine("Compared", "needs requests on both sides"))
    ratio = table.odds_ratio
    told = f"{ratio:.3g}" if isfinite(ratio) and ratio else "not to be told: none on one side"
    is_chance = contrast.chance >= LEAST_CHANCE
    verdict = "chance alone can make this" if is_chance else "not chance alone (Fisher's exact test, two-sided)"
    return (
        *lines,
        FigureLine("Odds ratio", told),
        FigureLine("p", f"{contrast.chance:.2g}: {verdict}", Tone.INK if is_chance else Tone.DOUBT),
    )
