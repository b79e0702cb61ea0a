"""What retries leave over: as it would be if losses came independently, and as it was in this record.

'As it was' means so many requests in a row, of those that the record has. Real retries follow each other more quickly
than the requests of a watch do: where losses come in short bunches, they help less than is measured here.
"""

from __future__ import annotations

from dataclasses import dataclass

MOST_RETRIES = 3


@dataclass(frozen=True, slots=True)
class RetryLoss:
    """What is lost although each request is sent again up to `retries` times.

    Attributes:
        if_independent: The share of one loss to the power of all sendings.
        lost: So many times `retries` + 1 requests in a row were lost, of `windows` such rows (they overlap).
    """

    retries: int
    if_independent: float
    lost: int
    windows: int

    @property
    def as_measured(self) -> float:
        """The share of rows that were lost; 0 without any row."""
        return self.lost / self.windows if self.windows else 0.0


class RetryCounter:
    """Takes losses and answers of one server in order."""

    def __init__(self) -> None:
        self._trials = self._lost_trials = 0
        self._in_a_row = self._since_cut = 0
        self._cut_short = [0] * (MOST_RETRIES + 1)
        self._lost = [0] * (MOST_RETRIES + 1)

    def take(self, *, is_lost: bool) -> None:
        """Take the next one."""
        self._trials += 1
        self._since_cut += 1
        self._in_a_row = self._in_a_row + 1 if is_lost else 0
        self._lost_trials += is_lost
        # Few are lost, and few follow a cut closely: only these make the loops.
        for retries in range(self._since_cut, MOST_RETRIES + 1):
            self._cut_short[retries] += 1
        for retries in range(min(self._in_a_row, MOST_RETRIES + 1)):
            self._lost[retries] += 1

    def cut(self) -> None:
        """Say that the next one does not follow the last."""
        self._in_a_row = self._since_cut = 0

    def losses(self) -> tuple[RetryLoss, ...]:
        """Return the losses without a retry, with one, and so on; none without a trial."""
        if self._trials == 0:
            return ()
        share = self._lost_trials / self._trials
        return tuple(
            RetryLoss(retries, share ** (retries + 1), self._lost[retries], self._trials - self._cut_short[retries])
            for retries in range(MOST_RETRIES + 1)
        )
