"""What `write` and `record writes` say to people."""

from __future__ import annotations

from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.readdressing.events import (
    CompanyLooked,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnded,
    ReaddressEvent,
    RestartSeen,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.visit_moves import Move
from buswalk.domain.record_reader import RecordedEvent, RecordedSession
from buswalk.domain.registers.writing.checks import Caution
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    OldNotRead,
    OldRead,
    OldValue,
    ReadBack,
    WriteEvent,
    WriteGivenUp,
    WriteJudged,
    Written,
)
from buswalk.domain.registers.writing.intended import IntendedWrite
from buswalk.domain.registers.writing.visit_writes import Change, OneWrite, VisitWrites
from buswalk.domain.registers.writing.words import answer_words, place_words, verdict_words, words_in_place


def proposed_lines(intended: IntendedWrite, old: OldValue, cautions: tuple[Caution, ...]) -> list[str]:
    """Return what would be written over what, and what must be read before."""
    return [
        place_words(intended),
        f"  now       {old_words(intended, old)}",
        f"  to write  {words_in_place(intended, intended.words)}",
        *(f"  caution: {one.sentence}" for one in cautions),
    ]


def old_words(intended: IntendedWrite, old: OldValue) -> str:
    """Return what stood there, or why that is not known."""
    match old:
        case OldRead(words=words):
            return words_in_place(intended, words)
        case OldNotRead(why=why):
            return f"not known: {why}"


def event_lines(intended: IntendedWrite, event: WriteEvent) -> list[str]:
    """Return what one event of a write says; nothing where it says nothing new."""
    match event:
        case Written(function=function, answer=answer, exception_code=code):
            return [f"written with function {function:02X}: {answer_words(answer, code)}"]
        case ReadBack(after_s=after_s, words=words, verdict=verdict):
            return [f"  at {after_s:2.0f} s  {words_in_place(intended, words):20}  {verdict_words(verdict)}"]
        case FoundAsBefore(words=words):
            return [
                f"{place_words(intended)} holds {words_in_place(intended, words)} already: nothing is to be put back"
            ]
        case WriteJudged(sentence=sentence) | WriteGivenUp(sentence=sentence):
            return [sentence if isinstance(event, WriteJudged) else f"not written: {sentence}"]
        case _:
            return []


def readdress_lines(event: ReaddressEvent | Heard | ListeningEnded) -> list[str]:
    """Return what one event of setting an address says."""
    match event:
        case ReaddressBegun() | Heard() | ListeningEnded():
            return []
        case OldSettingsRead(held=held):
            return [f"register {one.register_address} = {one.value} before" for one in held]
        case CompanyLooked(asked=asked, others=others):
            heard = f"{', '.join(str(one) for one in others)} answered" if others else "none answered"
            return [f"is it alone? {asked} other addresses were asked: {heard}"]
        case SettingWritten(to=to, written=written, answer=answer, exception_code=code):
            said = answer_words(answer, code)
            return [f"register {written.register_address} = {written.value}, written to {to}: {said}"]
        case PlacesLooked(asked=asked, answered=answered):
            return [f"  {one}: {'answers' if one in answered else 'silent'}" for one in asked]
        case RestartWanted(sentence=sentence):
            return [sentence]
        case RestartSeen(silent_s=silent_s):
            return [f"it was silent for {silent_s:.0f} s and answers again"]
        case ReaddressEnded(sentence=sentence):
            return [sentence]


def writes_lines(
    sessions: tuple[RecordedSession, ...], writes: VisitWrites, recorded: tuple[RecordedEvent, ...]
) -> list[str]:
    """Return each write of a record with its time and what became of it, then where devices were set to."""
    of_number = {one.session: one for one in sessions}
    lines = [f"{_time_at(of_number, one.session, one.begun.at_s)} {_write_words(one)}" for one in writes.writes]
    lines += [
        f"{_time_at(of_number, one.session, one.at_s)} {one.event.sentence}"
        for one in recorded
        if isinstance(one.event, ReaddressEnded)
    ]
    return lines or ["nothing was written"]


def changed_lines(changes: tuple[Change, ...], moves: tuple[Move, ...] = ()) -> list[str]:
    """Return what was changed and not put back, and which devices are not where they were."""
    if not changes and not moves:
        return ["nothing is left changed"]
    head = "changed and not put back ('put-back --from FILE' puts one of them back):"
    lines = [head, *(f"  {change_words(one)}" for one in changes)] if changes else []
    return lines + (["moved and not put back:", *(f"  {_move_words(one)}" for one in moves)] if moves else [])


def _move_words(move: Move) -> str:
    before, last = move.first.begun.before, move.last
    if last.now is None:
        now = f"several answer, set to {last.begun.after}" if last.where else f"lost, set to {last.begun.after}"
    else:
        now = f"set to {last.begun.after}, and still there" if last.now == before else str(last.now)
    return f"device {before} -> {now}"


def numbered_changes(changes: tuple[Change, ...]) -> list[str]:
    """Return the same with numbers, to name one of them."""
    return ["changed and not put back:", *(f"{i:3}  {change_words(one)}" for i, one in enumerate(changes, start=1))]


def _time_at(sessions: dict[int, RecordedSession], session: int, at_s: float) -> str:
    known = sessions.get(session)
    return f"{known.wall_time_at(at_s):%Y-%m-%d %H:%M:%S}" if known is not None else "time not known"


def change_words(change: Change) -> str:
    """Return one place with what it held and what it holds."""
    intended, first = change.intended, change.first.begun
    now = words_in_place(intended, change.last.left_behind) if any(change.last.looks) else "not read since"
    return f"{place_words(intended)}: {old_words(intended, first.old)} -> {now}"


def _write_words(one: OneWrite) -> str:
    begun = one.begun
    became = verdict_words(one.verdict) if one.is_judged else f"{verdict_words(one.verdict)} so far, then broken off"
    if one.answer is None:
        became = "broken off: it is not known whether it has left"
    what = f"{old_words(begun.intended, begun.old)} -> {words_in_place(begun.intended, begun.intended.words)}"
    return f"{place_words(begun.intended)}: {what}, {became} ({begun.reason})"
