"""What is handed to the analysis process to work out comes back; no record is opened for it."""

from __future__ import annotations

import time
from dataclasses import dataclass

from buswalk.bus.analysis_link import AnalysisLink
from buswalk.bus.analysis_process import NoAnswer, Task, worked_out
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.processes import analysis_process

WITHIN_S = 30.0
AT_ONCE_S = 0.5
"""Pickling 200 000 numbers in a thread beside; a full pipe would take until the other process has begun."""


@dataclass(frozen=True)
class Doubled:
    values: tuple[float, ...]

    def result(self) -> tuple[float, ...]:
        return tuple(2 * one for one in self.values)


@dataclass(frozen=True)
class Refuses:
    def result(self) -> object:
        raise RecordProblem("the disk is full")


def test_what_cannot_be_done_comes_back_as_a_sentence() -> None:
    assert worked_out(Task(3, Refuses())) == NoAnswer(3, "the disk is full")


def test_a_calculation_crosses_to_the_other_process_and_back() -> None:
    """More than a pipe holds at once, and the window does not wait for it to be taken."""
    link = AnalysisLink(analysis_process(), lambda _told: None, time.monotonic)
    came: list[object] = []
    try:
        link.start()
        began_s = time.monotonic()
        link.calculate(Doubled(tuple(float(i) for i in range(200_000))), came.append, came.append)
        asked_s = time.monotonic() - began_s
        while not came and time.monotonic() - began_s < WITHIN_S:
            link.deliver()
            time.sleep(0.01)
    finally:
        link.close()

    assert came == [tuple(2.0 * i for i in range(200_000))]
    assert asked_s < AT_ONCE_S
