"""The window's side of the analysis process: asks, and hands answers over in the window's own thread."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

from buswalk.bus.analysis_process import Answer, NoAnswer, Question, Task
from buswalk.bus.bus_link import LinkTold
from buswalk.bus.kept_process import MOST_RESTARTS, KeptProcess, RunsProcess
from buswalk.bus.queries import Calculation, Query

STARTED_AGAIN = "the part of buswalk that reads the record ended unexpectedly and was started again: ask again"
GIVEN_UP = (
    f"the part of buswalk that reads the record ended more than {MOST_RESTARTS} times within a minute and is not "
    "started again; the line and the recording go on: close buswalk and start it anew to read the record"
)


@dataclass(frozen=True, slots=True)
class _Asked:
    take: Callable[[object], None]
    refused: Callable[[str], None]


class AnalysisLink:
    """Owns the analysis process, once it is started. Answers wait until `deliver` is called."""

    def __init__(self, run: RunsProcess, on_told: Callable[[LinkTold], None], now_s: Callable[[], float]) -> None:
        self._on_told = on_told
        self._ids = count(1)
        self._asked: dict[int, _Asked] = {}
        self._answers: queue.SimpleQueue[Answer | NoAnswer] = queue.SimpleQueue()
        self._run = run
        self._now_s = now_s
        self._process: KeptProcess | None = None

    def start(self) -> KeptProcess:
        """Start the process if it does not run yet; the first question does so too."""
        if self._process is None:
            self._process = KeptProcess(self._run, 1, self._take, self._has_died, self._now_s)
        return self._process

    @property
    def process_id(self) -> int:
        """Of the process that runs now."""
        return self.start().process_id

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Ask the record at `path`; `take` gets the answer, or `refused` one sentence, out of `deliver`."""
        question_id = next(self._ids)
        self._asked[question_id] = _Asked(take, refused)
        self.start().send(0, Question(question_id, path, query))

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        """Have something worked out; `take` gets the result, or `refused` one sentence, out of `deliver`.

        Its values may be more than a pipe holds while the process is still busy: a thread waits for that, not we.
        """
        question_id = next(self._ids)
        self._asked[question_id] = _Asked(take, refused)
        process = self.start()
        threading.Thread(target=process.send, args=(0, Task(question_id, calculation)), daemon=True).start()

    def deliver(self) -> None:
        """Hand over the answers that have come. Never waits."""
        while not self._answers.empty():
            answer = self._answers.get()
            asked = self._asked.pop(answer.question_id, None)
            match answer:
                case _ if asked is None:
                    continue
                case Answer(value=value):
                    asked.take(value)
                case NoAnswer(sentence=sentence):
                    asked.refused(sentence)

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.close()

    def _take(self, message: object) -> None:
        if isinstance(message, Answer | NoAnswer):
            self._answers.put(message)

    def _has_died(self, is_again: bool) -> None:
        sentence = STARTED_AGAIN if is_again else GIVEN_UP
        for question_id in tuple(self._asked):
            self._answers.put(NoAnswer(question_id, sentence))
        self._on_told(LinkTold(sentence, is_running=is_again))
