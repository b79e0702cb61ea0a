"""Which exchanges are meant: by device, kind, time, mark, job and setting. Empty is all; each part must hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.statistics.marked_spans import MarkedSpan

SEARCHES = frozenset(("search", "set address", "look for it"))
"""The names of the jobs that ask where nobody may be; a device that is moved is looked for too."""


class FaultKind(Enum):
    """Kinds of exchanges that can be asked for; the value is the outcome's name, if there is one of its own."""

    NO_REPLY = "no_reply"
    DAMAGED = "corrupt_reply"
    SHORT = "short_reply"
    LATE = "late"
    """Answered, but only after the wait had ended: no outcome of its own, and taken out of the other kinds."""
    WRONG_CONTENT = "unexpected_reply"
    FOREIGN_REPLY = "foreign_reply"
    ECHO_ONLY = "echo_only"
    DAMAGED_ECHO = "damaged_echo"
    STRAY = "stray"
    """With bytes before or behind its frame: may be of any outcome."""
    REFUSED = "exception_reply"
    """Clean: it proves that the link works. Shown only where it is asked for."""


@dataclass(frozen=True, slots=True)
class FaultFilter:
    """What is looked at.

    Attributes:
        addresses: Of these servers.
        kinds: Of any of these kinds; empty for all that was not clean. Shares are of all kinds: a list heeds this, a
            table does not.
        times: Sent within any of these.
        inside: Lying whole within any of these, such as marks.
        jobs: Of jobs of these names, such as watch.
        but_jobs: Of no job of these names; what was asked between jobs stays.
        settings: Asked in any of these.
    """

    addresses: frozenset[int] = frozenset()
    kinds: frozenset[FaultKind] = frozenset()
    times: tuple[MarkedSpan, ...] = ()
    inside: tuple[MarkedSpan, ...] = ()
    jobs: frozenset[str] = frozenset()
    settings: frozenset[SerialSettings] = frozenset()
    but_jobs: frozenset[str] = frozenset()

    @property
    def is_of_devices_only(self) -> bool:
        """Whether a table under it can be had from counts that were kept while writing."""
        return not (self.times or self.inside or self.jobs or self.settings or self.but_jobs)


ALL = FaultFilter()


def without_searches(wanted: FaultFilter, job_names: Iterable[str]) -> FaultFilter:
    """Return the filter that counts what devices are expected to answer: searches only where they are asked for.

    Nobody is expected at most of what a search asks, so that its silences are no fault of anybody.
    """
    searches = SEARCHES.intersection(job_names)
    return wanted if wanted.jobs or not searches else replace(wanted, but_jobs=searches)
