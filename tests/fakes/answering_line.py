"""A line on which a function answers every request: for servers that misbehave as no simulated device does."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.line.sent import Sent
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

TURNAROUND_S = 0.02


def with_check_sum(body: bytes) -> bytes:
    """Append the CRC, computed bit by bit as in Serial Line V1.02, 6.2.2; low byte first."""
    register = 0xFFFF
    for byte in body:
        register ^= byte
        for _ in range(8):
            register = (register >> 1) ^ 0xA001 if register & 1 else register >> 1
    return body + register.to_bytes(2, "little")


class AnsweringLine(ReplayingLine):
    """Plays what `answer` returns for the address and PDU of each request, address first; silence if empty."""

    def __init__(
        self, clock: JumpingClock, answer: Callable[[int, bytes], bytes], turnaround_s: float = TURNAROUND_S
    ) -> None:
        super().__init__(clock)
        self._answer = answer
        self._turnaround_s = turnaround_s

    def write(self, data: bytes) -> Sent:
        """Take a request, and let its answer become due."""
        sent = super().write(data)
        body = self._answer(data[0], data[1:-2])
        if body:
            self.play(sent.end_not_after_s + self._turnaround_s, with_check_sum(body))
        return sent
