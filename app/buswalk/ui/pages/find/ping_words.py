"""A ping in words: result, history, counts with their limits. No Qt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.found_words import setting_words
from buswalk.ui.pages.find.ping_history import SPAN_S, PingHistory, PingSeen
from buswalk.ui.pages.find.ping_state import (
    Counted,
    CountsState,
    HistoryMark,
    HistoryState,
    ResultState,
    Slot,
    SoundState,
    ToneLine,
)
from buswalk.ui.share_words import percent_seen, share_words
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.wording import counted, seconds_words, stamp

ROWS_AT_SPEED = 6
LIMITS = "share, and up to how much it may be: exact, one-sided, 95 %"
_ANSWERS = (OutcomeKind.ANSWERED, OutcomeKind.REFUSED)
STEPS = (
    ("Look at its supply light", "Is it on, and does its receive light blink with each request?"),
    ("Press each terminal", "Mark it here with Ctrl+M: the history keeps the place."),
    ("Wiggle the wires, one at a time", "From near to far; the result follows at once."),
)
TONES = (
    ToneLine(OutcomeKind.ANSWERED, "answered: 880 Hz, short"),
    ToneLine(OutcomeKind.NO_REPLY, "no reply: 440 Hz, short"),
    ToneLine(OutcomeKind.DAMAGED, "damaged: 220 Hz, twice"),
)


def result_state(
    address: int,
    about: str,
    planned: PlannedDevice | None,
    history: PingHistory,
    wall_time: str,
    now_s: float,
) -> ResultState:
    """Return the last exchange in large letters."""
    name = planned.name if planned is not None else ""
    last = history.last
    if last is None:
        return ResultState(str(address), name, about, None, 0, "not asked", "Nothing was asked yet.", Tone.INK3)
    return ResultState(
        address=str(address),
        name=name,
        about=about,
        kind=last.kind,
        exception_code=last.exception_code,
        word=last.kind.word,
        note=" · ".join(_note_parts(last, history, wall_time, now_s)),
        tone=Tone.INK if last.kind is OutcomeKind.ANSWERED else tone_of(last.kind),
    )


def _note_parts(last: PingSeen, history: PingHistory, wall_time: str, now_s: float) -> list[str]:
    parts = [last.turnaround or last.waited] if last.turnaround or last.waited else []
    if last.exception_code:
        parts.insert(0, f"code {last.exception_code}")
    when = stamp(wall_time, last.at_s)
    parts += [when] if when else []
    answer = history.last_answer
    if answer is None:
        parts.append("no answer yet")
    elif answer is not last:
        ago = seconds_words(round(max(now_s - answer.at_s, 0.0), 1))
        parts.append(f"last answer {ago} ago" + (f", in {answer.turnaround}" if answer.turnaround else ""))
    return parts


def about_words(settings: SerialSettings, planned: PlannedDevice | None, *, is_found: bool) -> str:
    """Return where and how a device is asked."""
    words = setting_words(settings)
    if planned is None:
        return f"{words} · {'found, not in plan' if is_found else 'not in plan'}"
    return f"{words} · planned here, place {planned.place} on the cable"


def history_state(history: PingHistory, a_second: float, now_s: float) -> HistoryState:
    """Return the last minute in slots."""
    rows = 1 if a_second <= 1.0 else ROWS_AT_SPEED
    seconds_a_row = SPAN_S / rows
    slots_a_row = round(seconds_a_row * a_second)
    now_slot = int(now_s * a_second)
    slots = tuple(
        Slot(now_slot - int(one.at_s * a_second), one.kind, one.exception_code) for one in history.last_minute
    )
    marks = tuple(
        HistoryMark(now_slot - int(one.at_s * a_second), number, one.words)
        for number, one in enumerate(history.marks, start=1)
        if one.at_s > now_s - SPAN_S
    )
    heads = tuple(f"{seconds_a_row * (rows - i):.0f} s ago" for i in range(rows))
    return HistoryState(
        title="The last 60 s",
        counts=counts_words(history.counts_of_minute()),
        slots_a_row=slots_a_row,
        rows=rows,
        seconds_a_row=seconds_a_row,
        row_heads=heads,
        slots=tuple(one for one in slots if 0 <= one.back < slots_a_row * rows),
        marks=tuple(one for one in marks if 0 <= one.back < slots_a_row * rows),
    )


def counts_words(counts: Counter[OutcomeKind]) -> str:
    """Return counts in one line: 'asked 60: 3 answered, 57 no reply'."""
    asked = sum(number for kind, number in counts.items() if kind is not OutcomeKind.STOPPED)
    if not asked:
        return ""
    parts = [f"{counted(counts[kind])} {kind.word}" for kind in OutcomeKind if counts[kind]]
    return f"asked {counted(asked)}: {', '.join(parts)}"


def counts_state(history: PingHistory, wall_time: str) -> CountsState:
    """Return counts since the ping began, each with its share; what went wrong with its limit."""
    began = stamp(wall_time, history.began_s)
    title = f"Since {began}" if began else "Since it began"
    if not history.asked:
        return CountsState(title, "", (), ("Nothing was asked yet.",))
    kinds = [kind for kind in OutcomeKind if history.counts[kind] and kind is not OutcomeKind.STOPPED]
    return CountsState(title, LIMITS, tuple(_counted(history, kind) for kind in kinds), _sentences(history, kinds))


def _counted(history: PingHistory, kind: OutcomeKind) -> Counted:
    seen, asked = history.counts[kind], history.asked
    is_good_share = kind in _ANSWERS and seen < asked
    share = percent_seen(seen / asked) if is_good_share else share_words(seen, asked)
    return Counted(kind, f"{counted(seen)} of {counted(asked)}", share)


def _sentences(history: PingHistory, kinds: Sequence[OutcomeKind]) -> tuple[str, ...]:
    asked, answered = history.asked, history.answered
    missed = asked - answered
    sentences: list[str] = []
    if not missed:
        sentences.append(f"All {counted(asked)} were answered: unanswered ones are {share_words(0, asked)}.")
    elif len([one for one in kinds if one not in _ANSWERS]) > 1:
        sentences.append(f"Not answered: {counted(missed)} of {counted(asked)}, {share_words(missed, asked)}.")
    if history.marks:
        mark = history.marks[-1]
        since_asked, since_answered = asked - mark.asked_before, answered - mark.answered_before
        before = f"{counted(mark.answered_before)} of {counted(mark.asked_before)}"
        sentences.append(
            f"Answered before mark {len(history.marks)}, '{mark.words}': {before}; since then: "
            f"{counted(since_answered)} of {counted(since_asked)}."
        )
    return tuple(sentences)


def ping_sentence(address: int, history: PingHistory, *, is_running: bool) -> str:
    """Return the sentence of state, numbers first."""
    minute = history.counts_of_minute()
    asked = sum(number for kind, number in minute.items() if kind is not OutcomeKind.STOPPED)
    if not asked:
        return "One device, asked again and again: for looking at its wires while you touch them. Reads only."
    answered = sum(minute[kind] for kind in _ANSWERS)
    paused = "" if is_running else "Paused. "
    return f"{paused}{address}: {counted(answered)} of the last {counted(asked)} answered."


def sound_state(*, is_wanted: bool, problem: str) -> SoundState:
    """Return what can be heard."""
    note = f"{problem[:1].upper()}{problem[1:].rstrip('.')}." if problem else "All that is heard is seen too."
    return SoundState(is_wanted, TONES, note)


def other_silent(silent: Sequence[int], address: int) -> int:
    """Return the next planned but silent address after this one, going round; 0 if there is no other."""
    others = [one for one in silent if one != address]
    if not others:
        return 0
    return next((one for one in others if one > address), others[0])


def wait_words(wait_s: float, longest_s: float) -> str:
    """Return how long is waited, and why it is longer than usual."""
    words = f"waits {wait_s * 1000:.0f} ms"
    return f"{words}: it has taken {longest_s * 1000:.0f} ms before" if longest_s else words


def device_words(address: int, planned: PlannedDevice | None) -> str:
    """Return a device as the list shows it."""
    return f"{address}, {planned.name}" if planned is not None else f"{address}, not in plan"
