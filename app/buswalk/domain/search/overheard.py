"""Who asks whom on a line that is only listened to: requests and replies of another client, paired and counted."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.modbus.adu import EXCEPTION_BIT
from buswalk.domain.modbus.frame_splitter import Frame, FrameSplitter, Role

MOST_REQUESTS = 200
"""So many different requests are told apart; another client has a round, and noise that passes a CRC is rare."""
ROUND_OPEN_S = 5.0
"""A reply that comes later is not counted as the answer to a request overheard."""


@dataclass(frozen=True, slots=True)
class OverheardRequest:
    """One request that another client repeats.

    Attributes:
        pdu: As sent, without address and CRC.
        period_s: Mean time from one to the next; 0 while it was heard once.
        answered, refused: Of `asked`; a refusal is an answer too and counted in both.
    """

    server_address: int
    pdu: bytes
    asked: int
    answered: int
    refused: int
    period_s: float

    @property
    def function_code(self) -> int:
        """What it asks for."""
        return self.pdu[0]


@dataclass(slots=True)
class _Heard:
    first_s: float
    last_s: float
    asked: int = 0
    answered: int = 0
    refused: int = 0


@dataclass(frozen=True, slots=True)
class _Open:
    key: tuple[int, bytes]
    at_s: float


@dataclass(slots=True)
class Overheard:
    """Takes what arrives while nobody here asks."""

    byte_count: int = 0
    _splitter: FrameSplitter = field(default_factory=FrameSplitter)
    _heard: dict[tuple[int, bytes], _Heard] = field(default_factory=dict)
    _open: _Open | None = None

    def take(self, arrival: Arrival) -> None:
        """Take bytes as they came."""
        self.byte_count += len(arrival.data)
        for piece in self._splitter.feed(arrival.data):
            if isinstance(piece, Frame):
                self._frame(piece, arrival.not_after_s)

    @property
    def requests(self) -> tuple[OverheardRequest, ...]:
        """What is asked, by address, then by what comes first in the round."""
        rows = sorted(self._heard.items(), key=lambda item: (item[0][0], item[1].first_s))
        return tuple(
            OverheardRequest(address, pdu, one.asked, one.answered, one.refused, _period_s(one))
            for (address, pdu), one in rows
        )

    @property
    def round_s(self) -> float:
        """How often the whole round comes: the longest period of what was heard twice; 0 while nothing was."""
        return max((_period_s(one) for one in self._heard.values()), default=0.0)

    def _frame(self, frame: Frame, at_s: float) -> None:
        open_now = self._open
        if open_now is not None and self._answers(frame, open_now, at_s):
            heard = self._heard[open_now.key]
            heard.answered += 1
            heard.refused += bool(frame.function_code & EXCEPTION_BIT)
            self._open = None
        elif Role.REQUEST in frame.role:
            self._asked((frame.server_address, frame.adu[1:-2]), at_s)

    def _answers(self, frame: Frame, asked: _Open, at_s: float) -> bool:
        address, pdu = asked.key
        is_same = frame.server_address == address and frame.function_code & ~EXCEPTION_BIT == pdu[0]
        return is_same and Role.REPLY in frame.role and at_s - asked.at_s <= ROUND_OPEN_S

    def _asked(self, key: tuple[int, bytes], at_s: float) -> None:
        if key not in self._heard and len(self._heard) >= MOST_REQUESTS:
            return
        heard = self._heard.setdefault(key, _Heard(at_s, at_s))
        heard.asked += 1
        heard.last_s = at_s
        self._open = _Open(key, at_s)


def _period_s(one: _Heard) -> float:
    return (one.last_s - one.first_s) / (one.asked - 1) if one.asked > 1 else 0.0
