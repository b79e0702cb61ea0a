"""Outcomes as records name them, told by the window's words and shapes; kinds that a filter can ask for."""

from __future__ import annotations

from buswalk.domain.statistics.fault_filter import FaultKind
from buswalk.ui.outcome_kinds import OutcomeKind, rank_of

OF_OUTCOME = {
    "normal_reply": OutcomeKind.ANSWERED,
    "exception_reply": OutcomeKind.REFUSED,
    "no_reply": OutcomeKind.NO_REPLY,
    "corrupt_reply": OutcomeKind.DAMAGED,
    "short_reply": OutcomeKind.CUT_SHORT,
    "unexpected_reply": OutcomeKind.WRONG_CONTENT,
    "foreign_reply": OutcomeKind.FOREIGN_REPLY,
    "echo_only": OutcomeKind.OWN_ECHO_ONLY,
    "damaged_echo": OutcomeKind.DAMAGED_ECHO,
    "not_sent": OutcomeKind.NOT_SENT,
    "broadcast_sent": OutcomeKind.TO_ALL,
    "stopped": OutcomeKind.STOPPED,
    "late": OutcomeKind.LATE_REPLY,
}
OF_FILTER = {
    FaultKind.NO_REPLY: OutcomeKind.NO_REPLY,
    FaultKind.DAMAGED: OutcomeKind.DAMAGED,
    FaultKind.SHORT: OutcomeKind.CUT_SHORT,
    FaultKind.LATE: OutcomeKind.LATE_REPLY,
    FaultKind.WRONG_CONTENT: OutcomeKind.WRONG_CONTENT,
    FaultKind.FOREIGN_REPLY: OutcomeKind.FOREIGN_REPLY,
    FaultKind.ECHO_ONLY: OutcomeKind.OWN_ECHO_ONLY,
    FaultKind.DAMAGED_ECHO: OutcomeKind.DAMAGED_ECHO,
    FaultKind.STRAY: OutcomeKind.STRAY_BYTE,
    FaultKind.REFUSED: OutcomeKind.REFUSED,
}


def kind_named(outcome: str) -> OutcomeKind:
    """Return the kind of an outcome's name; what a newer version named is told as wrong content."""
    return OF_OUTCOME.get(outcome, OutcomeKind.WRONG_CONTENT)


def worst(kinds: list[OutcomeKind]) -> OutcomeKind:
    """Return the kind whose shape stands for several."""
    return min(kinds, key=lambda one: rank_of(one).value)
