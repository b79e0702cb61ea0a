"""Knows the cycle of the watch that runs or ran last, and asks it what if. Plain Python."""

from __future__ import annotations

import re

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.registers.cycle_forecast import CycleForecast, MeasuredCycle
from buswalk.domain.registers.cycle_words import percent_words, seconds_words, what_if_words
from buswalk.domain.registers.measured_costs import MEASURED_ENOUGH
from buswalk.domain.registers.samples import PointsWatched, Quality, SamplesTaken
from buswalk.domain.registers.what_if import (
    USUAL_SPEEDS,
    MoreDevices,
    OtherSpeed,
    OtherTimeOut,
    TheseSilent,
    WhatIf,
    WhatIfForecast,
    what_if,
)
from buswalk.domain.visit.session_events import JobStarted, SessionStarted
from buswalk.domain.watching.events import CycleForecasted
from buswalk.ui.pages.cycle_state import BarLine, CycleChoice, CycleState, WhatIfState
from buswalk.ui.wording import address_list, plural

AS_IT_IS, NONE, LIKE_THESE = "as it is", "none", "these"
TIME_OUTS_S = (0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0, 5.0)
MORE = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30, 50, 100)
NOTHING_YET = (
    "No cycle is measured yet. Watch points (F5): after 20 answers of each device it stands here what a cycle takes, "
    "what limits it, and what would help most."
)
_PART = re.compile(r"\s*(\d{1,3})\s*(?:(?:-|to)\s*(\d{1,3})\s*)?")


class CycleDesk:
    """Takes the stream; holds what was chosen."""

    def __init__(self) -> None:
        self.is_open = False
        self._told: CycleForecasted | None = None
        self._answers: dict[int, int] = {}
        self._speed = self._time_out = self._more = self._like = 0
        self._silent = ""

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        if not isinstance(item, Kept):
            return
        match item.event:
            case SessionStarted() | JobStarted(name="watch"):
                self._told = None
                self._answers.clear()
            case PointsWatched(server_address=address):
                self._answers.setdefault(address, 0)
            case SamplesTaken(server_address=address, samples=samples):
                is_answer = any(one.quality in (Quality.GOOD, Quality.DOUBTFUL, Quality.REFUSED) for one in samples)
                self._answers[address] = self._answers.get(address, 0) + is_answer
            case CycleForecasted(cycle=cycle) as told if cycle.devices:
                self._told = told
            case _:
                pass

    # What the user does

    def toggle(self) -> None:
        """Show the cycle, or what was shown before."""
        self.is_open = not self.is_open

    def close(self) -> None:
        """Show something else."""
        self.is_open = False

    def choose_speed(self, at: int) -> None:
        """All devices at another speed; the first is as it is."""
        self._speed = at

    def choose_time_out(self, at: int) -> None:
        """Wait so long for replies; the first is as it is."""
        self._time_out = at

    def choose_more(self, at: int) -> None:
        """So many devices more; the first is none."""
        self._more = at

    def choose_like(self, at: int) -> None:
        """What they are like; the first is all that answer."""
        self._like = at

    def type_silent(self, text: str) -> None:
        """Take these devices for dead."""
        self._silent = text

    # What is shown

    @property
    def state(self) -> CycleState:
        """Everything that is drawn."""
        if self._told is None:
            return CycleState(told=self._waiting_words())
        told = self._told
        forecast = told.forecast
        devices = [one for one in told.cycle.devices if not one.is_absent]
        return CycleState(
            seconds_words(forecast.cycle_s),
            f"One cycle: {plural(forecast.exchanges, 'request')} to {plural(len(devices), 'device')}, as measured.",
            _parts(forecast),
            tuple(
                BarLine(one.what, min(1.0, one.saves_s / forecast.cycle_s), f"saves {seconds_words(one.saves_s)}")
                for one in told.helps
            ),
            tuple(_sentences(told)),
            self._what_if(told.cycle),
        )

    def _waiting_words(self) -> str:
        waiting = {address: count for address, count in self._answers.items() if count < MEASURED_ENOUGH}
        if not waiting:
            return NOTHING_YET
        address, count = min(waiting.items(), key=lambda pair: pair[1])
        return (
            f"Being measured: {count} of {MEASURED_ENOUGH} answers of {address} so far, which has the fewest. "
            "Then it stands here what a cycle takes."
        )

    def _what_if(self, cycle: MeasuredCycle) -> WhatIfState:
        addresses = tuple(dict.fromkeys(one.server_address for one in cycle.devices))
        silent, problem = _addresses_of(self._silent, addresses)
        changes = tuple(self._changes(addresses, silent))
        told = what_if(cycle, changes) if changes else None
        return WhatIfState(
            CycleChoice((AS_IT_IS, *(f"{one} baud" for one in USUAL_SPEEDS)), self._speed),
            CycleChoice((AS_IT_IS, *(seconds_words(one) for one in TIME_OUTS_S)), self._time_out),
            CycleChoice((NONE, *map(str, MORE)), self._more),
            CycleChoice((LIKE_THESE, *map(str, addresses)), min(self._like, len(addresses))),
            self._silent,
            problem,
            _bars(told) if told else (),
            tuple(f"{one[0].upper()}{one[1:]}." for one in what_if_words(told)) if told else (),
        )

    def _changes(self, addresses: tuple[int, ...], silent: tuple[int, ...]) -> list[WhatIf]:
        changes: list[WhatIf] = []
        if self._speed:
            changes.append(OtherSpeed(USUAL_SPEEDS[self._speed - 1]))
        if self._time_out:
            changes.append(OtherTimeOut(TIME_OUTS_S[self._time_out - 1]))
        if self._more:
            like = addresses[self._like - 1] if 0 < self._like <= len(addresses) else 0
            changes.append(MoreDevices(MORE[self._more - 1], like))
        if silent:
            changes.append(TheseSilent(silent))
        return changes


def _parts(forecast: CycleForecast) -> tuple[BarLine, ...]:
    whole_s = sum(one.seconds for one in forecast.parts)
    shares = ((one, one.seconds / whole_s) for one in forecast.parts)
    return tuple(
        BarLine(one.part.value, share, f"{seconds_words(one.seconds)}, {percent_words(share)}") for one, share in shares
    )


def _sentences(told: CycleForecasted) -> list[str]:
    forecast = told.forecast
    said = []
    if forecast.demand > 1.0:
        said.append(
            f"The periods ask for {forecast.demand:.1f} times what the line can carry: all of them become longer alike."
        )
    elif forecast.demand > 0.0:
        said.append(f"The periods take {percent_words(forecast.demand)} of the line's time.")
    silent = [one.server_address for one in told.cycle.devices if one.is_absent]
    if silent:
        said.append(f"Silent, and asked rarely: {address_list(silent)}.")
    return said


def _bars(told: WhatIfForecast) -> tuple[BarLine, ...]:
    if not told.answering:
        return ()
    both = {"now": told.now.cycle_s, "then": told.then.cycle_s}
    if told.silent:
        both["if all are asked"] = told.asking_all_s
    longest_s = max(*both.values(), 1e-9)
    return tuple(BarLine(words, seconds / longest_s, seconds_words(seconds)) for words, seconds in both.items())


def _addresses_of(text: str, watched: tuple[int, ...]) -> tuple[tuple[int, ...], str]:
    """Return the watched addresses that a text names, and one sentence where it cannot be read."""
    found: list[int] = []
    for part in text.split(",") if text.strip() else ():
        read = _PART.fullmatch(part)
        if read is None:
            return (), f"'{part.strip()}' is no address: write such as 21, 24 to 26."
        first, last = int(read.group(1)), int(read.group(2) or read.group(1))
        wrong = next((one for one in (first, last) if one not in SERVER_ADDRESSES), None)
        if wrong is not None or first > last:
            return (), f"'{part.strip()}' cannot be: addresses are 1 to 247, the lower one first."
        inside = [one for one in watched if first <= one <= last]
        if not inside:
            return (), f"{part.strip()} is not watched: {address_list(watched)} are."
        found += inside
    return tuple(dict.fromkeys(found)), ""
