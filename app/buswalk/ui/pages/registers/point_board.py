"""The last look at each point of each device, from the stream; and what became of the exchange behind it."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import ExceptionReply, Outcome
from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import ReadBack, WriteBegun
from buswalk.domain.registers.writing.intended import KnownPlace
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.domain.watching.events import PointNotRead, PointRefused
from buswalk.domain.watching.sampling import plotted, quality_of
from buswalk.ui.outcome_kinds import kind_of

OUTCOMES_KEPT = 64
MOVED_WITHIN_S = 60.0


@dataclass(frozen=True, slots=True)
class PointLook:
    """One look at a point.

    Attributes:
        exception_code: Of a refusal; 0 else.
        outcome: What came in a word, where no right reply did.
        told_before: Refused now, though it was told earlier in this watch.
    """

    sample: Sample
    at_s: float
    exception_code: int = 0
    outcome: str = ""
    told_before: bool = False


@dataclass(slots=True)
class PointStory:
    """The last look, the last that brought words, and what moved lately."""

    last: PointLook
    words: tuple[int, ...] = ()
    numbers: deque[tuple[float, float]] = field(default_factory=lambda: deque(maxlen=1000))

    def moved(self, now_s: float) -> tuple[float, float] | None:
        """Return the least and the largest number of the last minute; None with fewer than two."""
        late = [number for at_s, number in self.numbers if at_s >= now_s - MOVED_WITHIN_S and number == number]
        return (min(late), max(late)) if len(late) > 1 else None


class PointBoard:
    """Follows the stream."""

    def __init__(self) -> None:
        self._outcomes: dict[int, Outcome] = {}
        self._stories: dict[tuple[int, str], PointStory] = {}
        self._left_out: dict[tuple[int, str], str] = {}
        self._places: dict[tuple[int, str], tuple[Table, int]] = {}
        self._words: dict[tuple[int, Table, int], int] = {}
        self._written: dict[int, tuple[int, Point]] = {}

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted():
                for one in (self._outcomes, self._stories, self._left_out, self._places, self._words, self._written):
                    one.clear()
            case ExchangeDone(exchange):
                self._outcomes[exchange.number] = exchange.outcome
                if len(self._outcomes) > OUTCOMES_KEPT:
                    self._outcomes.pop(next(iter(self._outcomes)))
            case PointsWatched(server_address=address, points=points):
                for point in points:
                    self._know((address, point.name), (point.table, point.register_address))
            case SamplesTaken():
                for sample in event.samples:
                    self._sampled(event, sample)
            case PointRefused(server_address=address, point=name, told_before=told_before):
                self._refused((address, name), event.exception_code, told_before=told_before)
            case WriteBegun(write=number, intended=intended) if isinstance(intended.place, KnownPlace):
                self._written[number] = (intended.server_address, intended.place.point)
            case ReadBack(write=number, words=words, at_s=at_s) if words and number in self._written:
                self._read_back(*self._written[number], words, at_s)
            case PointNotRead(server_address=address, point=name, why=why):
                self._left_out[address, name] = why.value
            case _:
                pass

    def story(self, server_address: int, point: str) -> PointStory | None:
        """Return what is known of a point."""
        return self._stories.get((server_address, point))

    def left_out(self, server_address: int, point: str) -> str:
        """Return why a point is not read; empty if it is."""
        return self._left_out.get((server_address, point), "")

    def word_at(self, server_address: int, table: Table, register_address: int) -> tuple[int, ...]:
        """Return the word that was last read there; empty for none."""
        word = self._words.get((server_address, table, register_address))
        return () if word is None else (word,)

    def forget(self, server_address: int) -> None:
        """The points of this device are about to mean something else."""
        for of_device in (self._stories, self._left_out):
            for key in [one for one in of_device if one[0] == server_address]:
                del of_device[key]

    def _know(self, key: tuple[int, str], place: tuple[Table, int]) -> None:
        """A point that stands elsewhere than before begins anew: it is another list, or the list is shifted."""
        if self._places.get(key, place) != place:
            self._stories.pop(key, None)
        self._places[key] = place
        self._left_out.pop(key, None)

    def _sampled(self, event: SamplesTaken, sample: Sample) -> None:
        key = (event.server_address, sample.point)
        outcome = self._outcomes.get(event.exchange)
        code = outcome.exception_code if isinstance(outcome, ExceptionReply) else 0
        word = ""
        if sample.quality is Quality.NO_REPLY:
            word = kind_of(outcome, is_expected=True).word if outcome is not None else "no reply"
        look = PointLook(sample, event.at_s, code, word)
        story = self._stories.setdefault(key, PointStory(look))
        if sample.quality is Quality.REFUSED and story.last.told_before:
            look = PointLook(sample, event.at_s, code, word, told_before=True)
        story.last = look
        if sample.words:
            story.words = sample.words
            story.numbers.append((event.at_s, sample.number))
            if key in self._places:
                table, first = self._places[key]
                for i, one in enumerate(sample.words):
                    self._words[event.server_address, table, first + i] = one

    def _read_back(self, server_address: int, point: Point, words: tuple[int, ...], at_s: float) -> None:
        """What is read back after a write is a look like any other."""
        value = value_of(point, words)
        sample = Sample(point.name, words, plotted(value), quality_of(point, value))
        story = self._stories.setdefault((server_address, point.name), PointStory(PointLook(sample, at_s)))
        story.last, story.words = PointLook(sample, at_s), words
        story.numbers.append((at_s, sample.number))

    def _refused(self, key: tuple[int, str], exception_code: int, *, told_before: bool) -> None:
        story = self._stories.get(key)
        if story is not None:
            last = story.last
            story.last = PointLook(last.sample, last.at_s, exception_code, last.outcome, told_before)
