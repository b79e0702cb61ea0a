"""'The display shows 21.4': looks, what could mean it, the list shifted as a whole, scales from pairs. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from buswalk.domain.registers.conversion import raw_of
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.type_names import type_words
from buswalk.domain.registers.value_finder.finding import Look, TableWords, ValueFinder
from buswalk.domain.registers.value_finder.meaning import Candidate, Meaning
from buswalk.domain.registers.value_finder.shifted_list import ListShift, list_shifts, proposed_shift
from buswalk.domain.registers.value_finder.shown import Shown, shown
from buswalk.domain.registers.value_finder.tidy_scale import MeasuredPair, NoScale, solve_scale
from buswalk.domain.registers.value_type import Layout
from buswalk.ui.pages.registers.point_words import TABLE_WORDS, with_signs
from buswalk.ui.pages.registers.registers_state import FinderState
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

MOST_ROWS = 40
FIRST_WORDS = (
    "Type what a display or a hand meter shows now, digit for digit. All registers read of this device are searched in "
    "every type, order and usual scale. Change the value, look again: what does not follow drops out."
)


@dataclass(frozen=True, slots=True)
class TakenLook:
    """What was shown, and what the focused point held then."""

    text: str
    registers: int


class FinderDesk:
    """Looks at one device; another device, and it begins anew."""

    def __init__(self) -> None:
        self.begin_anew(-1)

    def begin_anew(self, server_address: int) -> None:
        """Forget the looks."""
        self._finder = ValueFinder()
        self._device = server_address
        self._looks: list[TakenLook] = []
        self._displays: dict[str, Shown] = {}
        self._pairs: dict[str, list[MeasuredPair]] = {}
        self._candidates: tuple[Candidate, ...] = ()
        self._shift: tuple[ListShift, ListShift] | None = None
        self._told, self._tone = FIRST_WORDS, Tone.INK2
        self._wanted: Shown | None = None
        self._wanted_text = ""
        self.chosen = 0

    def want(self, server_address: int, text: str) -> bool:
        """Take what is shown; tell whether it is a number, so that the device is to be read."""
        if server_address != self._device:
            self.begin_anew(server_address)
        try:
            self._wanted, self._wanted_text = shown(text), text.strip()
        except ValueError as reason:
            self._wanted = None
            self.tell(f"{str(reason)[0].upper()}{str(reason)[1:]}.", Tone.DOUBT)
            return False
        self.tell("Reading…")
        return True

    @property
    def is_waiting(self) -> bool:
        """Whether a look waits for what is read."""
        return self._wanted is not None

    def look(self, read: Sequence[TableWords], profile: RegisterProfile, point: Point | None) -> None:
        """Compare what was shown with what was read."""
        wanted, self._wanted = self._wanted, None
        if wanted is None:
            return
        registers = sum(len(one.words) for one in read)
        if not registers:
            self.tell("Nothing could be read of this device: no look was taken.", Tone.DOUBT)
            return
        self._finder.take(Look(wanted, tuple(read)))
        self._looks.append(TakenLook(self._wanted_text, registers))
        self._candidates = self._finder.candidates
        self.chosen = 0
        self.tell("")
        if point is not None:
            self._note_point(point, wanted, read)
        shifts = list_shifts(profile.points, read, self._displays)
        best = proposed_shift(shifts)
        listed = next(one for one in shifts if one.is_as_listed)
        self._shift = None if best.is_as_listed else (best, listed)

    def _note_point(self, point: Point, wanted: Shown, read: Sequence[TableWords]) -> None:
        """The value shown is taken for the focused point's: for the shift of the list, and for its scale."""
        self._displays[point.name] = wanted
        words = _words_at(point, read)
        if words and point.value_type.layout not in (Layout.TEXT, Layout.BIT, Layout.TIME):
            raw = raw_of(point.value_type, words)
            if isinstance(raw, Decimal):
                self._pairs.setdefault(point.name, []).append(MeasuredPair(raw, wanted))

    def tell(self, words: str, tone: Tone = Tone.INK2) -> None:
        """Say something in place of the sentence."""
        self._told, self._tone = words, tone

    def choose(self, row: int) -> None:
        """Choose a candidate."""
        self.chosen = row

    @property
    def meaning(self) -> Meaning | None:
        """The simplest meaning of the chosen candidate."""
        if not 0 <= self.chosen < len(self._candidates):
            return None
        return self._candidates[self.chosen].meanings[0]

    @property
    def registers_shift(self) -> int:
        """By how many registers the list seems to be shifted; 0 for none, or for another table."""
        return self._shift[0].registers if self._shift is not None and not self._shift[0].is_other_table else 0

    def state(self, server_address: int, point: Point | None) -> FinderState:
        """Return what the card shows."""
        if server_address != self._device:
            self.begin_anew(server_address)
        name = (point.words or point.name) if point is not None else ""
        return FinderState(
            told=self._told or self._sentence(),
            tone=self._tone,
            rows=tuple(_row(one) for one in self._candidates[:MOST_ROWS]),
            chosen=self.chosen,
            shift=self._shift_words(),
            shift_button=f"Shift the list by {self.registers_shift:+d}" if abs(self.registers_shift) == 1 else "",
            scale=self._scale_words(point),
            of_point=name,
        )

    def _sentence(self) -> str:
        looks = ", ".join(one.text for one in self._looks)
        count = len(self._candidates)
        found = "nothing means it" if not count else plural(count, "meaning fits", "meanings fit")
        more = "" if count <= 1 else " Change the value and look again."
        hidden = f" The first {MOST_ROWS} are shown." if count > MOST_ROWS else ""
        registers = self._looks[-1].registers
        return (
            f"{plural(len(self._looks), 'look')} ({looks}) at {plural(registers, 'register')}: {found}.{more}{hidden}"
        )

    def _shift_words(self) -> str:
        if self._shift is None:
            return ""
        best, listed = self._shift
        where = "the other table" if best.is_other_table else ""
        by = f"shifted by {best.registers:+d}".replace("-", "−") if best.registers else ""
        what = " and ".join(one for one in (by, where) if one)
        return (
            f"The whole list may be off ({what}): there {best.shown_fit} of {best.shown_asked} shown values fit and "
            f"{best.plausible} of {best.judged} values are in their range; as listed {listed.shown_fit} and "
            f"{listed.plausible} of {listed.judged}."
        )

    def _scale_words(self, point: Point | None) -> str:
        pairs = self._pairs.get(point.name, []) if point is not None else []
        if len(pairs) < 2:
            return ""
        try:
            solved = solve_scale(pairs)
        except NoScale as reason:
            return f"{str(reason)[0].upper()}{str(reason)[1:]}."
        said = f"By {len(pairs)} pairs of the focused point: × {solved.scale:.6g} + {solved.offset:.6g}"
        if not solved.tidy:
            return f"{said}; no tidy factor is near."
        tidy = solved.tidy[0]
        return f"{said}; the nearest tidy factor is {tidy.factor.words}, + {tidy.offset:f}."


def _words_at(point: Point, read: Sequence[TableWords]) -> tuple[int, ...]:
    for one in read:
        start = point.register_address - one.first
        if one.table is point.table and start >= 0 and start + point.value_type.words <= len(one.words):
            return one.words[start : start + point.value_type.words]
    return ()


def _row(candidate: Candidate) -> Row:
    meaning = candidate.meanings[0]
    scaling = f"× {meaning.scaling.scale:f}"
    if meaning.scaling.offset:
        scaling += f" {'+' if meaning.scaling.offset > 0 else '−'} {abs(meaning.scaling.offset):f}"
    also = len(candidate.meanings) - 1
    kind = type_words(meaning.value_type) + (f" and {plural(also, 'more type')}" if also else "")
    last = candidate.numbers[-1]
    return (
        Cell(f"{TABLE_WORDS[meaning.table][:-1]} {meaning.register_address}", weight=Weight.BOLD),
        Cell(kind),
        Cell(scaling),
        Cell(with_signs(f"{last:.6g}"), weight=Weight.BOLD),
    )
