"""A forecast of a cycle in words: how long, what limits it, what would help most."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.registers.cycle_forecast import CycleForecast, Help

MOST_HELPS = 2


def cycle_words(forecast: CycleForecast, helps: Sequence[Help]) -> tuple[str, ...]:
    """Return sentences, the most needed first."""
    requests = f"{forecast.exchanges} request{'' if forecast.exchanges == 1 else 's'}"
    sentences = [f"a cycle of {requests} takes {seconds_words(forecast.cycle_s)}"]
    if forecast.parts and forecast.cycle_s > 0.0:
        most = forecast.parts[0]
        share = most.seconds / sum(one.seconds for one in forecast.parts)
        sentences.append(f"what limits it: {most.part.value}, {seconds_words(most.seconds)} of it ({share:.0%})")
    if forecast.demand > 1.0:
        sentences.append(
            f"the periods ask for {forecast.demand:.1f} times what the line can carry: all of them become longer alike"
        )
    elif forecast.demand > 0.0:
        sentences.append(f"the periods take {forecast.demand:.0%} of the line's time")
    sentences += [f"{one.what} would save {seconds_words(one.saves_s)}" for one in helps[:MOST_HELPS]]
    return tuple(sentences)


def seconds_words(seconds: float) -> str:
    """Return a duration with three digits: 47 ms, 1.25 s, 83 s."""
    if seconds < 0.9995:
        return f"{seconds * 1000:.3g} ms"
    return f"{seconds:.3g} s" if seconds < 99.95 else f"{seconds:.0f} s"
