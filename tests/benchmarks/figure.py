"""One measured figure, beside a peer's where there is one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

JsonFigure: TypeAlias = dict[str, str | float | None]


@dataclass(frozen=True, slots=True)
class Figure:
    """A value with its unit; `more_is_better` says which way it points."""

    benchmark: str
    figure: str
    value: float
    unit: str
    peer: str | None = None
    peer_value: float | None = None
    more_is_better: bool = False

    @property
    def ratio(self) -> float | None:
        """Above 1 we are better than the peer, whichever way the figure points."""
        if self.peer_value is None or not self.value or not self.peer_value:
            return None
        return self.value / self.peer_value if self.more_is_better else self.peer_value / self.value

    def as_json(self) -> JsonFigure:
        """Return the object that is printed, one a line."""
        return {
            "benchmark": self.benchmark,
            "figure": self.figure,
            "value": self.value,
            "unit": self.unit,
            "peer": self.peer,
            "peer_value": self.peer_value,
            "ratio": self.ratio,
        }
