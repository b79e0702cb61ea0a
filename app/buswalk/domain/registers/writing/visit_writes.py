"""All writes of a visit, folded from their events: what was changed and not put back, and what may be put back."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from buswalk.domain.registers.point import WriteType
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    OldNotRead,
    OldRead,
    ReadBack,
    WriteAnswer,
    WriteBegun,
    WriteJudged,
    Written,
)
from buswalk.domain.registers.writing.intended import IntendedWrite, Target
from buswalk.domain.registers.writing.verdict import Verdict, is_same


@dataclass(frozen=True, slots=True)
class OneWrite:
    """What is known of one write.

    Attributes:
        session: In which it was begun; with `write` it names it.
        answer: `None` while it is not known whether it has left.
        looks: What was read back, in order; empty tuples where nothing was.
    """

    session: int
    begun: WriteBegun
    answer: WriteAnswer | None = None
    looks: tuple[tuple[int, ...], ...] = ()
    verdict: Verdict = Verdict.NOT_READ
    is_judged: bool = False

    @property
    def may_have_changed(self) -> bool:
        """Whether the device may hold it: not if it never left, nor if it was refused and nothing else was seen."""
        match self.answer:
            case WriteAnswer.NOT_SENT:
                return False
            case WriteAnswer.REFUSED:
                return self.verdict not in (Verdict.NOT_READ, Verdict.IGNORED, Verdict.NO_DIFFERENCE)
            case _:
                return True

    @property
    def left_behind(self) -> tuple[int, ...]:
        """What stood there when it was last read; what was written where nothing was."""
        read = [one for one in self.looks if one]
        return read[-1] if read else self.begun.intended.words


@dataclass(frozen=True, slots=True)
class Change:
    """A place that does not hold what it held when the visit came to it.

    Attributes:
        first: The write that found the old value.
        last: The write that was sent last.
    """

    first: OneWrite
    last: OneWrite

    @property
    def intended(self) -> IntendedWrite:
        """What was written last."""
        return self.last.begun.intended

    @property
    def whole(self) -> OneWrite:
        """The last write as if it had found what the first one found: what putting back goes by."""
        return replace(self.last, begun=replace(self.last.begun, old=self.first.begun.old))


@dataclass(frozen=True, slots=True)
class MayPutBack:
    """These words stood there, and what stands there now is ours."""

    words: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MayNotPutBack:
    """Putting back is refused; why, in one sentence."""

    sentence: str


PuttingBack: TypeAlias = MayPutBack | MayNotPutBack


@dataclass(frozen=True, slots=True)
class VisitWrites:
    """All of them, in order of their beginning."""

    writes: tuple[OneWrite, ...] = field(default=())

    def after(self, event: object, session: int = 1) -> VisitWrites:
        """Return them with one more event; what does not belong to writes changes nothing."""
        match event:
            case WriteBegun():
                return VisitWrites((*self.writes, OneWrite(session, event)))
            case Written(write=number, answer=answer):
                return self._with(session, number, lambda one: replace(one, answer=answer))
            case ReadBack(write=number, words=words, verdict=verdict):
                return self._with(session, number, lambda one: replace(one, looks=(*one.looks, words), verdict=verdict))
            case WriteJudged(write=number, verdict=verdict):
                return self._with(session, number, lambda one: replace(one, verdict=verdict, is_judged=True))
            case FoundAsBefore(intended=intended, words=words):
                return self._seen(intended.target, words)
            case _:
                return self

    def _seen(self, target: Target, words: tuple[int, ...]) -> VisitWrites:
        """A look that belongs to no write counts as one of the last write to the place."""
        at = max((i for i, one in enumerate(self.writes) if one.begun.intended.target == target), default=-1)
        if at < 0:
            return self
        seen = replace(self.writes[at], looks=(*self.writes[at].looks, words))
        return VisitWrites((*self.writes[:at], seen, *self.writes[at + 1 :]))

    def _with(self, session: int, number: int, change: Callable[[OneWrite], OneWrite]) -> VisitWrites:
        named = (session, number)
        return VisitWrites(
            tuple(change(one) if (one.session, one.begun.write) == named else one for one in self.writes)
        )

    def write(self, number: int, session: int = 1) -> OneWrite | None:
        """Return one of them; None if there is none of this number."""
        return next((one for one in self.writes if (one.session, one.begun.write) == (session, number)), None)

    def since(self, session: int) -> VisitWrites:
        """Return those of this session and of later ones."""
        return VisitWrites(tuple(one for one in self.writes if one.session >= session))

    def count_to(self, target: Target) -> int:
        """Return how many were sent to a place."""
        return len(self.sent_to(target))

    def sent_to(self, target: Target) -> tuple[OneWrite, ...]:
        """Return those that were sent to a place, and not refused."""
        to_it = (one for one in self.writes if one.begun.intended.target == target)
        return tuple(one for one in to_it if one.answer not in (WriteAnswer.NOT_SENT, WriteAnswer.REFUSED))

    def not_put_back(self) -> tuple[Change, ...]:
        """Return what was changed and does not hold its old value again, in order of the first change."""
        by_target: dict[Target, list[OneWrite]] = {}
        for one in self.writes:
            if one.may_have_changed and one.begun.intended.write_type is not WriteType.TRIGGER:
                by_target.setdefault(one.begun.intended.target, []).append(one)
        changes = (Change(some[0], some[-1]) for some in by_target.values())
        return tuple(one for one in changes if not _is_as_before(one))

    def putting_back(self, number: int, present: tuple[int, ...], session: int = 1) -> PuttingBack:
        """Return whether what a write replaced may be put back, given what stands there now."""
        one = self.write(number, session)
        if one is None:
            return MayNotPutBack("there is no such write in this visit")
        return may_put_back(one, present)


NO_WRITES = VisitWrites()


def may_put_back(one: OneWrite, present: tuple[int, ...]) -> PuttingBack:
    """Return whether what a write replaced may be put back: only over a value that is still ours."""
    intended, old = one.begun.intended, one.begun.old
    if intended.write_type is WriteType.TRIGGER:
        return MayNotPutBack("it started something: there is nothing to put back")
    if isinstance(old, OldNotRead):
        return MayNotPutBack(f"the old value is not known ({old.why}): nothing can be put back")
    if is_same(intended, present, old.words):
        return MayNotPutBack("the old value stands there already")
    ours = (intended.words, one.left_behind)
    if not any(is_same(intended, present, words) for words in ours):
        return MayNotPutBack("what stands there now is not what was written: somebody else has changed it since")
    return MayPutBack(old.words)


def _is_as_before(change: Change) -> bool:
    """A place whose old value is not known is never taken for put back."""
    old = change.first.begun.old
    return (
        isinstance(old, OldRead)
        and is_same(change.intended, change.last.left_behind, old.words)
        and any(change.last.looks)
    )


def visit_writes(events: Iterable[tuple[int, object]]) -> VisitWrites:
    """Fold events, each with its session."""
    writes = VisitWrites()
    for session, event in events:
        writes = writes.after(event, session)
    return writes
