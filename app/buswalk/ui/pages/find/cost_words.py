"""What a search costs here, how far it is, or what it took; and when something is likely to be found. No Qt."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.search.clock_pace import ALONE, left_by_the_clock_s, pace_between
from buswalk.domain.search.events import Depth, GoesBetween, SearchPlan
from buswalk.domain.search.forecast import Forecast
from buswalk.domain.search.plan_cost import Cost, PlanCost
from buswalk.ui.pages.find.found_words import counts_of
from buswalk.ui.pages.find.known import plan_of
from buswalk.ui.pages.find.search_run import Phase, SearchRun, adds_to, scope_of
from buswalk.ui.pages.find.search_state import Figure, ForecastState, ForecastStop, SideState
from buswalk.ui.pages.find.search_words import SearchFacts, learns_client
from buswalk.ui.wording import counted, duration, plural, seconds_words

SHARES = ("50 % found", "80 %", "90 %")
WHOLE = "all asked"
SECONDS_BELOW_S = 10.0


def side_state(facts: SearchFacts) -> SideState:
    """Return what a search costs here, how far it is, or what it took."""
    match facts.board.run.phase:
        case Phase.READY:
            return _cost(facts, _planned(facts))
        case Phase.DONE if (added := _added(facts)) is not None:
            return _cost(facts, added)
        case Phase.DONE | Phase.GIVEN_UP | Phase.HELD:
            return _took(facts)
        case _:
            return _progress(facts)


def _planned(facts: SearchFacts) -> SearchPlan:
    return plan_of(facts.known, facts.board.plan_addresses, facts.board.mistaken)


def _added(facts: SearchFacts) -> SearchPlan | None:
    """Return what the user has chosen since the search ended, as far as it was not asked; None while nothing is."""
    old, plan = facts.board.run.plan, _planned(facts)
    if old is None or facts.known == facts.searched or scope_of(old) == scope_of(plan):
        return None
    if not adds_to(old, plan):
        return plan
    settings = {one: weight for one, weight in plan.settings.items() if one not in old.settings}
    if settings:
        return replace(plan, settings=settings)
    return replace(plan, addresses=tuple(one for one in plan.addresses if one not in old.addresses))


def _cost(facts: SearchFacts, plan: SearchPlan) -> SideState:
    cost = PlanCost(plan, facts.rates)
    listening = f"{seconds_words(plan.listen_s)} listening first" if plan.listen_s else "no listening first"
    stops = _stops_of(cost.before(), plan.listen_s, cost.whole().seconds)
    lines = (plural(cost.whole().requests, "request"), listening)
    return SideState((), "", forecast=ForecastState("Forecast", lines, _told(stops, -1.0), None))


def _progress(facts: SearchFacts) -> SideState:
    run = facts.board.run
    plan = run.plan if run.plan is not None else _planned(facts)
    so_far = Figure("So far", duration(run.ran_s(facts.now_s)), is_result=True)
    if run.phase is Phase.LISTENING:
        if learns_client(facts):
            return SideState((so_far,), "Nothing is sent until its cycle is known.", 0.0)
        listens = max(0.0, plan.listen_s - run.ran_s(facts.now_s) + run.ran_before_s)
        return SideState((so_far, Figure("Listening", f"{listens:.0f} s more")), "Nothing is sent meanwhile.", 0.0)
    cost = PlanCost(plan, facts.rates, facts.board.found_at)
    whole, left = cost.whole(), cost.left({one: len(asked) for one, asked in run.asked.items()})
    if plan.depth is Depth.THOROUGH:
        whole, left = _thorough_left(run, whole)
    asked = whole.requests - left.requests
    asked_of = f"{counted(asked)} of {counted(whole.requests)}"
    share = asked / whole.requests if whole.requests else 0.0
    if not left.requests:
        note = "Planned ones that are silent are asked once more, patiently."
        return SideState((so_far, Figure("Asked", asked_of)), note, share)
    told = _forecast_now(facts, asked_of)
    if told is not None:
        return SideState((), "", forecast=told)
    return SideState(
        (so_far, Figure("Left, about", duration(_left_s(run, left.seconds, facts.now_s))), Figure("Asked", asked_of)),
        "",
        share,
    )


def _thorough_left(run: SearchRun, whole: Cost) -> tuple[Cost, Cost]:
    """Return the cost of all and of the rest, as the search itself told it last: each address is asked many times."""
    if run.progress is None:
        return whole, whole
    left = Cost(run.progress.planned - run.progress.asked, run.progress.left_s)
    return Cost(run.progress.planned, whole.seconds), left


def _left_s(run: SearchRun, computed_s: float, now_s: float) -> float:
    """Return what is left by the clock as the search told it last, as the head line says it; before, as computed."""
    if run.progress is None:
        return computed_s * _pace(run)
    since_s = now_s - run.progress_at_s if run.phase is Phase.ASKING else 0.0
    return left_by_the_clock_s(run.progress, _pace(run), since_s)


def _took(facts: SearchFacts) -> SideState:
    board, run = facts.board, facts.board.run
    counts = counts_of(board)
    asked = run.ended.asked if run.ended is not None else run.requests_asked
    figures = [
        Figure("Took", duration(run.ran_s(facts.now_s)), is_result=True),
        Figure("Asked", plural(asked, "request")),
    ]
    if counts.all:
        figures.append(Figure("Answers in doubt", f"{counts.in_doubt} of {counted(counts.all)}"))
    return SideState(tuple(figures), "" if counts.all else "Nothing was asked." if not asked else "")


# The forecast


def _forecast_now(facts: SearchFacts, asked_of: str) -> ForecastState | None:
    """Return the forecast in the search's own time, pauses not counted; None before there is one."""
    run = facts.board.run
    stops, latest = run.stops, run.forecast
    if stops is None or latest is None:
        return None
    now_s, pace = run.ran_s(facts.now_s), _pace(run)
    passed_s = stops.whole_s - latest.whole_s
    due_s = (stops.half_s, stops.most_s, stops.nearly_all_s, stops.whole_s)
    at_s = tuple(run.forecast_ran_s + (one - passed_s) * pace for one in due_s)
    whole_s = max(at_s[-1], now_s)
    if run.progress is not None and run.progress.asked >= latest.asked:
        whole_s = now_s + _left_s(run, 0.0, facts.now_s)
    lines = (f"asked {asked_of}", f"about {duration(whole_s - now_s)} left")
    return ForecastState(
        f"So far {duration(now_s)}", lines, _told((*(min(one, whole_s) for one in at_s[:3]), whole_s), now_s), now_s
    )


def _pace(run: SearchRun) -> float:
    """Return how much longer all takes by the clock: between another client's cycles only its pauses are used."""
    between = [one for one in run.remarks if isinstance(one, GoesBetween)]
    return pace_between(between[-1].cycle) if between else ALONE


def _stops_of(forecast: Forecast, listen_s: float, whole_s: float) -> tuple[float, ...]:
    found = (forecast.half_s, forecast.most_s, forecast.nearly_all_s)
    return (*(listen_s + one for one in found), whole_s)


def _told(at_s: tuple[float, ...], now_s: float) -> tuple[ForecastStop, ...]:
    return tuple(
        ForecastStop(words, _time_words(one), one, is_past=one <= now_s)
        for words, one in zip((*SHARES, WHOLE), at_s, strict=True)
    )


def _time_words(seconds: float) -> str:
    return seconds_words(seconds) if 0.0 < seconds < SECONDS_BELOW_S else duration(seconds)
