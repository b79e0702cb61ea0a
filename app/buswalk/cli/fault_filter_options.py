"""Options of `faults` that say which exchanges of a record are meant, and the marks that spans are named by."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from dataclasses import dataclass

from buswalk.cli.options import addresses_of, settings_list
from buswalk.cli.parts import WrongUse
from buswalk.domain.record_reader import RecordedSession, RecordReader
from buswalk.domain.statistics.fault_filter import FaultFilter, FaultKind, without_searches
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.marks import Mark, current_marks, mark_span
from buswalk.domain.visit.record_time import said_between
from buswalk.domain.visit.session_events import JobStarted

KINDS = {one.name.lower().replace("_", "-"): one for one in FaultKind}
_SPAN = re.compile(r"([0-9]{1,6})(?:(-)([0-9]{0,6}))?")
_JOB = re.compile(r"[a-z][a-z _-]{0,30}")


@dataclass(frozen=True, slots=True)
class Looked:
    """What a record is looked at by.

    Attributes:
        spans: Marked spans to be told apart from the rest.
        used: Marks that spans were named by, in the order of their numbers.
    """

    wanted: FaultFilter
    spans: tuple[MarkedSpan, ...]
    used: tuple[Mark, ...]


def add_filter_options(parser: argparse.ArgumentParser) -> None:
    """Add them; none means all."""
    group = parser.add_argument_group("which exchanges of a record")
    group.add_argument("--kind", default="", metavar="KINDS", help=f"list these only: {', '.join(KINDS)}")
    group.add_argument(
        "--from", dest="from_time", default="", metavar="TIME", help="sent from then on: 08:14:10, or a day"
    )
    group.add_argument("--to", dest="to_time", default="", metavar="TIME", help="sent until then; a day to its end")
    group.add_argument("--job", default="", metavar="JOBS", help="of jobs of these names, such as watch,search")
    group.add_argument(
        "--searches",
        action="store_true",
        help="count searches too: nobody is expected at most of what they ask, so that they are left out else",
    )
    group.add_argument("--settings", default="", metavar="SETTINGS", help="asked in these: '9600 8E1,19200 8N2'")
    group.add_argument("--within", default="", metavar="MARKS", help="lying within these marks, such as 3,5")
    group.add_argument(
        "--inside",
        default="",
        metavar="MARKS",
        help="count inside and outside of these marks: 3,5; 1-2 is from the start of mark 1 to that of mark 2",
    )


def has_filter(arguments: argparse.Namespace) -> bool:
    """Tell whether any of them is given."""
    given = (arguments.kind, arguments.from_time, arguments.to_time, arguments.job, arguments.settings)
    return any((*given, arguments.within, arguments.inside, arguments.searches))


def looked_by(arguments: argparse.Namespace, reader: RecordReader) -> Looked:
    """Return what they say of this record.

    Raises:
        WrongUse: No such kind, time, job, setting or mark.
    """
    sessions = reader.facts().sessions
    names_marks = arguments.inside or arguments.within
    marks = {one.number: one for one in current_marks(reader.marks())} if names_marks else {}
    inside, within = _spans("--inside", arguments.inside, marks), _spans("--within", arguments.within, marks)
    wanted = FaultFilter(
        addresses=frozenset(addresses_of("--address", arguments.address)) if arguments.address else frozenset(),
        kinds=_kinds(arguments.kind),
        times=_times(arguments.from_time, arguments.to_time, sessions),
        inside=tuple(span for span, _ in within),
        jobs=_jobs(arguments.job),
        settings=frozenset(settings_list(arguments.settings)) if arguments.settings else frozenset(),
    )
    if not arguments.searches:
        wanted = without_searches(wanted, _job_names(reader))
    used = {one.number: one for _, of_span in (*inside, *within) for one in of_span}
    return Looked(wanted, tuple(span for span, _ in inside), tuple(used[number] for number in sorted(used)))


def _job_names(reader: RecordReader) -> set[str]:
    return {one.event.name for one in reader.events_of((JobStarted,)) if isinstance(one.event, JobStarted)}


def endless_words(mark: Mark) -> str:
    """Return what is said of a mark without end; empty of one that has it."""
    if isinstance(mark.end, EndsAt):
        return ""
    if mark.is_moment:
        return (
            f"mark {mark.number} '{mark.words}' is a moment, and nothing lies inside of it: give it an end with "
            f"'record marks --edit {mark.number} --to TIME', or write {mark.number}- for all that follows"
        )
    return f"mark {mark.number} '{mark.words}' has no end: it is taken to last to the end of its session"


def _kinds(text: str) -> frozenset[FaultKind]:
    words = [one.strip().lower() for one in text.split(",")] if text else []
    for one in words:
        if one not in KINDS:
            raise WrongUse(f"--kind '{one}' cannot be: write {', '.join(KINDS)}")
    return frozenset(KINDS[one] for one in words)


def _jobs(text: str) -> frozenset[str]:
    names = [one.strip().lower() for one in text.split(",")] if text else []
    for one in names:
        if not _JOB.fullmatch(one):
            raise WrongUse(f"--job '{one}' cannot be: write names of jobs, such as watch,search,listen,ping,ask")
    return frozenset(names)


def _times(from_text: str, to_text: str, sessions: tuple[RecordedSession, ...]) -> tuple[MarkedSpan, ...]:
    if not from_text and not to_text:
        return ()
    try:
        return said_between(from_text, to_text, sessions)
    except ValueError as reason:
        raise WrongUse(f"--from and --to: {reason}") from reason


def _spans(option: str, text: str, marks: Mapping[int, Mark]) -> list[tuple[MarkedSpan, tuple[Mark, ...]]]:
    return [_span(option, part.strip(), marks) for part in text.split(",")] if text else []


def _span(option: str, part: str, marks: Mapping[int, Mark]) -> tuple[MarkedSpan, tuple[Mark, ...]]:
    """Return a span, and the marks whose ends it goes by."""
    matched = _SPAN.fullmatch(part)
    if matched is None:
        raise WrongUse(f"{option} '{part}' cannot be: write numbers of marks, such as 3 or 1-2")
    first, last = int(matched.group(1)), int(matched.group(3) or 0)
    for number in (first, last) if last else (first,):
        if number not in marks:
            raise WrongUse(f"there is no mark {number} in this record: 'record marks' lists them")
    begin = marks[first]
    if not last:
        return (MarkedSpan(begin.session, begin.start_s), ()) if matched.group(2) else (mark_span(begin), (begin,))
    end = marks[last]
    if end.session != begin.session or end.start_s < begin.start_s:
        raise WrongUse(f"{option} {first}-{last} cannot be: both marks lie in one session, the earlier one first")
    return MarkedSpan(begin.session, begin.start_s, end.start_s), ()
