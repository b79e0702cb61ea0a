"""Which points are drawn and which are watched: the rows to choose from, and what is chosen. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.ui.pages.trend.trend_state import PickState
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard, WatchedPoint
from buswalk.ui.pages.trend.ways import ChoosableDevice, TrendWays
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import seconds_words

MOST_DRAWN_AT_FIRST = 12


class Picking:
    """Points of the stream and points of known devices, in one list."""

    def __init__(self, board: WatchedBoard, ways: TrendWays) -> None:
        self._board = board
        self._ways = ways
        self._hidden: set[PointKey] = set()
        self._drawn: set[PointKey] = set()
        self._keys: tuple[PointKey, ...] = ()
        self._devices: tuple[ChoosableDevice, ...] = ()
        self.choice = WatchedChoice()
        self.is_open = False

    def open(self) -> None:
        """Show the list; what can be chosen is asked for anew."""
        self._devices = self._ways.choosable()
        self.is_open = True

    def close(self) -> None:
        """Show the plots again."""
        self.is_open = False

    def watched(self, event: PointsWatched) -> None:
        """Take what is watched now: it is what F5 watches again."""
        names = tuple(dict.fromkeys(point.name for point in event.points))
        device = ChosenDevice(event.server_address, event.settings, event.profile, names)
        self.choice = self.choice.with_device(device)

    def choose(self, choice: WatchedChoice) -> None:
        """Take a choice that was made elsewhere."""
        self.choice = choice

    def shown(self) -> tuple[WatchedPoint, ...]:
        """Return the points that are drawn: measures first come, first drawn, until somebody chooses."""
        points = [one for one in self._board.points.values() if len(one.series)]
        at_first = [one.key for one in points if one.unit][:MOST_DRAWN_AT_FIRST] or [one.key for one in points]
        wanted = (set(at_first) | self._drawn) - self._hidden
        return tuple(one for one in points if one.key in wanted or not one.key.device)

    def toggle(self, row: int) -> None:
        """Draw a point or leave it out; one that is not watched yet is put into what F5 watches, or out of it."""
        if not 0 <= row < len(self._keys):
            return
        key = self._keys[row]
        if key in self._board.points and len(self._board.points[key].series):
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
        for device in self._devices:
            for point in device.points:
                key = PointKey(device.server_address, point.name)
                if key not in self._board.points and point.value_type.layout not in (Layout.TEXT, Layout.TIME):
                    keys.append(key)
                    words = point.words or point.name
                    rows.append(_row(key, (words, point.unit, self._is_chosen(key)), "F5 watches it"))
        self._keys = tuple(keys)
        sentence, tone, has_hand = hand
        return PickState(tuple(rows), sentence, tone, has_hand)

    def _watched_row(self, point: WatchedPoint, is_shown: bool) -> Row:
        period = point.series.period_s
        every = f"every {seconds_words(period)}" if period == period else "no value yet"
        what = every if point.key.device else "hand instrument"
        return _row(point.key, (point.words, point.unit, is_shown), what if is_shown else f"{what}, not drawn")

    def _is_chosen(self, key: PointKey) -> bool:
        return any(one.server_address == key.device and key.point in one.points for one in self.choice.devices)

    def _toggle_choice(self, key: PointKey) -> None:
        device = next((one for one in self._devices if one.server_address == key.device), None)
        if device is None:
            return
        have = next((one for one in self.choice.devices if one.server_address == key.device), None)
        if have is None:
            have = ChosenDevice(device.server_address, device.settings, device.profile, ())
        points = tuple(one for one in have.points if one != key.point)
        points = points if len(points) < len(have.points) else (*have.points, key.point)
        self.choice = self.choice.with_device(replace(have, points=points))


def _row(key: PointKey, told: tuple[str, str, bool], words: str) -> Row:
    name, unit, is_on = told
    weight = Weight.BOLD if is_on else Weight.REGULAR
    return (
        Cell("yes" if is_on else "no", Tone.INK if is_on else Tone.INK3, weight),
        Cell(str(key.device) if key.device else "", weight=Weight.KEY),
        Cell(name, weight=weight),
        Cell(unit),
        Cell(words if is_on or key.device == 0 or "every" in words else "not watched", Tone.INK2),
    )
