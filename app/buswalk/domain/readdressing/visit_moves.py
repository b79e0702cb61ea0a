"""Where devices were moved in a visit, folded from the events: what was moved and not put back, and how to go back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buswalk.domain.readdressing.events import (
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnded,
    RestartSeen,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, RegisterValue, is_one_place
from buswalk.domain.registers.writing.events import WriteAnswer


@dataclass(frozen=True, slots=True)
class OneMove:
    """What is known of one run.

    Attributes:
        session: In which it was begun.
        held: What the registers held before.
        written: What was sent, in order; a refusal is not in it.
        where: The places that answered at the last look; empty before one, and for a lost device.
        is_looked: A look behind a write has been taken.
        has_restarted: Its supply was cycled behind the write, so that nothing waits for that any more.
    """

    session: int
    begun: ReaddressBegun
    held: tuple[RegisterValue, ...] = ()
    written: tuple[RegisterValue, ...] = ()
    where: tuple[Reach, ...] = ()
    is_looked: bool = False
    has_restarted: bool = False
    sentence: str = ""

    @property
    def now(self) -> Reach | None:
        """Where the device is, if that is one place."""
        return self.where[0] if len(self.where) == 1 else None

    @property
    def may_have_changed(self) -> bool:
        """Whether the device may hold something else than before."""
        return bool(self.written)

    @property
    def old_writes(self) -> tuple[RegisterValue, ...]:
        """What brings the device back: what each register held.

        A register that could not be read, or held 0 and was written last, is taken for one that only saves: it is
        written as it was written.
        """
        held = {one.register_address: one.value for one in self.held}
        last = self.written[-1] if self.written else None
        back = []
        for one in self.written:
            old = held.get(one.register_address)
            is_saving = old is None or (old == 0 and one == last and len(self.written) > 1)
            back.append(one if is_saving else RegisterValue(one.register_address, old or 0))
        return tuple(back)

    @property
    def can_go_back(self) -> bool:
        """Whether it is known where the device is and what it held."""
        return self.now is not None and any(one not in self.written for one in self.old_writes)


@dataclass(frozen=True, slots=True)
class Move:
    """A device that is not where it was when the visit came to it; `first` found it there, `last` moved it last."""

    first: OneMove
    last: OneMove


@dataclass(frozen=True, slots=True)
class VisitMoves:
    """All of them, in order of their beginning."""

    moves: tuple[OneMove, ...] = ()

    def after(self, event: object, session: int = 1) -> VisitMoves:
        """Return them with one more event; what does not belong to moves changes nothing."""
        if isinstance(event, ReaddressBegun):
            return VisitMoves((*self.moves, OneMove(session, event)))
        if not self.moves:
            return self
        *before, last = self.moves
        changed = _after(last, event)
        return self if changed is last else VisitMoves((*before, changed))

    def of_place(self, here: Reach) -> OneMove | None:
        """Return the last move by which a device came to a place, was lost from it, or waits there for a restart."""
        for one in reversed(self.moves):
            places = one.where or (one.begun.before,)
            if one.may_have_changed and one.is_looked and any(is_one_place(here, place) for place in places):
                return one
        return None

    def not_put_back(self) -> tuple[Move, ...]:
        """Return the devices that are not where they were, and those of which that is not known."""
        chains: list[Move] = []
        for one in self.moves:
            if not one.may_have_changed:
                continue
            before = next((chain for chain in chains if _goes_on(chain.last, one)), None)
            if before is None:
                chains.append(Move(one, one))
            else:
                chains[chains.index(before)] = replace(before, last=one)
        return tuple(one for one in chains if not _is_back(one))


NO_MOVES = VisitMoves()


def moves_in(events: Iterable[tuple[int, object]]) -> VisitMoves:
    """Fold events, each with its session."""
    moves = NO_MOVES
    for session, event in events:
        moves = moves.after(event, session)
    return moves


def _after(move: OneMove, event: object) -> OneMove:
    match event:
        case OldSettingsRead(held=held):
            return replace(move, held=held)
        case SettingWritten(written=written, answer=answer) if answer not in (
            WriteAnswer.REFUSED,
            WriteAnswer.NOT_SENT,
        ):
            return replace(move, written=(*move.written, written))
        case PlacesLooked(answered=answered):
            return replace(move, where=answered, is_looked=True)
        case RestartSeen():
            return replace(move, has_restarted=True)
        case ReaddressEnded(sentence=sentence):
            return replace(move, sentence=sentence)
        case _:
            return move


def _goes_on(last: OneMove, one: OneMove) -> bool:
    """Whether a move begins where another has ended."""
    return last.now is not None and is_one_place(last.now, one.begun.before)


def _is_back(move: Move) -> bool:
    now = move.last.now
    is_there = now is not None and is_one_place(now, move.first.begun.before)
    # A device that has not moved yet may do so when its supply comes back.
    return is_there and (move.first is not move.last or move.last.has_restarted)
