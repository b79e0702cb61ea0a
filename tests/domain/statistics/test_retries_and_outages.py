"""Loss after retries and the longest outage, against plain counting over the whole order."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.statistics.outages import NO_OUTAGE, Outage, OutageFinder
from buswalk.domain.statistics.retries import MOST_RETRIES, RetryCounter


def counted(order: str) -> RetryCounter:
    counter = RetryCounter()
    for sign in order:
        if sign == "|":
            counter.cut()
        else:
            counter.take(is_lost=sign == "x")
    return counter


@settings(deadline=None, max_examples=60)
@given(st.text(alphabet=".x|", max_size=120))
def test_rows_lost_are_those_that_plain_counting_finds(order: str) -> None:
    """Every row of r + 1 requests within one session, by slicing."""
    losses = counted(order).losses()

    for loss in losses:
        length = loss.retries + 1
        rows = [one[at : at + length] for one in order.split("|") for at in range(len(one) - length + 1)]
        assert (loss.lost, loss.windows) == (rows.count("x" * length), len(rows))


def test_five_percent_lost_at_random_leave_a_quarter_percent_after_one_retry() -> None:
    """0.05 * 0.05 = 0.25 %: the common reckoning, which holds while losses are independent. Seed fixed."""
    lost = np.random.default_rng(7).random(100_000) < 0.05

    _, once, *_ = counted("".join("x" if one else "." for one in lost)).losses()

    assert once.if_independent == pytest.approx(0.0025, rel=0.05)
    assert once.as_measured == pytest.approx(once.if_independent, rel=0.1)


def test_bursts_leave_more_than_the_common_reckoning_says() -> None:
    """Bursts of five, one in a hundred requests: one retry helps one time in five only."""
    _, once, *_ = counted(("xxxxx" + "." * 95) * 100).losses()

    assert once.if_independent == pytest.approx(0.0025)
    assert once.as_measured == pytest.approx(0.04, rel=0.01)


def test_without_trials_nothing_is_said() -> None:
    assert RetryCounter().losses() == ()
    assert len(counted(".").losses()) == MOST_RETRIES + 1


def test_an_outage_lasts_to_the_next_answer() -> None:
    finder = OutageFinder()
    finder.answered(1.0)
    finder.unanswered(1, 2.0, 2.5)
    finder.answered(3.0)
    finder.unanswered(1, 10.0, 10.5)
    finder.unanswered(1, 14.0, 14.5)
    finder.answered(18.0)

    assert finder.longest() == Outage(1, 10.0, 18.0, 2)
    assert finder.longest().seconds == 8.0


def test_an_outage_that_the_session_ends_is_not_over() -> None:
    finder = OutageFinder()
    finder.unanswered(1, 2.0, 2.5)
    finder.session_ended()
    finder.unanswered(2, 0.0, 0.2)
    finder.answered(0.3)

    assert finder.longest() == Outage(1, 2.0, 2.5, 1, is_over=False)
    assert OutageFinder().longest() == NO_OUTAGE
