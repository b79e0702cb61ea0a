"""The filter line: which exchanges are looked at, by device, kind, time, mark, job and setting. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.bus.fault_queries import VisitSummary
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.record_reader import EndedInOrder, RecordedSession
from buswalk.domain.statistics.fault_filter import SEARCHES, FaultFilter, FaultKind, without_searches
from buswalk.domain.statistics.mark_contrast import outside_of
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.marks import Mark, mark_span
from buswalk.domain.visit.record_time import said_between
from buswalk.domain.visit.session_events import MarkSource
from buswalk.ui.pages.faults.faults_state import FilterChoice, TypedTimes
from buswalk.ui.pages.faults.kind_words import OF_FILTER

RECENT_S = {"last 10 min": 600.0, "last hour": 3600.0, "last 24 h": 86_400.0}
AROUND_S = 300.0
NAME_LETTERS = 22
"""So many letters of a name stand in a choice; the table has it whole."""


@dataclass(frozen=True, slots=True)
class Recent:
    """The last so many seconds of the record."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Typed:
    """Between two times as people write them; an empty one leaves its side open."""

    from_text: str = ""
    to_text: str = ""

    @property
    def words(self) -> str:
        """For the list of times."""
        if not (self.from_text or self.to_text):
            return "from … to …"
        return f"{self.from_text or 'the beginning'} to {self.to_text or 'the end'}"


@dataclass(frozen=True, slots=True)
class InSession:
    """One session."""

    session: int


@dataclass(frozen=True, slots=True)
class Around:
    """Some minutes around a moment."""

    session: int
    at_s: float


@dataclass(frozen=True, slots=True)
class ByMark:
    """Inside, or outside, of a mark; `row` names it."""

    row: int
    is_inside: bool


@dataclass(frozen=True, slots=True)
class ButSearches:
    """Every job but searches: nobody is expected at most of what these ask."""


@dataclass(frozen=True, slots=True)
class EveryJob:
    """All jobs, and what was asked between them."""


Value: TypeAlias = (
    int
    | FaultKind
    | Recent
    | Typed
    | InSession
    | Around
    | ByMark
    | ButSearches
    | EveryJob
    | str
    | SerialSettings
    | None
)
DEVICE, KIND, TIME, MARK, JOB, SETTING = range(6)
NAMES = ("device", "kind", "time", "mark", "job", "setting")


class FilterDesk:
    """Keeps what was chosen by its meaning, so that lists may grow."""

    def __init__(self) -> None:
        self._chosen: list[Value] = [None] * len(NAMES)
        self._typed = Typed()
        self._typed_told = ""
        self._offered: list[tuple[tuple[Value, str], ...]] = [((None, f"any {one}"),) for one in NAMES]

    def forget(self) -> None:
        """Let everything through: another record."""
        self._typed, self._typed_told = Typed(), ""
        self._chosen = [None] * len(NAMES)

    def choose(self, place: int, index: int) -> None:
        """Choose another word of one choice."""
        if 0 <= index < len(self._offered[place]):
            self._chosen[place] = self._offered[place][index][0]

    def choose_around(self, session: int, at_s: float) -> None:
        """Look at some minutes around a moment."""
        self._chosen[TIME] = Around(session, at_s)

    def type_times(self, from_text: str, to_text: str, summary: VisitSummary) -> None:
        """Look between two times; what is none is said, and what was looked at stays."""
        typed = Typed(from_text.strip(), to_text.strip())
        try:
            said_between(typed.from_text, typed.to_text, summary.facts.sessions)
        except ValueError as reason:
            self._typed_told = f"{str(reason)[:1].upper()}{str(reason)[1:]}."
            return
        self._typed, self._typed_told = typed, ""
        self._chosen[TIME] = typed

    @property
    def typed(self) -> TypedTimes | None:
        """The two entries; None where other times were chosen."""
        if not isinstance(self._chosen[TIME], Typed):
            return None
        return TypedTimes(self._typed.from_text, self._typed.to_text, self._typed_told)

    @property
    def is_filtered(self) -> bool:
        """Whether anything is left out by choice."""
        return any(one is not None for one in self._chosen)

    @property
    def device(self) -> int:
        """The chosen device; 0 for all."""
        chosen = self._chosen[DEVICE]
        return chosen if isinstance(chosen, int) else 0

    def offer(self, summary: VisitSummary, addresses: Sequence[int], names: dict[int, str]) -> None:
        """Offer what is in a record; what was chosen and is not in it any more is let go."""
        marks = [one for one in summary.marks if not one.is_moment and one.source is not MarkSource.PROGRAM]
        jobs = sorted(set(summary.job_names.values()))
        has_search = bool(SEARCHES.intersection(jobs))
        any_job = "all but searches" if has_search else "any job"
        self._offered = [
            ((None, "any device"), *((one, _device_words(one, names)) for one in addresses)),
            ((None, "any kind"), *((one, kind.word) for one, kind in OF_FILTER.items())),
            ((None, "any time"), *self._times(summary)),
            ((None, "any mark"), *_mark_choices(marks)),
            (
                (None, any_job),
                *(((EveryJob(), "searches too"),) if has_search else ()),
                *((one, one) for one in jobs),
            ),
            ((None, "any setting"), *((one, str(one)) for one in summary.settings)),
        ]
        for place, offered in enumerate(self._offered):
            if self._chosen[place] not in [value for value, _ in offered]:
                self._chosen[place] = None

    def _times(self, summary: VisitSummary) -> list[tuple[Value, str]]:
        times: list[tuple[Value, str]] = [(Recent(seconds), words) for words, seconds in RECENT_S.items()]
        times.append((self._typed, self._typed.words))
        around = self._chosen[TIME]
        if isinstance(around, Around):
            times.append((around, "10 min around it"))
        sessions = [one for one in summary.facts.sessions if one.exchanges]
        if len(sessions) > 1:
            times += [(InSession(one.session), _session_words(one)) for one in sessions]
        return times

    def choices(self) -> tuple[FilterChoice, ...]:
        """Return the line."""
        return tuple(
            FilterChoice(name, tuple(words for _, words in offered), [value for value, _ in offered].index(chosen))
            for name, offered, chosen in zip(NAMES, self._offered, self._chosen, strict=True)
        )

    def wanted(self, summary: VisitSummary, last_s: float) -> FaultFilter:
        """Return the filter; `last_s` is the latest line time of the last session."""
        device, kind, _, _, _, setting = self._chosen
        filtered = FaultFilter(
            addresses=frozenset([device]) if isinstance(device, int) else frozenset(),
            kinds=frozenset([kind]) if isinstance(kind, FaultKind) else frozenset(),
            times=self._spans(summary, last_s),
            inside=self._inside(summary),
            jobs=self._jobs(),
            settings=frozenset([setting]) if isinstance(setting, SerialSettings) else frozenset(),
        )
        if isinstance(self._chosen[JOB], EveryJob):
            return filtered
        return without_searches(filtered, summary.job_names.values())

    def _spans(self, summary: VisitSummary, last_s: float) -> tuple[MarkedSpan, ...]:
        match self._chosen[TIME]:
            case Recent(seconds):
                sessions = [one.session for one in summary.facts.sessions if one.exchanges]
                return (MarkedSpan(sessions[-1], max(0.0, last_s - seconds)),) if sessions else ()
            case Typed(from_text, to_text) if from_text or to_text:
                return said_between(from_text, to_text, summary.facts.sessions)
            case InSession(session):
                return (MarkedSpan(session, 0.0),)
            case Around(session, at_s):
                return (MarkedSpan(session, max(0.0, at_s - AROUND_S), at_s + AROUND_S),)
            case _:
                return ()

    def _inside(self, summary: VisitSummary) -> tuple[MarkedSpan, ...]:
        chosen = self._chosen[MARK]
        if not isinstance(chosen, ByMark):
            return ()
        span = next((mark_span(one) for one in summary.marks if one.row == chosen.row), None)
        if span is None:
            return ()
        return (span,) if chosen.is_inside else outside_of(span, [one.session for one in summary.facts.sessions])

    def _jobs(self) -> frozenset[str]:
        chosen = self._chosen[JOB]
        return frozenset([chosen]) if isinstance(chosen, str) else frozenset()


def _device_words(server_address: int, names: dict[int, str]) -> str:
    name = names.get(server_address, "")
    short = name if len(name) <= NAME_LETTERS else f"{name[: NAME_LETTERS - 1]}…"
    return f"{server_address} {short}".rstrip()


def _mark_choices(marks: Sequence[Mark]) -> list[tuple[Value, str]]:
    choices: list[tuple[Value, str]] = []
    for one in marks:
        words = one.words if len(one.words) <= NAME_LETTERS else f"{one.words[: NAME_LETTERS - 1]}…"
        choices += [
            (ByMark(one.row, is_inside=True), f"in {words}"),
            (ByMark(one.row, is_inside=False), f"out of {words}"),
        ]
    return choices


def _session_words(session: RecordedSession) -> str:
    end = session.end
    began = session.wall_time_at(0.0)
    until = f" to {session.wall_time_at(end.at_s):%H:%M}" if isinstance(end, EndedInOrder) else ""
    return f"{began:%d %b %H:%M}{until}"
