"""The guided move in words: cautions, what the list proposes, the steps and the places. Plain text."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.readdressing.events import ReaddressEnd
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan
from buswalk.domain.readdressing.proposal import Proposal
from buswalk.domain.readdressing.visit_moves import Move
from buswalk.domain.registers.writing.events import WriteAnswer
from buswalk.domain.registers.writing.words import answer_words
from buswalk.domain.site.comparison import alike
from buswalk.ui.address_states import AddressState
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import duration, plural

CAUTIONS = (
    "What asks this device today will not find it any more. Others at the new address or speed, also those without "
    "supply now, would collide with it, and it could be lost.",
    "It may need its supply cycled. What starts, stops or falls back with it comes first; mains is for who is licensed "
    "for it, and local rules come before this tool.",
)
TYPED_HINT = "write register=value from the maker's papers, as sent (from 0), what saves last: 100=45, 255=1"
COMPANY_TICK = "The others may stay: each has an address of its own"
END_WORDS = {
    ReaddressEnd.MOVED: "it is there",
    ReaddressEnd.MOVED_AT_ONCE: "it is there, at once",
    ReaddressEnd.MOVED_AFTER_RESTART: "it is there, after a restart",
    ReaddressEnd.NOT_MOVED: "it is where it was",
    ReaddressEnd.PARTLY_MOVED: "it went only in part",
    ReaddressEnd.IN_SEVERAL_PLACES: "several places answer",
    ReaddressEnd.LOST: "it is lost",
    ReaddressEnd.GIVEN_UP: "nothing was written",
}
_ENDS_WELL = (ReaddressEnd.MOVED, ReaddressEnd.MOVED_AT_ONCE, ReaddressEnd.MOVED_AFTER_RESTART)


def reach_words(reach: Reach) -> str:
    """Return a place: '45 at 4800 8N1', its stop bits as pages write them."""
    return f"{reach.server_address} at {alike(reach.settings)}"


def alone_words(plan: ReaddressPlan) -> str:
    """Return what is looked at before anything is written."""
    before = plan.before.server_address
    return (
        f"It must be alone on the pair. First the line is listened to, then {len(plan.others)} other addresses and the "
        f"new place are asked, and whether two devices share address {before}: {duration(plan.checks_s)} in all. "
        "If anybody else is there, nothing is written."
    )


def places_words(places: Iterable[Reach]) -> str:
    """Return where it will be looked for."""
    told = [reach_words(one) for one in places]
    return f"Then it is looked for in {plural(len(told), 'place')}: {', '.join(told)}."


def proposal_words(proposal: Proposal) -> str:
    """Return what the list says, or that it says nothing."""
    said = [
        f"{point.words or point.name} (register {one.register_address}) = {one.value}"
        for one, point in zip(proposal.writes, proposal.points, strict=True)
    ]
    missing = [f"{one[0].upper()}{one[1:]}: {TYPED_HINT}." for one in proposal.missing[:1]]
    return " ".join([*([f"By the list: {', then '.join(said)}."] if said else []), *missing])


def company_words(asked: int, others: tuple[int, ...]) -> str:
    """Return who else is there."""
    heard = f"{', '.join(map(str, others))} answered" if others else "none answered"
    return f"{asked} other addresses asked: {heard}"


def written_words(answer: WriteAnswer, exception_code: int) -> str:
    """Return what the device said to a write."""
    return f"the device: {answer_words(answer, exception_code)}"


def answered_words(answered: tuple[Reach, ...]) -> str:
    """Return where somebody answered."""
    return f"{' and '.join(reach_words(one) for one in answered)} answers" if answered else "nothing answers"


def place_row(place: Reach, asked: tuple[Reach, ...], answered: tuple[Reach, ...]) -> Row:
    """Return one place and what came of the last look."""
    state = AddressState.NOT_ASKED
    if place in asked:
        state = AddressState.ANSWERED if place in answered else AddressState.SILENT
    words = {AddressState.NOT_ASKED: "not looked at yet", AddressState.ANSWERED: "answers"}.get(state, "silent")
    weight = Weight.BOLD if state is AddressState.ANSWERED else Weight.REGULAR
    spoken = f"{reach_words(place)}, {words}"
    return Cell(reach_words(place), weight=weight, shape=state, spoken=spoken), Cell(words, weight=weight)


def end_tone(end: ReaddressEnd) -> Tone:
    """Return the tone of a verdict: nothing is coloured that went as it should."""
    if end in _ENDS_WELL:
        return Tone.INK
    return Tone.FAULT if end in (ReaddressEnd.LOST, ReaddressEnd.IN_SEVERAL_PLACES) else Tone.DOUBT


def move_row(move: Move) -> Row:
    """Return one device that is not where it was, for the list of what was changed."""
    before, last = move.first.begun.before, move.last
    now = reach_words(last.now) if last.now is not None else "several answer" if last.where else "lost"
    if last.now is not None and last.now == before:
        now = f"set to {last.begun.after.server_address}"
    told = f"{before.server_address} → {_short(now, last.now, before)}"
    return (
        Cell(f"Device {reach_words(before)}", spoken=f"device {reach_words(before)} was moved"),
        Cell(told, Tone.DOUBT, Weight.BOLD, spoken=f"{reach_words(before)} to {now}"),
    )


def _short(words: str, now: Reach | None, before: Reach) -> str:
    """Speed and framing are left out where only the address is another one."""
    if now is None or now == before:
        return words
    return str(now.server_address) if alike(now.settings) == alike(before.settings) else reach_words(now)
