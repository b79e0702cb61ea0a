"""What the cards at the side say, and what their rows mean. Plain Python."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.trend.moment_story import MomentTold, SpanTold, Together
from buswalk.domain.trend.which_moved import PointMoved
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.trend.trend_state import FiguresState, GapName, MarkFlag, ReadingsState
from buswalk.ui.pages.trend.trend_words import (
    moved_row,
    ranking_words,
    reading_row,
    statistics_card,
    step_card,
    together_row,
)
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedPoint
from buswalk.ui.pages.trend.working_out import key_text
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import stamp

CURSOR, MOVED, TOGETHER = range(3)
MOST_ROWS = 200
WORKING = "Being worked out."
NO_MARK = "Set a mark (Ctrl+M) when you warm or switch something: then it is told who moved."
Points = Mapping[PointKey, WatchedPoint]


class Unsaid(Enum):
    """Why there are no figures."""

    DRAWN_COARSELY = "Over so long a time only extremes are read, as they are drawn: zoom in for figures."


DRAWN_COARSELY = Unsaid.DRAWN_COARSELY
Told = SpanTold | MomentTold | Unsaid | None


@dataclass(frozen=True, slots=True)
class Moment:
    """Where readings are taken, and how it is said."""

    at_s: float
    words: str


@dataclass(frozen=True, slots=True)
class _Place:
    at_s: float
    flag: MarkFlag | None
    row: Row


class SideCards:
    """Makes the cards; remembers which row is which."""

    def __init__(self) -> None:
        self.keys: tuple[PointKey, ...] = ()
        self._places: tuple[_Place, ...] = ()

    def readings(
        self,
        face: int,
        points: Sequence[WatchedPoint],
        chosen: WatchedPoint | None,
        moment: Moment,
        told: Told,
        everyone: Points,
    ) -> ReadingsState:
        """Return the table at the top."""
        by_text = {key_text(one.key): one for one in everyone.values()}
        match face:
            case 1:
                ranking = told.ranking if isinstance(told, MomentTold) else ()
                seen = [one for one in ranking if one.name in by_text]
                self.keys = tuple(by_text[one.name].key for one in seen)
                rows = tuple(moved_row(one, by_text[one.name]) for one in seen)
                heads = ("Point", "Change", "Noise")
                sentence = "" if rows else _wait(told) if isinstance(told, MomentTold | Unsaid) else NO_MARK
            case 2:
                together = [one for one in _together(told) if one.name in by_text]
                self.keys = tuple(by_text[one.name].key for one in together)
                rows = tuple(together_row(one, by_text[one.name]) for one in together)
                heads = (f"With {chosen.name}" if chosen else "With", "r", "Lag")
                sentence = "" if rows else _wait(told) or "There is no other point to compare with."
            case _:
                self.keys = tuple(one.key for one in points)
                rows = tuple(
                    reading_row(one, moment.at_s, Weight.BOLD if one is chosen else Weight.REGULAR) for one in points
                )
                heads = ("Point", moment.words, "")
                sentence = ""
        at = self.keys.index(chosen.key) if chosen and chosen.key in self.keys else -1
        return ReadingsState(face, heads, "", rows, at, sentence)

    def before(self, chosen: WatchedPoint | None, mark: MarkFlag | None, told: Told) -> FiguresState:
        """Return the card of rest: before the mark, or of what is in sight."""
        if chosen is None:
            return FiguresState("", "")
        title = f"Before mark {mark.number}" if mark else "In this window"
        match told:
            case MomentTold(before=before):
                return statistics_card(chosen, title, before)
            case SpanTold(statistics=statistics):
                return statistics_card(chosen, title, statistics)
            case _:
                return FiguresState(title, chosen.name, (), _wait(told))

    def after(
        self, chosen: WatchedPoint | None, mark: MarkFlag | None, told: Told, everyone: Points
    ) -> FiguresState | None:
        """Return the card of the response; none without a mark."""
        if chosen is None or mark is None:
            return None
        title = f"Step after mark {mark.number}"
        if not isinstance(told, MomentTold):
            return FiguresState(title, chosen.name, (), _wait(told))
        by_text = {key_text(one.key): one for one in everyone.values()}
        alike = [one for one in told.ranking if one.name in by_text and by_text[one.name].unit == chosen.unit]
        return step_card(chosen, title, told.response, self._ranked(alike, by_text))

    def _ranked(self, alike: Sequence[PointMoved], by_text: Mapping[str, WatchedPoint]) -> str:
        devices = [by_text[one.name].key.device for one in alike]
        is_one_each = len(set(devices)) == len(devices)
        return ranking_words(alike, lambda name: str(by_text[name].key.device) if is_one_each else by_text[name].name)

    def marks(self, flags: Sequence[MarkFlag], gaps: Sequence[GapName], wall_time: str) -> tuple[Row, ...]:
        """Return marks and gaps in order of time, the last of them."""
        places = [_Place(one.at_s, one, _mark_row(one, wall_time)) for one in flags]
        places += [_Place(one.begins_s, None, _gap_row(one, wall_time)) for one in gaps[-MOST_ROWS:]]
        self._places = tuple(sorted(places, key=lambda place: place.at_s)[-MOST_ROWS:])
        return tuple(place.row for place in self._places)

    def place(self, row: int) -> tuple[float | None, MarkFlag | None]:
        """Return the moment of a row, and its mark if it is one."""
        if not 0 <= row < len(self._places):
            return None, None
        return self._places[row].at_s, self._places[row].flag

    def row_of(self, mark: MarkFlag | None) -> int:
        """Return the row of a mark; -1 for none."""
        return next((at for at, place in enumerate(self._places) if mark is not None and place.flag == mark), -1)


def _wait(told: Told) -> str:
    """Return why there is nothing yet; empty if there is."""
    if isinstance(told, Unsaid):
        return told.value
    return WORKING if told is None else ""


def _together(told: Told) -> Sequence[Together]:
    return told.together if isinstance(told, SpanTold | MomentTold) else ()


def _mark_row(flag: MarkFlag, wall_time: str) -> Row:
    words = flag.words or "mark"
    if flag.ends_s is not None:
        words = f"{words}, to {stamp(wall_time, flag.ends_s)}"
    return Cell(str(flag.number), weight=Weight.BOLD), Cell(stamp(wall_time, flag.at_s)), Cell(words)


def _gap_row(gap: GapName, wall_time: str) -> Row:
    return (
        Cell("", shape=OutcomeKind.NO_REPLY, spoken="gap"),
        Cell(stamp(wall_time, gap.begins_s)),
        Cell(gap.words, Tone.DOUBT),
    )
