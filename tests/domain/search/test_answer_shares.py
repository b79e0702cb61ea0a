"""Turnarounds of one address fall into one group or into two."""

from __future__ import annotations

from random import Random

import pytest

from buswalk.domain.search.answer_shares import AnswerShares, turnaround_peaks_s


def test_two_devices_make_two_peaks() -> None:
    random = Random(3)
    answers = [random.uniform(0.010, 0.014) for _ in range(5)] + [random.uniform(0.045, 0.055) for _ in range(4)]

    peaks = turnaround_peaks_s(answers)

    assert list(peaks) == pytest.approx([0.012, 0.050], abs=0.005)


@pytest.mark.parametrize("seed", range(50))
def test_one_device_that_varies_by_a_fifth_makes_one(seed: int) -> None:
    random = Random(seed)

    assert len(turnaround_peaks_s([random.triangular(0.08, 0.12, 0.1) for _ in range(8)])) == 1


def test_a_single_late_answer_is_no_peak() -> None:
    assert len(turnaround_peaks_s([0.010, 0.011, 0.012, 0.090])) == 1


def test_nothing_whole_has_no_peak() -> None:
    assert turnaround_peaks_s([]) == ()


def test_eight_clean_answers_of_one_peak_are_of_one_device() -> None:
    assert AnswerShares(8, 8, 0, 0, (0.01,)).is_of_one
    assert not AnswerShares(8, 7, 1, 0, (0.01,)).is_of_one
    assert not AnswerShares(8, 8, 0, 1, (0.01,)).is_of_one
    assert not AnswerShares(8, 8, 0, 0, (0.01, 0.04)).is_of_one
