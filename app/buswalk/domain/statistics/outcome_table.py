"""The table of outcomes, one row a server, whose sums agree:

    asked = answered + refused + no reply + damaged + short + late + other

A late reply is taken out of the outcome that its exchange was recorded with, unless that was a clean one: what was
answered in time stays answered, and a second answer to it, as twins give, is no lateness. Stray bytes and foreign
frames are counted beside: an exchange that has them is in one of the columns as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum

from buswalk.domain.event_json import snake_case
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, ForeignFrame
from buswalk.domain.record_reader import OutcomeCount


class Column(Enum):
    """Columns whose sum is what was asked."""

    ANSWERED = "answered"
    REFUSED = "refused"
    NO_REPLY = "no_reply"
    DAMAGED = "damaged"
    SHORT = "short"
    LATE = "late"
    OTHER = "other"


_COLUMNS = {
    "normal_reply": Column.ANSWERED,
    "exception_reply": Column.REFUSED,
    "no_reply": Column.NO_REPLY,
    "corrupt_reply": Column.DAMAGED,
    "short_reply": Column.SHORT,
}
NEVER_TRIED = frozenset({"broadcast_sent", "not_sent", "stopped"})
"""Nobody was to answer, nothing left, or nobody waited: these say nothing of a server, and are no trials of it."""
CLEAN = frozenset({Column.ANSWERED, Column.REFUSED})
CLEAN_OUTCOMES = frozenset(name for name, column in _COLUMNS.items() if column in CLEAN)


def column_of(outcome: str) -> Column:
    """Return the column of an outcome, given as its class name in snake case; OTHER for one that is not known."""
    return _COLUMNS.get(outcome, Column.OTHER)


def outcome_name(exchange: Exchange) -> str:
    """Return the class name of its outcome in snake case, as counts and records have it."""
    return snake_case(type(exchange.outcome).__name__)


@dataclass(frozen=True, slots=True)
class Beside:
    """What is counted beside the outcomes.

    Attributes:
        stray: Exchanges with bytes before or behind the frame that decided them.
        stray_but_clean: Those of them that were answered or refused all the same.
        foreign: Exchanges with a whole frame of another address in them.
    """

    stray: int = 0
    stray_but_clean: int = 0
    foreign: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.stray_but_clean <= self.stray or self.foreign < 0:
            raise ValueError("what is clean but for stray bytes is among what has stray bytes")


NOTHING_BESIDE = Beside()


def has_stray(exchange: Exchange) -> bool:
    """Tell whether bytes came that were no part of its frame."""
    return any(isinstance(one, BytesBefore | BytesAfter) for one in exchange.observations)


def has_foreign_frame(exchange: Exchange) -> bool:
    """Tell whether another address was heard in it."""
    return any(isinstance(one, ForeignFrame) for one in exchange.observations)


@dataclass(frozen=True, slots=True)
class OutcomeRow:
    """One server's row.

    Attributes:
        other: Outcomes without a column, by name, those never tried included.
        beside: Counted beside the sum.
    """

    server_address: int
    answered: int = 0
    refused: int = 0
    no_reply: int = 0
    damaged: int = 0
    short: int = 0
    late: int = 0
    other: Mapping[str, int] = field(default_factory=dict)
    beside: Beside = NOTHING_BESIDE

    def __post_init__(self) -> None:
        counts = (self.answered, self.refused, self.no_reply, self.damaged, self.short, self.late)
        if min(*counts, *self.other.values()) < 0:
            raise ValueError(f"server {self.server_address}: more late replies than exchanges that can have them")
        if self.beside.stray_but_clean > self.answered + self.refused:
            raise ValueError(f"server {self.server_address}: more clean exchanges with stray bytes than clean ones")

    @property
    def asked(self) -> int:
        """The sum of all columns."""
        known = self.answered + self.refused + self.no_reply + self.damaged + self.short + self.late
        return known + sum(self.other.values())

    @property
    def trials(self) -> int:
        """Asked, less what was never tried: of these a share may be said."""
        return self.asked - sum(count for name, count in self.other.items() if name in NEVER_TRIED)

    @property
    def not_clean(self) -> int:
        """Trials neither answered nor refused in time, or with stray bytes; each counts once."""
        return self.trials - self.answered - self.refused + self.beside.stray_but_clean


def outcome_rows(counts: Iterable[OutcomeCount], beside: Mapping[int, Beside]) -> tuple[OutcomeRow, ...]:
    """Return the table by address, from counts of outcomes and of late replies credited.

    Raises:
        ValueError: Counts that cannot be, such as more late replies than exchanges.
    """
    by_server: dict[int, list[OutcomeCount]] = {}
    for one in counts:
        by_server.setdefault(one.server_address, []).append(one)
    return tuple(
        _row(address, by_server[address], beside.get(address, NOTHING_BESIDE)) for address in sorted(by_server)
    )


def _row(server_address: int, counts: list[OutcomeCount], beside: Beside) -> OutcomeRow:
    shown = dict.fromkeys(Column, 0)
    other: dict[str, int] = {}
    for one in counts:
        column = column_of(one.outcome)
        late = 0 if column in CLEAN else one.late_credited
        shown[Column.LATE] += late
        shown[column] += one.count - late
        if column is Column.OTHER:
            other[one.outcome] = other.get(one.outcome, 0) + one.count - late
    return OutcomeRow(
        server_address,
        shown[Column.ANSWERED],
        shown[Column.REFUSED],
        shown[Column.NO_REPLY],
        shown[Column.DAMAGED],
        shown[Column.SHORT],
        shown[Column.LATE],
        {name: count for name, count in sorted(other.items()) if count},
        beside,
    )
