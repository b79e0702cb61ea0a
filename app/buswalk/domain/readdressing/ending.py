"""What the places that answer mean: moved or not, in part, or lost; in words, with what to do next."""

from __future__ import annotations

from buswalk.domain.readdressing.events import LookedAfter, ReaddressEnd
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan

_MOVED = {
    LookedAfter.WRITING: ReaddressEnd.MOVED_AT_ONCE,
    LookedAfter.RESTART: ReaddressEnd.MOVED_AFTER_RESTART,
    LookedAfter.AGAIN: ReaddressEnd.MOVED,
}
IS_MOVED = frozenset(_MOVED.values())
"""Ends with the device where it was to be."""


def end_of(plan: ReaddressPlan, answered: tuple[Reach, ...], after: LookedAfter) -> ReaddressEnd:
    """Return how it ended, by the places that answered at the last look."""
    match answered:
        case ():
            return ReaddressEnd.LOST
        case (only,) if only == plan.goal:
            return _MOVED[after]
        case (only,):
            return ReaddressEnd.NOT_MOVED if only == plan.before else ReaddressEnd.PARTLY_MOVED
        case _:
            return ReaddressEnd.IN_SEVERAL_PLACES


def end_words(plan: ReaddressPlan, end: ReaddressEnd, answered: tuple[Reach, ...], *, has_restarted: bool) -> str:
    """Return it in a sentence or two."""
    before, after = plan.before, plan.after
    where = " and ".join(str(one) for one in answered)
    match end:
        case ReaddressEnd.MOVED_AT_ONCE:
            return f"the device is at {after}, and no longer at {before}: it took effect at once; label it now"
        case ReaddressEnd.MOVED_AFTER_RESTART:
            return f"the device is at {after}, and no longer at {before}: it took effect with the restart; label it now"
        case ReaddressEnd.MOVED:
            return f"the device is at {after}, and no longer at {before}; label it now"
        case ReaddressEnd.NOT_MOVED if has_restarted:
            return (
                f"the device is still at {before}, after a restart too: look for a save register, a lock, or switches "
                "on the device that have priority"
            )
        case ReaddressEnd.NOT_MOVED:
            return (
                f"the device is still at {before}, and no restart was seen: cycle its supply and look again; note it, "
                "for whoever cycles the supply next may move it"
            )
        case ReaddressEnd.PARTLY_MOVED:
            return f"the device is at {where}, and was to be at {after}: the rest was not taken, or waits for a restart"
        case ReaddressEnd.IN_SEVERAL_PLACES:
            return f"{where} answer: there is more than one device on this line, or one of them keeps both; part them"
        case ReaddressEnd.LOST:
            places = ", ".join(str(one) for one in plan.places)
            return (
                f"nothing answers at {places}: cycle its supply, then search with it alone on the line; what was "
                "written stands in the record"
            )
        case ReaddressEnd.GIVEN_UP:
            return "nothing was written"
