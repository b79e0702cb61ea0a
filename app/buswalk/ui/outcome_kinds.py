"""What can come of a request as the window tells it: one word, one shape and one rank for each. Plain Python.

A late reply, a stray byte and a foreign frame between exchanges are events, not outcomes; they are told the same way.
"""

from __future__ import annotations

from enum import Enum

from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
    Outcome,
    ShortReply,
    Stopped,
    UnexpectedReply,
)


class OutcomeKind(Enum):
    """The kinds in the order of tables; the value is the word for it in counts."""

    ANSWERED = "answered"
    REFUSED = "refused"
    NO_REPLY = "no reply"
    LATE_REPLY = "late reply"
    DAMAGED = "damaged"
    CUT_SHORT = "cut short"
    WRONG_CONTENT = "wrong content"
    OWN_ECHO_ONLY = "own echo only"
    DAMAGED_ECHO = "damaged echo"
    NOT_SENT = "not sent"
    TO_ALL = "to all"
    FOREIGN_REPLY = "foreign reply"
    FOREIGN_FRAME = "foreign frame"
    STRAY_BYTE = "stray byte"
    STOPPED = "stopped"
    SILENT_AS_EXPECTED = "silent, as expected"

    @property
    def word(self) -> str:
        """How counts name it."""
        return self.value


class Rank(Enum):
    """Which of two sentences stays: a lower value is worse."""

    FAULT = 0
    FOREIGN = 1
    DOUBT = 2
    REFUSE = 3
    NORMAL = 4


_RANKS = {
    OutcomeKind.REFUSED: Rank.REFUSE,
    OutcomeKind.NO_REPLY: Rank.DOUBT,
    OutcomeKind.LATE_REPLY: Rank.DOUBT,
    OutcomeKind.DAMAGED: Rank.FAULT,
    OutcomeKind.CUT_SHORT: Rank.FAULT,
    OutcomeKind.WRONG_CONTENT: Rank.FAULT,
    OutcomeKind.DAMAGED_ECHO: Rank.FAULT,
    OutcomeKind.NOT_SENT: Rank.DOUBT,
    OutcomeKind.FOREIGN_REPLY: Rank.FOREIGN,
    OutcomeKind.FOREIGN_FRAME: Rank.FOREIGN,
    OutcomeKind.STRAY_BYTE: Rank.DOUBT,
}


def rank_of(kind: OutcomeKind) -> Rank:
    """Return how far a kind is from normal."""
    return _RANKS.get(kind, Rank.NORMAL)


def kind_of(outcome: Outcome, *, is_expected: bool) -> OutcomeKind:
    """Return the kind of an outcome; silence where nobody is expected to answer is not a `no reply`."""
    match outcome:
        case NormalReply():
            return OutcomeKind.ANSWERED
        case ExceptionReply():
            return OutcomeKind.REFUSED
        case NoReply():
            return OutcomeKind.NO_REPLY if is_expected else OutcomeKind.SILENT_AS_EXPECTED
        case CorruptReply():
            return OutcomeKind.DAMAGED
        case ShortReply():
            return OutcomeKind.CUT_SHORT
        case ForeignReply():
            return OutcomeKind.FOREIGN_REPLY
        case UnexpectedReply():
            return OutcomeKind.WRONG_CONTENT
        case EchoOnly():
            return OutcomeKind.OWN_ECHO_ONLY
        case DamagedEcho():
            return OutcomeKind.DAMAGED_ECHO
        case BroadcastSent():
            return OutcomeKind.TO_ALL
        case NotSent():
            return OutcomeKind.NOT_SENT
        case Stopped():
            return OutcomeKind.STOPPED
