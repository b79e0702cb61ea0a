"""Found devices in words: setting, what it is, doubt; and the sentence of state that numbers them. Plain text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.readdressing.plan import Reach, is_one_place
from buswalk.domain.search.events import Doubt, Found, Identity, Unclear
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.pages.find.search_board import REAL_DOUBTS, PlanMatch, SearchBoard, TurnaroundSpan
from buswalk.ui.wording import address_list, counted, milliseconds, plural

BASIC_OBJECTS = 3
"""Vendor name, product code, revision (Application V1.1b3, 6.21)."""
_LONGEST_ID_BYTES = 8
_SHORT_DOUBTS = {
    Doubt.ANSWERS_SOMETIMES: "not each time",
    Doubt.DAMAGED_REPLIES: "damaged replies",
    Doubt.SECOND_ANSWER: "second answer",
    Doubt.ANSWERS_DIFFER: "answers differ",
    Doubt.ANSWERS_AS_ANOTHER: "other address",
    Doubt.NEEDS_A_PAUSE: "needs a pause",
    Doubt.SILENT_AT_FIRST: "silent at first",
    Doubt.DOES_NOT_CHECK_FRAMING: "framing unsure",
}
_LONG_DOUBTS = {
    Doubt.ANSWERS_SOMETIMES: "It does not answer each time.",
    Doubt.DAMAGED_REPLIES: "Some replies are damaged: perhaps two devices at this address.",
    Doubt.SECOND_ANSWER: "A second answer follows the first: perhaps two devices at this address.",
    Doubt.ANSWERS_DIFFER: "The same question was answered once so, once otherwise: perhaps two devices here.",
    Doubt.ANSWERS_AS_ANOTHER: "It answers with another address than was asked.",
    Doubt.NEEDS_A_PAUSE: "It wants a pause before each request.",
    Doubt.SILENT_AT_FIRST: "It kept silent when asked before: it may look for the speed by itself, and keep this one.",
    Doubt.DOES_NOT_CHECK_FRAMING: "Its replies have another framing than was asked: take it from its manual.",
}


def setting_words(settings: SerialSettings) -> str:
    """Return a setting as it was found: without parity, one or two stop bits cannot be told apart."""
    if settings.parity is Parity.NONE and settings.data_bits == 8:
        return f"{settings.baud_rate} no parity"
    return str(settings)


def identity_words(identity: Identity) -> str:
    """Return what a device says of itself; empty where it says nothing."""
    names = " ".join(one.text for one in identity.objects if one.object_id < BASIC_OBJECTS and one.text)
    return names or _readable(identity.server_id)


def _readable(data: bytes) -> str:
    """Return the longest run of letters if there is one, else the first bytes: what a server ID holds is free."""
    runs = re.findall(r"[ -~]{3,}", data.decode("latin-1"))
    if runs:
        return str(max(runs, key=len)).strip()
    return data[:_LONGEST_ID_BYTES].hex(" ").upper()


def what_words(found: Found, planned: PlannedDevice | None) -> str:
    """Return what a device is: its name on site, else what it says of itself, else which profile it fits."""
    if planned is not None:
        return planned.name
    return identity_words(found.identity) or _fits_words(found.identity) or "not identified"


def _fits_words(identity: Identity) -> str:
    return f"fits {' or '.join(identity.profiles)}" if identity.profiles else ""


def turnaround_words(span: TurnaroundSpan | None) -> str:
    """Return the usual turnaround."""
    return "unknown" if span is None else milliseconds(span.typical_s)


def span_words(span: TurnaroundSpan | None) -> str:
    """Return the shortest and longest turnaround, in ms."""
    if span is None:
        return ""
    low, high = f"{span.shortest_s * 1000:.0f}", f"{span.longest_s * 1000:.0f}"
    return low if low == high else f"{low} – {high}"


@dataclass(frozen=True, slots=True)
class DoubtWords:
    """The last column: a few words (`+1`: one more), whether they call for a look, the same as a reader says it."""

    words: str
    is_doubt: bool
    spoken: str


def doubt_words(found: Found, match: PlanMatch) -> DoubtWords:
    """Return the weightiest thing to know of a device, and how many more there are."""
    real = [_SHORT_DOUBTS[one] for one in found.doubts if one in REAL_DOUBTS]
    if match is PlanMatch.NOT_IN_PLAN:
        real.append("not in plan")
    if match is PlanMatch.OTHER_SETTING:
        real.append("other setting")
    habits = [_SHORT_DOUBTS[one] for one in found.doubts if one not in REAL_DOUBTS]
    if found.function != 0x03:
        habits.append(f"function {found.function:02d} only")
    all_of_them = real + habits
    if not all_of_them:
        return DoubtWords("no doubt", is_doubt=False, spoken="no doubt")
    left = len(all_of_them) - 1
    more, spoken = (f" +{left}", f", and {left} more") if left else ("", "")
    return DoubtWords(all_of_them[0] + more, is_doubt=bool(real), spoken=all_of_them[0] + spoken)


def moved_words(board: SearchBoard, found: Found) -> DoubtWords | None:
    """Return that a device was moved in this session, or was to be; None where it was not."""
    move = board.moves.of_place(Reach(found.server_address, found.settings))
    if move is None:
        return None
    begun, before = move.begun, move.begun.before.server_address
    if not move.where:
        return DoubtWords("lost when moved", is_doubt=True, spoken=f"lost when it was set to {begun.after}")
    if move.now is None:
        return DoubtWords("several answer", is_doubt=True, spoken=f"several answer after it was set to {begun.after}")
    if not is_one_place(move.now, begun.before):
        words = "other speed" if move.now.server_address == before else f"moved from {before}"
        return DoubtWords(words, is_doubt=False, spoken=f"moved from {begun.before}")
    if move.has_restarted:
        return None
    return DoubtWords("may yet move", is_doubt=True, spoken=f"set to {begun.after}, it may move when it restarts")


def long_doubts(found: Found, match: PlanMatch, planned: PlannedDevice | None) -> tuple[str, ...]:
    """Return every doubt and habit as a sentence."""
    sentences = [_LONG_DOUBTS[one] for one in found.doubts]
    if match is PlanMatch.NOT_IN_PLAN:
        sentences.append("The planned list has no device at this address.")
    if match is PlanMatch.OTHER_SETTING and planned is not None:
        sentences.append(f"It is planned at {planned.settings}, and answers at {setting_words(found.settings)}.")
    if found.function != 0x03:
        sentences.append(f"It answers function {found.function:02d}, not 03.")
    if found.is_refusal:
        sentences.append("It refuses register 0: that too shows that it is there, with this address and setting.")
    return tuple(sentences)


def unclear_words(unclear: Unclear) -> str:
    """Return what is heard of something that never answers whole."""
    sentence = unclear.sentence
    return f"{sentence[:1].upper()}{sentence[1:]}."


@dataclass(frozen=True, slots=True)
class FoundCounts:
    """Addresses that answer, each counted once: doubt before plan."""

    as_planned: int
    other_setting: int
    not_in_plan: int
    in_doubt: int
    without_plan: int

    @property
    def all(self) -> int:
        """Every address that answers."""
        return self.as_planned + self.other_setting + self.not_in_plan + self.in_doubt + self.without_plan


def counts_of(board: SearchBoard) -> FoundCounts:
    """Count what answers."""
    matches: dict[int, PlanMatch] = {}
    for one in board.found_in_order():
        match = board.match(one)
        if match is PlanMatch.AS_PLANNED or one.server_address not in matches:
            matches[one.server_address] = match
    heard = {address for address, _ in board.run.unclear} | set(matches)
    doubtful = {one for one in heard if board.is_in_doubt(one)}
    clean = [match for address, match in matches.items() if address not in doubtful]
    return FoundCounts(
        as_planned=clean.count(PlanMatch.AS_PLANNED),
        other_setting=clean.count(PlanMatch.OTHER_SETTING),
        not_in_plan=clean.count(PlanMatch.NOT_IN_PLAN),
        in_doubt=len(doubtful),
        without_plan=clean.count(PlanMatch.NO_PLAN),
    )


def counts_sentence(counts: FoundCounts, silent: Sequence[int], *, so_far: bool) -> str:
    """Return the numbers first: '10 answer: 7 as planned, 1 in doubt, 2 not in plan. 3 planned are silent.'"""
    while_running = " so far" if so_far else ""
    if not counts.all:
        return f"Nobody answers{while_running}.{_silent_words(silent)}"
    parts = [
        f"{counted(number)} {words}"
        for number, words in (
            (counts.as_planned, "as planned"),
            (counts.other_setting, "at another setting than planned"),
            (counts.in_doubt, "in doubt"),
            (counts.not_in_plan, "not in plan"),
        )
        if number
    ]
    head = f"{counted(counts.all)} {'answers' if counts.all == 1 else 'answer'}{while_running}"
    return f"{head}{': ' + ', '.join(parts) if parts else ''}.{_silent_words(silent)}"


def _silent_words(silent: Sequence[int]) -> str:
    if not silent:
        return ""
    return f" {counted(len(silent))} planned {'is' if len(silent) == 1 else 'are'} silent."


def silent_at_words(settings: Sequence[SerialSettings]) -> str:
    """Return where an address was asked in vain."""
    return f"Silent {at_words(settings)}"


def at_words(settings: Sequence[SerialSettings]) -> str:
    """Return settings as a place: three by name, more by their number."""
    if len(settings) > 3:
        return f"at {plural(len(settings), 'setting')}"
    named = [setting_words(one) for one in settings]
    return "at " + (f"{', '.join(named[:-1])} and {named[-1]}" if len(named) > 1 else named[0])


def functions_words(asked: Sequence[frozenset[int]]) -> str:
    """Return with which functions somebody was asked, given those of each setting: they need not be alike."""
    everywhere = frozenset.intersection(*asked)
    more = frozenset.union(*asked) - everywhere
    only_some = f"at some of them with {_codes(more)}" if more else ""
    if not everywhere:
        return only_some
    return f"with {_codes(everywhere)}" + (f", also {only_some}" if more else "")


def _codes(functions: frozenset[int]) -> str:
    codes = [f"{one:02d}" for one in sorted(functions)]
    return f"function {codes[0]}" if len(codes) == 1 else f"functions {', '.join(codes[:-1])} and {codes[-1]}"


def who_words(addresses: Sequence[int]) -> str:
    """Return addresses as the subject of a sentence: '14, 24 and 45'."""
    pieces = address_list(addresses).split(", ")
    return f"{', '.join(pieces[:-1])} and {pieces[-1]}" if len(pieces) > 1 else pieces[0]
