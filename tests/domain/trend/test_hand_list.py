"""CSV of hand instruments: forms as loggers of several makes write them (common practice, no source)."""

from __future__ import annotations

import numpy as np
import pytest

from buswalk.domain.trend.hand_clock import placed_by_agreement, placed_by_its_clock
from buswalk.domain.trend.hand_list import BadHandList, HandList, read_hand_list
from buswalk.domain.trend.hand_times import TimeKind


def read(text: str) -> HandList:
    found = read_hand_list("log.csv", text.splitlines())
    assert isinstance(found, HandList), found
    return found


def troubles(text: str) -> tuple[str, ...]:
    found = read_hand_list("log.csv", text.splitlines())
    assert isinstance(found, BadHandList)
    return found.sentences


@pytest.mark.parametrize(
    "text",
    [
        "Time,T1 [°C]\n2025-03-31 14:05:30,21.5\n2025-03-31 14:05:31,21.6\n2025-03-31 14:05:33,-0.25\n",
        "Time;T1 [°C]\n31.03.2025 14:05:30;21,5\n31.03.2025 14:05:31;21,6\n31.03.2025 14:05:33;-0,25\n",
        "log no. 7\n\nDate;Time;T1 (°C)\n31.03.25;14:05:30;21,5\n31.03.25;14:05:31;21,6\n31.03.25;14:05:33;-0,25\n",
        "t\tT1 [°C]\n03/31/2025 02:05:30 PM\t21.5\n03/31/2025 02:05:31 PM\t21.6\n03/31/2025 02:05:33 PM\t−0.25\n",
        'Time,"T1 [°C]"\n31/03/2025 14:05:30,"21,5"\n31/03/2025 14:05:31,"21,6"\n31/03/2025 14:05:33,"-0,25"\n',
    ],
)
def test_the_same_log_in_five_forms_is_the_same(text: str) -> None:
    found = read(text)

    assert list(found.samples.numbers) == [21.5, 21.6, -0.25]
    assert list(np.diff(found.samples.times_s)) == [1, 2]
    # 2025-03-31 14:05:30 as seconds since 1970, without a zone: `date -u -d ... +%s`.
    assert found.samples.times_s[0] == 1743429930
    assert (found.name, found.unit) == ("T1", "°C")


def test_times_of_day_go_over_midnight() -> None:
    found = read("23:59:58;1\n23:59:59;2\n00:00:01;3\n")

    assert found.form.kind is TimeKind.TIME_OF_DAY
    assert list(np.diff(found.samples.times_s)) == [1, 2]


def test_seconds_since_the_start_are_taken() -> None:
    found = read("s;V\n0,0;1,5\n0,5;1,6\n1,0;1,7\n")

    assert found.form.kind is TimeKind.ELAPSED
    assert list(found.samples.times_s) == [0, 0.5, 1]


def test_a_logger_without_a_value_makes_a_gap() -> None:
    assert read("10:00:00;1\n10:00:01;---\n10:00:02;2\n").samples.missing == 1


def test_a_date_that_may_be_either_way_round_is_not_guessed() -> None:
    assert troubles("04/03/2025 10:00:00,1\n04/03/2025 10:00:01,2\n04/03/2025 10:00:02,3\n") == (
        "log.csv:1: 04/03/2025 may be day or month first: write the date with the year first, or with points",
    )


def test_every_bad_line_is_told_with_its_line() -> None:
    text = "t;v\n10:00:00;1,5\n10:00:01;abc\n10:00:01;1.234,5\n25:00:00;1,0\n10:00:02\n10:00:01;1,1\n10:00:05;1,2"

    told = troubles(text)

    assert [one.split(" ", 1)[0] for one in told] == ["log.csv:3:", "log.csv:4:", "log.csv:5:", "log.csv:6:"]
    assert "'abc' is no number with a decimal comma" in told[0]
    assert "'25:00:00' is no time of day" in told[2]
    assert "no value" in told[3]


def test_times_that_go_backward_are_told() -> None:
    assert troubles("10:00:00;1\n10:00:02;1\n10:00:01;1\n10:00:03;1") == (
        "log.csv:3: its time is not later than that of the line before",
    )


@pytest.mark.parametrize("text", ["", "hello\nworld\n", "10:00:00;1\n", "\x00\x01;;;;\n"])
def test_what_is_no_log_is_told_in_one_sentence(text: str) -> None:
    assert len(troubles(text)) == 1


def test_a_wrong_clock_is_found_by_agreement_and_stated() -> None:
    """The instrument's clock is 75 s ahead; both saw the same warming."""
    rng = np.random.default_rng(1)
    times = np.arange(1200.0)
    warm = 6 * -np.expm1(-np.maximum(times - 400, 0) / 60) - 6 * -np.expm1(-np.maximum(times - 700, 0) / 60)
    clock = [int(t) + 75 for t in times]
    rows = [f"2025-03-31 {10 + t // 3600:02}:{t % 3600 // 60:02}:{t % 60:02}" for t in clock]
    log = read("\n".join(f"{stamp};{value:.2f}" for stamp, value in zip(rows, 20 + warm, strict=True)))
    point_values = 21 + warm + rng.normal(0, 0.05, 1200)
    point = log.samples
    point = type(point)(times, point_values, point.codes)

    placed = placed_by_its_clock(log, "2025-03-31T10:00:00+02:00", 0.0)
    fitted = placed_by_agreement(placed, point)

    assert placed.samples.times_s[0] == 75
    assert abs(fitted.samples.times_s[0]) <= 1
    assert fitted.sentence.startswith("shifted 75 s earlier, ± 1 s")


def test_what_agrees_nowhere_is_not_shifted() -> None:
    rng = np.random.default_rng(1)
    log = read("\n".join(f"10:{i // 60:02}:{i % 60:02};{v:.3f}" for i, v in enumerate(rng.normal(size=600))))
    placed = placed_by_its_clock(log, "2025-03-31T10:00:00+02:00", 0.0)
    other = type(placed.samples)(np.arange(600.0), rng.normal(size=600), placed.samples.codes)

    assert placed_by_agreement(placed, other).sentence.startswith("not shifted")
