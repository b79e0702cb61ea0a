"""The table's sums agree, whatever was counted; each outcome has its column."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.event_json import snake_case
from buswalk.domain.modbus.outcome import Outcome
from buswalk.domain.record_reader import OutcomeCount
from buswalk.domain.statistics.outcome_table import Beside, Column, column_of, outcome_rows

NAMES = tuple(snake_case(one.__name__) for one in get_args(Outcome))
COUNTS = st.builds(
    lambda address, name, count, late: OutcomeCount(address, name, count, min(late, count)),
    st.integers(0, 5),
    st.sampled_from((*NAMES, "outcome_of_tomorrow")),
    st.integers(0, 3000),
    st.integers(0, 3000),
)


@settings(deadline=None, max_examples=100)
@given(st.lists(COUNTS, max_size=60))
def test_what_was_asked_is_the_sum_of_the_columns(counts: list[OutcomeCount]) -> None:
    rows = outcome_rows(counts, {})

    for row in rows:
        of_server = [one for one in counts if one.server_address == row.server_address]
        columns = (row.answered, row.refused, row.no_reply, row.damaged, row.short, row.late, sum(row.other.values()))
        assert row.asked == sum(columns) == sum(one.count for one in of_server)
        lost = [one for one in of_server if one.outcome not in ("normal_reply", "exception_reply")]
        assert row.late == sum(one.late_credited for one in lost)
        assert 0 <= row.not_clean <= row.trials <= row.asked
    assert [row.server_address for row in rows] == sorted({one.server_address for one in counts})
    assert sum(row.asked for row in rows) == sum(one.count for one in counts)


def test_each_outcome_has_the_column_of_the_page() -> None:
    """Other: wrong content, foreign reply, own echo only, damaged echo, not sent, to all, stopped."""
    of_columns = {name: column_of(name) for name in NAMES}

    assert {name for name, column in of_columns.items() if column is Column.OTHER} == {
        "foreign_reply",
        "unexpected_reply",
        "echo_only",
        "damaged_echo",
        "not_sent",
        "broadcast_sent",
        "stopped",
    }
    assert of_columns["corrupt_reply"] is Column.DAMAGED
    assert of_columns["short_reply"] is Column.SHORT


def test_a_late_reply_is_no_silence() -> None:
    (row,) = outcome_rows((OutcomeCount(5, "no_reply", 10, 3), OutcomeCount(5, "normal_reply", 90, 0)), {})

    assert (row.no_reply, row.late, row.not_clean, row.asked) == (7, 3, 10, 100)


def test_what_was_never_tried_is_no_trial() -> None:
    """Nobody waited for a stopped exchange, and a request that did not leave says nothing of a server."""
    counts = (
        OutcomeCount(5, "stopped", 1, 0),
        OutcomeCount(5, "not_sent", 2, 0),
        OutcomeCount(5, "normal_reply", 7, 0),
        OutcomeCount(5, "unexpected_reply", 1, 0),
    )

    (row,) = outcome_rows(counts, {})

    assert (row.asked, row.trials, row.not_clean) == (11, 8, 1)
    assert row.other == {"not_sent": 2, "stopped": 1, "unexpected_reply": 1}


def test_stray_bytes_make_an_answer_not_clean_once() -> None:
    counts = (OutcomeCount(5, "normal_reply", 10, 0), OutcomeCount(5, "corrupt_reply", 2, 0))

    (row,) = outcome_rows(counts, {5: Beside(stray=4, stray_but_clean=3, foreign=1)})

    assert (row.asked, row.not_clean) == (12, 5)


def test_counts_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="more late replies"):
        outcome_rows((OutcomeCount(5, "no_reply", 1, 2),), {})
    with pytest.raises(ValueError, match="more clean exchanges"):
        outcome_rows((OutcomeCount(5, "no_reply", 1, 0),), {5: Beside(stray=1, stray_but_clean=1)})
