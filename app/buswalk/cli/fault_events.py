"""What `faults` says to machines; `json_lines.md` has its keys."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from buswalk.domain.statistics.bunching import Between, Bunching
from buswalk.domain.statistics.claim import Claim, seconds_needed
from buswalk.domain.statistics.device_quality import DeviceQuality, RefusalCount
from buswalk.domain.statistics.fault_report import InsideTable
from buswalk.domain.statistics.limits import lower_limit, upper_limit
from buswalk.domain.statistics.outages import Outage
from buswalk.domain.statistics.retries import RetryLoss
from buswalk.domain.statistics.turnarounds import Turnarounds
from buswalk.domain.statistics.wilson import wilson_lower, wilson_upper


@dataclass(frozen=True, slots=True)
class OtherOutcome:
    """Outcomes that have no column of their own."""

    outcome: str
    count: int


@dataclass(frozen=True, slots=True)
class NotCleanShare:
    """Share of trials not clean, with its one-sided 95 % limits; all between nothing and everything without trials.

    Attributes:
        lower, upper: Exact. wilson_lower, wilson_upper: Wilson's.
    """

    not_clean: int
    trials: int
    lower: float
    upper: float
    wilson_lower: float
    wilson_upper: float


@dataclass(frozen=True, slots=True)
class DeviceFaults:
    """One server's row of the table, and its figures. The seven counts and `other` add up to `asked`."""

    server_address: int
    asked: int
    answered: int
    refused: int
    no_reply: int
    damaged: int
    short: int
    late: int
    other: tuple[OtherOutcome, ...]
    stray: int
    foreign: int
    share: NotCleanShare
    requests_per_second: float
    longest_outage: Outage
    bunching: Bunching
    between: Between
    retries: tuple[RetryLoss, ...]
    turnarounds: Turnarounds
    refusals: tuple[RefusalCount, ...]


@dataclass(frozen=True, slots=True)
class JobsLeftOut:
    """Exchanges of jobs of these names are not counted."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InsideMarks:
    """Inside and outside of the marked spans, of one server.

    Attributes:
        odds_ratio: None where it is infinite or cannot be said.
        chance: Of such a difference by chance alone: Fisher's exact test, two-sided.
    """

    server_address: int
    not_clean_inside: int
    inside: int
    not_clean_outside: int
    outside: int
    across: int
    odds_ratio: float | None
    chance: float


@dataclass(frozen=True, slots=True)
class ClaimChecked:
    """Whether the record proves that a server's share lies below a claimed one.

    Attributes:
        at_least: Exact lower limit of the share.
        more: So many further requests, all clean, would prove it.
        more_s: How long they take at the pace of this record; None where it has no pace.
    """

    server_address: int
    share: float
    not_clean: int
    trials: int
    at_least: float
    needed: int
    more: int
    more_s: float | None
    is_proved: bool
    is_refuted: bool


def device_faults(quality: DeviceQuality) -> DeviceFaults:
    """Return what is said of one server."""
    row = quality.row
    return DeviceFaults(
        row.server_address,
        row.asked,
        row.answered,
        row.refused,
        row.no_reply,
        row.damaged,
        row.short,
        row.late,
        tuple(OtherOutcome(name, count) for name, count in row.other.items()),
        row.beside.stray,
        row.beside.foreign,
        _share(row.not_clean, row.trials),
        quality.requests_per_second,
        quality.outage,
        quality.bunching,
        quality.between,
        quality.retries,
        quality.turnarounds,
        quality.refusals,
    )


def _share(seen: int, trials: int) -> NotCleanShare:
    if trials == 0:
        return NotCleanShare(0, 0, 0.0, 1.0, 0.0, 1.0)
    exact = lower_limit(seen, trials), upper_limit(seen, trials)
    return NotCleanShare(seen, trials, *exact, wilson_lower(seen, trials), wilson_upper(seen, trials))


def inside_marks(inside: InsideTable) -> InsideMarks:
    """Return what is said of marked spans."""
    table = inside.table
    return InsideMarks(
        inside.server_address,
        table.not_clean_inside,
        table.inside,
        table.not_clean_outside,
        table.outside,
        inside.across,
        table.odds_ratio if isfinite(table.odds_ratio) else None,
        table.chance,
    )


def claim_checked(claim: Claim, quality: DeviceQuality) -> ClaimChecked:
    """Return what is said of a claim."""
    pace = quality.requests_per_second
    at_least = lower_limit(claim.seen, claim.trials) if claim.trials else 0.0
    return ClaimChecked(
        quality.row.server_address,
        claim.share,
        claim.seen,
        claim.trials,
        at_least,
        claim.needed,
        claim.more,
        seconds_needed(claim.more, pace) if pace > 0.0 else None,
        claim.is_proved,
        at_least > claim.share,
    )
