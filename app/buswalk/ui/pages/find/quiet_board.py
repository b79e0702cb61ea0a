"""What a presence watch has said so far: base, who is quiet, what changed, last turnarounds. No words, no Qt."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.presence.events import AnsweredLate, CameBack, PresenceBase, PresenceRound, WentQuiet
from buswalk.domain.search.events import LivingLine
from buswalk.ui.outcome_kinds import OutcomeKind

CHANGES_KEPT = 200
TOGETHER_S = 6.0
"""What changes within one round, with the time that making sure takes, is told together."""


@dataclass(frozen=True, slots=True)
class Change:
    """Something that has changed: of some devices, or a mark in words."""

    at_s: float
    kind: OutcomeKind | None
    addresses: tuple[int, ...]
    words: str = ""


@dataclass(slots=True)
class QuietBoard:
    """Takes the events of a watch in order; `begin` for each new one, changes are kept over them."""

    base: PresenceBase | None = None
    quiet: dict[int, WentQuiet] = field(default_factory=dict)
    joined: set[int] = field(default_factory=set)
    """Silent in the base, and answering since."""
    last_round: PresenceRound | None = None
    living: LivingLine | None = None
    changes: list[Change] = field(default_factory=list)
    turnarounds_s: dict[int, float] = field(default_factory=dict)

    def begin(self) -> None:
        """A watch has begun: its base is still to come."""
        self.base = self.last_round = self.living = None
        self.quiet.clear()
        self.joined.clear()

    def take(self, event: object) -> OutcomeKind | None:
        """Take one event; return what is to be heard of it, if anything."""
        match event:
            case PresenceBase():
                self.base = event
                self._change(Change(event.at_s, None, event.answering, "base"))
            case WentQuiet(server_address=address):
                self.quiet[address] = event
                self._together(Change(event.at_s, OutcomeKind.NO_REPLY, (address,)))
                return OutcomeKind.NO_REPLY
            case CameBack(server_address=address, at_s=at_s):
                self.quiet.pop(address, None)
                if self.base is not None and address in self.base.silent:
                    self.joined.add(address)
                self._together(Change(at_s, OutcomeKind.ANSWERED, (address,)))
                return OutcomeKind.ANSWERED
            case AnsweredLate(server_address=address, at_s=at_s):
                self._together(Change(at_s, OutcomeKind.LATE_REPLY, (address,)))
            case PresenceRound():
                self.last_round = event
            case LivingLine():
                self.living = event
            case _:
                pass
        return None

    def mark(self, at_s: float, words: str) -> None:
        """Something was done meanwhile."""
        self._change(Change(at_s, None, (), words))

    def exchange(self, exchange: Exchange) -> None:
        """Keep how long a reply took."""
        seen = exchange.turnaround
        if isinstance(seen, Turnaround) and not seen.is_before_request_ended:
            middle_s = (max(0.0, seen.not_less_than_s) + seen.not_more_than_s) / 2.0
            self.turnarounds_s[exchange.server_address] = middle_s

    @property
    def answering(self) -> tuple[int, ...]:
        """Who answers now, in the order of the cable as far as the base knows it."""
        if self.base is None:
            return ()
        return (
            *(one for one in self.base.answering if one not in self.quiet),
            *sorted(self.joined - self.quiet.keys()),
        )

    def _together(self, change: Change) -> None:
        last = self.changes[-1] if self.changes else None
        if last is None or last.kind is not change.kind or change.at_s - last.at_s > TOGETHER_S:
            self._change(change)
        elif change.addresses[0] not in last.addresses:
            self.changes[-1] = Change(last.at_s, last.kind, (*last.addresses, *change.addresses))

    def _change(self, change: Change) -> None:
        self.changes.append(change)
        del self.changes[:-CHANGES_KEPT]
