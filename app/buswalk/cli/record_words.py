"""What a record holds, in words. Pure text."""

from __future__ import annotations

from buswalk.cli.find_words import duration_words, found_line, setting_words
from buswalk.cli.reply_words import count_words
from buswalk.domain.record_reader import (
    EndedInOrder,
    OutcomeCount,
    RecordedSession,
    RecordFacts,
    found_devices,
)
from buswalk.domain.search.events import AnswersEverywhere, Found, Unclear
from buswalk.domain.visit.marks import Mark

_OUTCOMES = {
    "normal_reply": "answered",
    "exception_reply": "refused",
    "no_reply": "no reply",
    "corrupt_reply": "damaged",
    "short_reply": "cut short",
    "foreign_reply": "foreign reply",
    "unexpected_reply": "wrong content",
    "echo_only": "own echo only",
    "damaged_echo": "damaged echo",
    "broadcast_sent": "to all",
    "not_sent": "not sent",
    "stopped": "stopped",
}
Findings = tuple[Found | Unclear | AnswersEverywhere, ...]


def shown_lines(
    facts: RecordFacts, findings: Findings, counts: tuple[OutcomeCount, ...], marks: tuple[Mark, ...]
) -> list[str]:
    """Return the record at a glance."""
    kind = "simulated line: no evidence" if facts.is_simulated else "real line"
    return [
        f"{facts.name}  ({kind})",
        f"{count_words(facts.exchanges, 'exchange')} in {count_words(len(facts.sessions), 'session')}",
        *(_session_line(one) for one in facts.sessions),
        *_found_lines(findings),
        *_count_lines(counts),
        *_mark_lines(facts, marks),
    ]


def checked_lines(exchanges: int, problems: tuple[str, ...]) -> list[str]:
    """Return what looking through a record found."""
    if not problems:
        return [f"whole: {count_words(exchanges, 'exchange')}, and everything in it agrees"]
    advice = "copy the file to a safe place; 'record export' writes what can still be read"
    return [*problems, advice]


def _session_line(one: RecordedSession) -> str:
    began = one.wall_time_at(0.0)
    match one.end:
        case EndedInOrder(at_s=0.0) if not one.exchanges:
            return f"  session {one.session}: {began:%Y-%m-%d %H:%M} nothing asked, as where marks are edited"
        case EndedInOrder(at_s):
            end = f"for {duration_words(at_s)}"
        case _:
            end = "still running, or ended by force"
    return f"  session {one.session}: {began:%Y-%m-%d %H:%M} {end}, {count_words(one.exchanges, 'exchange')}"


def _found_lines(findings: Findings) -> list[str]:
    devices = found_devices(findings)
    heading = [f"found: {count_words(len(devices), 'device')}"] if findings else []
    lines = [found_line(one) for one in devices]
    for one in findings:
        match one:
            case Unclear(address=address, settings=settings, sentence=sentence):
                lines.append(f"{address:4}  {setting_words(settings):16} {sentence}")
            case AnswersEverywhere(settings=settings):
                lines.append(f"  every address answers at {setting_words(settings)}")
            case Found():
                pass
    return [*heading, *lines]


def _count_lines(counts: tuple[OutcomeCount, ...]) -> list[str]:
    """Return one line an outcome, over all servers; a late reply is no silence."""
    lines = ["outcomes:"] if counts else []
    for outcome, words in _OUTCOMES.items():
        of_outcome = [one for one in counts if one.outcome == outcome]
        late = sum(one.late_credited for one in of_outcome)
        shown = sum(one.count_less_late for one in of_outcome)
        if shown or late:
            lines.append(f"  {shown:>7} {words}" + (f", and {late} more answered late" if late else ""))
    return lines


def _mark_lines(facts: RecordFacts, marks: tuple[Mark, ...]) -> list[str]:
    sessions = {one.session: one for one in facts.sessions}
    lines = ["marks:"] if marks else []
    for one in marks:
        session = sessions.get(one.session)
        at = f"{session.wall_time_at(one.start_s):%Y-%m-%d %H:%M:%S}" if session is not None else "time not known"
        lines.append(f"  {at} {one.words}")
    return lines
