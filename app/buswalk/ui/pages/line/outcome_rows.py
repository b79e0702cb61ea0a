"""The outcome table in words: kind, count, share with its limit, how the strip shows it."""

from __future__ import annotations

from buswalk.domain.line.line_traits import Echo, LineTraits
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.line.outcome_counts import NO_TRIAL, Counts
from buswalk.ui.share_words import share_words
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, stamp

ALWAYS_SHOWN = (
    (OutcomeKind.ANSWERED, "Below the wire, full half-round."),
    (OutcomeKind.REFUSED, "An answer: exception with its code."),
    (OutcomeKind.NO_REPLY, "The wait ran out. Amber where one was due."),
    (OutcomeKind.LATE_REPLY, "After the wait; taken from no reply."),
    (OutcomeKind.DAMAGED, "Bytes came, CRC does not fit. Torn edge."),
    (OutcomeKind.CUT_SHORT, "Began well, ended too soon."),
    (OutcomeKind.WRONG_CONTENT, "CRC fits, but not what was asked."),
    (OutcomeKind.OWN_ECHO_ONLY, "Our request, heard back; nothing else."),
    (OutcomeKind.DAMAGED_ECHO, "Heard back changed: two sent at once."),
    (OutcomeKind.NOT_SENT, "The line never got quiet."),
    (OutcomeKind.TO_ALL, "Sent to every device at once."),
    (OutcomeKind.FOREIGN_REPLY, "Another's frame came in place of ours."),
    (OutcomeKind.FOREIGN_FRAME, "Heard between ours; counted beside."),
    (OutcomeKind.STRAY_BYTE, "Beside a frame that is itself good."),
)
SHOWN_WHEN_SEEN = (
    (OutcomeKind.STOPPED, "Stopped by you while waiting."),
    (OutcomeKind.SILENT_AS_EXPECTED, "Searched, and nobody is planned there."),
)
_ECHOES = (OutcomeKind.OWN_ECHO_ONLY, OutcomeKind.DAMAGED_ECHO)


def table_head(counts: Counts, *, has_asked: bool) -> str:
    """Return what stands over the kinds."""
    if counts.asked:
        return f"Last 60 s, {counted(counts.asked)} asked"
    if not counts.is_empty:
        return "Last 60 s, none asked"
    return "Nothing in the last 60 s" if has_asked else "Nothing asked yet"


def outcome_rows(counts: Counts, traits: LineTraits | None, wall_time: str) -> tuple[Row, ...]:
    """Return the rows; kinds that are rare by nature come only when there was one."""
    shown = [*ALWAYS_SHOWN, *(pair for pair in SHOWN_WHEN_SEEN if counts.by_kind[pair[0]])]
    return tuple(_row(kind, words, counts, traits, wall_time) for kind, words in shown)


def _row(kind: OutcomeKind, words: str, counts: Counts, traits: LineTraits | None, wall_time: str) -> Row:
    count = counts.by_kind[kind]
    share = _share(kind, counts, traits, wall_time)
    return (
        Cell(kind.word, Tone.INK, Weight.BOLD, kind),
        Cell(counted(count), Tone.INK if count else Tone.INK3, Weight.KEY),
        Cell(share, Tone.INK2),
        Cell(words, Tone.INK2),
    )


def _share(kind: OutcomeKind, counts: Counts, traits: LineTraits | None, wall_time: str) -> str:
    count = counts.by_kind[kind]
    if kind is OutcomeKind.ANSWERED:
        is_all = 0 < count == counts.trials
        return share_words(count, counts.trials) if is_all else ""
    if kind in _ECHOES and count == 0 and traits is not None and traits.echo is Echo.NOT_HEARD:
        return "adapter has none"
    if kind is OutcomeKind.TO_ALL:
        return "no reply due" if counts.asked else ""
    if kind in NO_TRIAL:
        return "not counted as a trial"
    if kind is OutcomeKind.FOREIGN_FRAME:
        first = counts.first_foreign_s
        return f"first at {stamp(wall_time, first)}" if first is not None and wall_time else ""
    if counts.trials == 0 or count > counts.trials:
        return ""
    return share_words(count, counts.trials)
