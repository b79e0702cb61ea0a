"""What is to be weighed before a write that needs a second confirmation: who will take it, what it wears."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from buswalk.domain.registers.writing.intended import SecondConfirmation, Target
from buswalk.domain.registers.writing.visit_writes import VisitWrites

MEMORY_LIFE_WRITES = 100_000
"""Common practice, no source: what is quoted for memory that keeps its content."""
MINUTE_S, HOUR_S, DAY_S, YEAR_S = 60.0, 3600.0, 86_400.0, 365.25 * 86_400.0
MOST_NAMED = 12


@dataclass(frozen=True, slots=True)
class WearSoFar:
    """Writes to one place of such memory, and the seconds from the first of them until now; 0 if not known."""

    writes: int
    since_first_s: float

    @property
    def is_rate_known(self) -> bool:
        """Whether there is a rate to go by."""
        return self.writes > 0 and self.since_first_s > 0.0

    @property
    def life_s(self) -> float:
        """How long such memory would last at this rate; never ends where no rate is known."""
        return MEMORY_LIFE_WRITES * self.since_first_s / self.writes if self.is_rate_known else float("inf")


def wear_so_far(writes: VisitWrites, target: Target, began: Mapping[int, datetime], now: datetime) -> WearSoFar:
    """Return what was written to a place; `began` says when the sessions of the writes were at their line time 0."""
    sent = writes.sent_to(target)
    if not sent or sent[0].session not in began:
        return WearSoFar(len(sent), 0.0)
    first = began[sent[0].session] + timedelta(seconds=sent[0].begun.at_s)
    return WearSoFar(len(sent), max(0.0, (now - first).total_seconds()))


def lasting_words(seconds: float) -> str:
    """Return a long time as people say it, rounded down: a budget is not made larger than it is."""
    for unit_s, words in ((YEAR_S, "years"), (DAY_S, "days"), (HOUR_S, "hours"), (MINUTE_S, "minutes")):
        if seconds >= 2 * unit_s:
            return f"{int(seconds // unit_s)} {words}"
    return f"{int(seconds)} seconds"


def all_devices_words(known: Sequence[int]) -> str:
    """Return who takes a broadcast, of those that are known by a search or a plan."""
    if not known:
        return (
            "No device is known here: whoever is on this line takes it. Search first, and it can be said who that is."
        )
    named = ", ".join(str(one) for one in known[:MOST_NAMED])
    more = f" and {len(known) - MOST_NAMED} more" if len(known) > MOST_NAMED else ""
    whom = "1 device is known here, and it takes it" if len(known) == 1 else f"{len(known)} devices are known here"
    all_of_them = "" if len(known) == 1 else ", and all of them take it"
    return f"{whom}{all_of_them}: {named}{more}. So does any that is not known."


NONE_ANSWERS = (
    "None answers: nothing is read back, nothing can be put back, and the same address may mean something else in "
    "each. Read each of them afterwards."
)


def wear_words(wear: WearSoFar) -> str:
    """Return what a write more costs of the life of a memory."""
    times = "once" if wear.writes == 1 else f"{wear.writes} times"
    begin = f"It was written {times} in this visit"
    if not wear.is_rate_known:
        return f"{begin}. Some 100 000 writes are quoted for the life of such memory; the manual may name fewer."
    return (
        f"{begin}, in {lasting_words(wear.since_first_s)}. At the rate so far 100 000 writes, which are quoted for the "
        f"life of such memory, are gone in {lasting_words(wear.life_s)}; the manual may name fewer."
    )


RAM_INSTEAD = "What changes again and again belongs into a register that is kept in RAM, if the device has one."
NO_WAY_BACK_WORDS = "What stands there now cannot be read: it can never be put back from here."


def typed_confirmation(needed: SecondConfirmation, known: Sequence[int]) -> str:
    """Return the words that a person types; of a broadcast they name how many take it, so that habit types none."""
    if needed is not SecondConfirmation.ALL_DEVICES or not known:
        return needed.value
    return f"all {len(known)} devices" if len(known) > 1 else "all devices, 1 known"
