"""When something we sent was on the line, as far as can be known."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sent:
    """Computed times of one transmission of ours, in seconds of line time.

    The end of the last bit lies between `end_not_before_s` and `end_not_after_s`: the adapter may
    start late. On a port that spends no wire time all of it ends when the write returns.

    Raises:
        ValueError: The times are the wrong way round.
    """

    begin_s: float
    end_not_before_s: float
    end_not_after_s: float

    def __post_init__(self) -> None:
        if not self.begin_s <= self.end_not_before_s <= self.end_not_after_s:
            raise ValueError("a transmission begins before it ends")
