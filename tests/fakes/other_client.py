"""Another client on the simulated pair that waits for replies, tries again, and knows what it lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from random import Random

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.reference_codec.check_sum import closed, is_closed_right
from simulated_line.station import Appointment, Burst, Heard, Pair


@dataclass(frozen=True, slots=True)
class Habits:
    """How it asks.

    Attributes:
        bodies: Requests of a round, address and PDU.
        rest_s: From the end of one exchange to the next request.
        round_s: From one round to the next; 0 for without a pause.
        jitter_s: So much later each request comes at most.
        tries: How often an unanswered one is asked.
        until_s: Then it is switched off.
    """

    bodies: tuple[bytes, ...]
    rest_s: float = 0.05
    round_s: float = 2.0
    jitter_s: float = 0.0
    wait_s: float = 0.3
    tries: int = 1
    until_s: float = inf


class OtherClient:
    """Counts how its exchanges end. `is_on_from_s` lets it come in the midst."""

    name = "other client"
    is_powered = True

    def __init__(self, pair: Pair, settings: SerialSettings, habits: Habits, is_on_from_s: float = 0.0) -> None:
        self._pair = pair
        self.receiver_settings = settings
        self._habits = habits
        self._draw = Random(11)
        self._next = 0
        self._tried = 0
        self._round_from_s = is_on_from_s
        self._timeout: Appointment | None = None
        self.asked = self.answered = 0
        self.begun_s: list[float] = []
        pair.at(is_on_from_s + 0.02, self._ask)

    def heard(self, heard: Heard) -> None:
        """A right reply ends the wait; anything else does not."""
        body = self._habits.bodies[self._next]
        if self._timeout is None or not is_closed_right(heard.data) or heard.data[0] != body[0]:
            return
        if len(heard.data) == len(body) + 2 and heard.data[:-2] == body:
            return
        self._timeout.call_off()
        self._timeout = None
        self.answered += 1
        self._go_on()

    def _ask(self) -> None:
        if self._pair.now_s() >= self._habits.until_s:
            return
        burst = Burst(closed(self._habits.bodies[self._next]), self.receiver_settings)
        self.asked += 1
        self.begun_s.append(self._pair.now_s())
        self._pair.send(self, burst)
        wait_s = len(burst.data) * self.receiver_settings.character_s + self._habits.wait_s
        self._timeout = self._pair.at(self._pair.now_s() + wait_s, self._give_up)

    def _give_up(self) -> None:
        self._timeout = None
        self._tried += 1
        if self._tried < self._habits.tries:
            self._later(self._pair.now_s() + self._habits.rest_s, self._ask)
        else:
            self._go_on()

    def _go_on(self) -> None:
        self._tried = 0
        self._next = (self._next + 1) % len(self._habits.bodies)
        due_s = self._pair.now_s() + self._habits.rest_s
        if self._next == 0 and self._habits.round_s:
            self._round_from_s += self._habits.round_s
            due_s = max(due_s, self._round_from_s)
        self._later(due_s, self._ask)

    def _later(self, due_s: float, act: Callable[[], None]) -> None:
        self._pair.at(due_s + self._draw.uniform(0.0, self._habits.jitter_s), act)
