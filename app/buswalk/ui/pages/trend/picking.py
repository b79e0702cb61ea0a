"""Which points are drawn and which are watched: the rows to choose from, and what is chosen. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.domain.watching.plan import MOST_RETRIES, PointPeriod, Retries
from buswalk.ui.pages.trend.period_words import periods_sentence, seconds_of
from buswalk.ui.pages.trend.trend_state import PickState
from buswalk.ui.pages.trend.unread_points import UnreadPoints
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard, WatchedPoint
from buswalk.ui.pages.trend.ways import KnownDevice, TrendWays
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import seconds_words

MOST_DRAWN_AT_FIRST = 12
RECOGNISED = "recognised: "
NOT_CHOSEN = "Choose a point that is watched first: its period is said then."


class Picking:
    """Points of the stream and points of known devices, in one list."""

    def __init__(self, board: WatchedBoard, unread: UnreadPoints, ways: TrendWays) -> None:
        self._board = board
        self._unread = unread
        self._ways = ways
        self._device = 0
        self._library: tuple[RegisterProfile, ...] = ()
        self._hidden: set[PointKey] = set()
        self._drawn: set[PointKey] = set()
        self._keys: tuple[PointKey, ...] = ()
        self._known: tuple[KnownDevice, ...] = ()
        self._profiles: tuple[RegisterProfile, ...] = ()
        self._offered: dict[int, tuple[KnownDevice, RegisterProfile]] = {}
        self._problem = ""
        self.choice = WatchedChoice()
        self.is_open = False
        self._is_record = False

    def show_live(self, board: WatchedBoard) -> None:
        """Choose among what is watched and what can be."""
        self._board, self._is_record = board, False

    def show_record(self, board: WatchedBoard) -> None:
        """Choose among what a record has: which points are drawn, and so read from it."""
        self._board, self._is_record = board, True

    def open(self) -> None:
        """Show the list; what can be chosen is asked for anew."""
        self._known = self._ways.devices()
        library = self._ways.library()
        self._library = library.profiles
        self.choose_device(min(self._device, max(len(self._known) - 1, 0)))
        self._problem = library.problems[0] if library.problems else ""
        self.is_open = True

    def choose_device(self, device: int) -> None:
        """Say whose profile is to be chosen: those that it was recognised by stand first."""
        self._device = device
        fits = self._fits
        self._profiles = tuple(sorted(self._library, key=lambda one: one.name not in fits))

    @property
    def _fits(self) -> tuple[str, ...]:
        return self._known[self._device].fits if 0 <= self._device < len(self._known) else ()

    def offer(self, device: int, profile: int) -> None:
        """List the points of a device as a profile describes it: which one is it, the user knows."""
        if 0 <= device < len(self._known) and 0 <= profile < len(self._profiles):
            known = self._known[device]
            before = self._offered.get(known.server_address)
            self._offered[known.server_address] = (known, self._profiles[profile])
            if before is not None and before[1].name != self._profiles[profile].name:
                nothing = ChosenDevice(known.server_address, known.settings, self._profiles[profile].name, ())
                self.choice = self.choice.with_device(nothing)

    def close(self) -> None:
        """Show the plots again."""
        self.is_open = False

    def watched(self, event: PointsWatched) -> None:
        """Take what is watched now: it is what F5 watches again."""
        names = tuple(dict.fromkeys(point.name for point in event.points))
        device = ChosenDevice(event.server_address, event.settings, event.profile, names)
        before = self.choice.device(event.server_address)
        if before is not None and before.profile == event.profile:
            device = replace(before, settings=event.settings).with_points(names)
        self.choice = self.choice.with_device(device)

    def read_point_every(self, row: int, text: str) -> None:
        """Read the point of a row so often: text as it was typed."""
        have, seconds = self._chosen_at(row), self._seconds(text)
        if have is not None and seconds is not None:
            period = PointPeriod(self._keys[row].point, seconds)
            self.choice = self.choice.with_device(have.with_period(period))

    def read_device_every(self, row: int, text: str) -> None:
        """Read all points of the device of a row so often."""
        have, seconds = self._chosen_at(row), self._seconds(text)
        if have is not None and seconds is not None:
            self.choice = self.choice.with_device(replace(have, period_s=seconds, periods=()))

    def choose_retries(self, most: int) -> None:
        """Send a request that was not answered again, so many times."""
        if 0 <= most <= MOST_RETRIES:
            self.choice = replace(self.choice, retries=Retries(most))

    def _chosen_at(self, row: int) -> ChosenDevice | None:
        key = self._keys[row] if 0 <= row < len(self._keys) else PointKey(0, "")
        have = self.choice.device(key.device)
        self._problem = "" if have is not None and key.point in have.points else NOT_CHOSEN
        return have if not self._problem else None

    def _seconds(self, text: str) -> float | None:
        told = seconds_of(text)
        if isinstance(told, float):
            return told
        self._problem = told
        return None

    def choose(self, choice: WatchedChoice) -> None:
        """Take a choice that was made elsewhere."""
        self.choice = choice

    def shown(self) -> tuple[WatchedPoint, ...]:
        """Return the points that are drawn: measures first come, first drawn, until somebody chooses."""
        points = [one for one in self._board.points.values() if len(one.series) or self._is_record]
        at_first = [one.key for one in points if one.unit][:MOST_DRAWN_AT_FIRST] or [one.key for one in points]
        wanted = (set(at_first) | self._drawn) - self._hidden
        return tuple(one for one in points if one.key in wanted or not one.key.device)

    def toggle(self, row: int) -> None:
        """Draw a point or leave it out; one that is not watched yet is put into what F5 watches, or out of it."""
        if not 0 <= row < len(self._keys):
            return
        key = self._keys[row]
        if key in self._board.points and (self._is_record or len(self._board.points[key].series)):
            is_shown = any(one.key == key for one in self.shown())
            (self._hidden.add if is_shown else self._hidden.discard)(key)
            (self._drawn.discard if is_shown else self._drawn.add)(key)
        else:
            self._toggle_choice(key)

    def state(self, hand: tuple[str, Tone, bool]) -> PickState:
        """Return the rows."""
        if not self.is_open:
            return PickState()
        shown = {one.key for one in self.shown()}
        rows = [self._watched_row(one, one.key in shown) for one in self._board.points.values()]
        keys = list(self._board.points)
        if self._is_record:
            self._keys = tuple(keys)
            return PickState(tuple(rows), *hand, is_record=True)
        for device, profile in self._offered.values():
            for point in profile.points:
                key = PointKey(device.server_address, point.name)
                if key not in self._board.points and _can_be_offered(point):
                    keys.append(key)
                    words = point.words or point.name
                    rows.append(_row(key, (words, point.unit, self._is_chosen(key)), self._offer_words(key)))
        self._keys = tuple(keys)
        sentence, tone, has_hand = hand
        devices = tuple(" ".join((str(one.server_address), one.name)).rstrip() for one in self._known)
        fits = self._fits
        titles = tuple(f"{RECOGNISED}{one.title}" if one.name in fits else one.title for one in self._profiles)
        periods, most = periods_sentence(self.choice), self.choice.retries.most
        return PickState(
            tuple(rows), sentence, tone, has_hand, devices, titles, self._problem, self._device, periods, most
        )

    def _watched_row(self, point: WatchedPoint, is_shown: bool) -> Row:
        period = point.series.period_s
        every = f"every {seconds_words(period)}" if period == period else "no value yet"
        what = every if point.key.device else "hand instrument"
        if self._is_record and point.key.device:
            what = "in the record"
        words = ("" if self._is_record else self._unread.why(point.key)) or (what if is_shown else f"{what}, not drawn")
        return _row(point.key, (point.words, point.unit, is_shown), words)

    def _offer_words(self, key: PointKey) -> str:
        have = self.choice.device(key.device)
        if have is None or key.point not in have.points:
            return "not watched"
        period = have.period_of(key.point)
        return f"F5 watches it, every {seconds_words(period)}" if period else "F5 watches it"

    def _is_chosen(self, key: PointKey) -> bool:
        return any(one.server_address == key.device and key.point in one.points for one in self.choice.devices)

    def _toggle_choice(self, key: PointKey) -> None:
        if key.device not in self._offered:
            return
        device, profile = self._offered[key.device]
        have = self.choice.device(key.device)
        if have is None or have.profile != profile.name:
            have = ChosenDevice(device.server_address, device.settings, profile.name, ())
        points = tuple(one for one in have.points if one != key.point)
        points = points if len(points) < len(have.points) else (*have.points, key.point)
        self.choice = self.choice.with_device(have.with_points(points))


def _can_be_offered(point: Point) -> bool:
    """Texts and times are no curves; what reading clears is never watched by a press too many."""
    return point.value_type.layout not in (Layout.TEXT, Layout.TIME) and not point.clears_on_read


def _row(key: PointKey, told: tuple[str, str, bool], words: str) -> Row:
    name, unit, is_on = told
    weight = Weight.BOLD if is_on else Weight.REGULAR
    return (
        Cell("yes" if is_on else "no", Tone.INK if is_on else Tone.INK3, weight),
        Cell(str(key.device) if key.device else "", weight=Weight.KEY),
        Cell(name, weight=weight),
        Cell(unit),
        Cell(words, Tone.INK2),
    )
