"""A forecast of a cycle in words: how long, what limits it, what would help most."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.registers.cycle_forecast import CycleForecast
from buswalk.domain.registers.what_if import (
    MoreDevices,
    OtherSpeed,
    OtherTimeOut,
    TheseSilent,
    WhatIf,
    WhatIfForecast,
)
from buswalk.domain.registers.what_would_help import Help

MOST_HELPS = 2
SAME, MANY_TIMES = 0.005, 2.0
"""A change of less than half a percent is none that could be seen."""


def cycle_words(forecast: CycleForecast, helps: Sequence[Help]) -> tuple[str, ...]:
    """Return sentences, the most needed first."""
    requests = f"{forecast.exchanges} request{'' if forecast.exchanges == 1 else 's'}"
    sentences = [f"a cycle of {requests} takes {seconds_words(forecast.cycle_s)}"]
    if forecast.parts and forecast.cycle_s > 0.0:
        most = forecast.parts[0]
        share = most.seconds / sum(one.seconds for one in forecast.parts)
        sentences.append(
            f"what limits it: {most.part.value}, {seconds_words(most.seconds)} of it ({percent_words(share)})"
        )
    if forecast.demand > 1.0:
        sentences.append(
            f"the periods ask for {forecast.demand:.1f} times what the line can carry: all of them become longer alike"
        )
    elif forecast.demand > 0.0:
        sentences.append(f"the periods take {percent_words(forecast.demand)} of the line's time")
    sentences += [f"{one.what} would save {seconds_words(one.saves_s)}" for one in helps[:MOST_HELPS]]
    return tuple(sentences)


def what_if_words(told: WhatIfForecast) -> tuple[str, ...]:
    """Return sentences on a cycle as it would be, beside what it is."""
    what = ", ".join(change_words(one) for one in told.changes)
    if not told.answering:
        return (f"{what}: nobody would answer, so there would be no cycle",)
    return (
        f"{what}: {_whose(told)} {beside_words(told)}",
        *_asking_all(told),
        *_limit_then(told),
        *_demand_then(told),
        *(
            f"but {one.server_address} was seen to take up to {seconds_words(one.longest_turnaround_s)} before it "
            "answered: such replies would be missed"
            for one in told.too_short_for
        ),
    )


def change_words(change: WhatIf) -> str:
    """Return one change: `at 19200 baud`."""
    match change:
        case OtherSpeed(baud_rate):
            return f"at {baud_rate} baud"
        case OtherTimeOut(seconds):
            return f"with a time-out of {seconds_words(seconds)}"
        case MoreDevices(count, like):
            more = f"with {count} more device{'' if count == 1 else 's'}"
            return f"{more} like {like}" if like else f"{more} like these"
        case TheseSilent(addresses):
            return f"with {', '.join(map(str, addresses))} silent"


def beside_words(told: WhatIfForecast) -> str:
    """Return a cycle as it would be beside what it is: `would take 271 ms instead of 334 ms, 19 % less`."""
    then_s, now_s = told.then.cycle_s, told.now.cycle_s
    times = then_s / now_s if now_s else 1.0
    if abs(times - 1.0) < SAME:
        return f"would take {seconds_words(now_s)}, as now"
    if times >= MANY_TIMES:
        change = f"{times:.1f} times as long"
    else:
        change = f"{percent_words(abs(times - 1.0))} {'more' if times > 1.0 else 'less'}"
    return f"would take {seconds_words(then_s)} instead of {seconds_words(now_s)}, {change}"


def _whose(told: WhatIfForecast) -> str:
    is_some_silent = any(isinstance(one, TheseSilent) for one in told.changes)
    return f"a cycle of the {told.answering} that would still answer" if is_some_silent else "a cycle"


def _asking_all(told: WhatIfForecast) -> tuple[str, ...]:
    if not told.silent:
        return ()
    return (
        f"silent devices are asked rarely here: a client that asks them in each cycle would take "
        f"{seconds_words(told.asking_all_s)}",
    )


def _limit_then(told: WhatIfForecast) -> tuple[str, ...]:
    before, after = (next((one.part for one in of.parts), None) for of in (told.now, told.then))
    return (f"what would limit it then: {after.value}",) if after is not None and after is not before else ()


def _demand_then(told: WhatIfForecast) -> tuple[str, ...]:
    if told.then.demand > 1.0:
        return (f"the periods would ask for {told.then.demand:.1f} times what the line can carry",)
    return (
        (f"the periods would take {percent_words(told.then.demand)} of the line's time",)
        if told.then.demand > 0.0
        else ()
    )


def seconds_words(seconds: float) -> str:
    """Return a duration with three digits: 47 ms, 1.25 s, 83 s."""
    if seconds < 0.9995:
        return f"{seconds * 1000:.3g} ms"
    return f"{seconds:.3g} s" if seconds < 99.95 else f"{seconds:.0f} s"


def percent_words(share: float) -> str:
    """Return a share in whole percent: 38 %; less than one is said to be so."""
    return f"{share * 100:.0f} %" if share >= 0.01 or not share else "below 1 %"
