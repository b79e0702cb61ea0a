"""The analysis process: opens records read-only and answers queries, so that neither window nor line wait for it."""

from __future__ import annotations

import signal
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection

from buswalk.bus.queries import Calculation, Query
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.visit.recorder import RecordProblem


@dataclass(frozen=True, slots=True)
class Question:
    """A query on its way, to the record at `path`."""

    question_id: int
    path: str
    query: Query


@dataclass(frozen=True, slots=True)
class Task:
    """A calculation on its way."""

    question_id: int
    calculation: Calculation


@dataclass(frozen=True, slots=True)
class Answer:
    """What a query came to."""

    question_id: int
    value: object


@dataclass(frozen=True, slots=True)
class NoAnswer:
    """A query that cannot be answered, in one sentence."""

    question_id: int
    sentence: str


class Analysis:
    """Answers questions; keeps the reader of the record that was asked last."""

    def __init__(self, open_record: Callable[[str], RecordReader]) -> None:
        self._open_record = open_record
        self._path = ""
        self._reader: RecordReader | None = None

    def answer(self, question: Question) -> Answer | NoAnswer:
        """Answer one question. What fails once is tried on a reader opened anew the next time."""
        try:
            return Answer(question.question_id, question.query.answer(self._reader_of(question.path)))
        except RecordProblem as problem:
            self.close()
            return NoAnswer(question.question_id, problem.sentence)

    def _reader_of(self, path: str) -> RecordReader:
        if self._reader is None or path != self._path:
            self.close()
            self._reader = self._open_record(path)
            self._path = path
        return self._reader

    def close(self) -> None:
        """Give the record back."""
        if self._reader is not None:
            self._reader.close()
            self._reader = None


def worked_out(task: Task) -> Answer | NoAnswer:
    """Do one calculation."""
    try:
        return Answer(task.question_id, task.calculation.result())
    except RecordProblem as problem:
        return NoAnswer(task.question_id, problem.sentence)


def run_analysis_process(
    open_record: Callable[[str], RecordReader], questions: Connection, answers: Connection
) -> None:
    """Serve until the window is gone. Ctrl-C is for the window."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    analysis = Analysis(open_record)
    try:
        while True:
            question = questions.recv()
            if isinstance(question, Question):
                answers.send(analysis.answer(question))
            elif isinstance(question, Task):
                answers.send(worked_out(question))
    except (EOFError, OSError):
        analysis.close()
