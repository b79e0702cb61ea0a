"""The hands on a simulated line and its time: what can be done, what was done. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.bus.messages import Done, Hand, HandsOffered, Kept, Refused, SetFactor, StreamItem, UseHand
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import MarkMade, MarkSource, PlanKept, SessionStarted
from buswalk.ui.live.feed import Commands

FACTORS = (1.0, 10.0, 100.0)
FACTOR_WORDS = ("real", "10 times", "100 times")
ACTS_ON_ALL = (Hand.PLANT_ON, Hand.PLANT_OFF, Hand.ON_BATTERY, Hand.ON_CHARGER)


@dataclass(frozen=True, slots=True)
class HandsState:
    """Both cards.

    Attributes:
        places: To choose from.
        fan_words: The fan can be switched on and off.
        battery_words: The laptop can be taken off its charger and put back.
        factor_index: Of FACTORS; -1 for another one.
    """

    places: tuple[str, ...]
    chosen: int
    fan_words: str
    battery_words: str
    done: str
    factor_index: int
    time_words: str


class Hands:
    """Knows what the simulated line offers and what was done to it."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self._begin(10.0)

    def _begin(self, factor: float) -> None:
        self._devices: tuple[str, ...] = ()
        self._planned: tuple[PlannedDevice, ...] = ()
        self._chosen = 0
        self._sent: dict[int, Hand | float] = {}
        self._is_plant_on = False
        self._is_on_battery = False
        self._factor = factor
        self._acts = 0
        self._last_act = ""

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case HandsOffered(devices):
                self._devices = devices
            case Kept(event=SessionStarted(factor=factor)):
                self._begin(factor)
            case Kept(event=PlanKept(devices)):
                self._planned = devices
            case Kept(event=MarkMade(words, MarkSource.HAND)):
                self._last_act = words
            case Done(command_id) if command_id in self._sent:
                self._done(self._sent.pop(command_id))
            case Refused(command_id) if command_id in self._sent:
                del self._sent[command_id]
            case _:
                pass

    def _done(self, act: Hand | float) -> None:
        if isinstance(act, float):
            self._factor = act
            return
        self._acts += 1
        if act in (Hand.PLANT_ON, Hand.PLANT_OFF):
            self._is_plant_on = act is Hand.PLANT_ON
        if act in (Hand.ON_BATTERY, Hand.ON_CHARGER):
            self._is_on_battery = act is Hand.ON_BATTERY

    @property
    def are_offered(self) -> bool:
        """Whether the line that is open has hands."""
        return bool(self._devices)

    def choose(self, index: int) -> None:
        """Choose a place."""
        if 0 <= index < len(self._devices):
            self._chosen = index

    def use(self, hand: Hand) -> None:
        """Do it at the chosen place; acts on plant and laptop need none."""
        if not self._devices:
            return
        at = "" if hand in ACTS_ON_ALL else self._devices[self._chosen]
        self._sent[self._commands.send(UseHand(hand, at))] = hand

    def switch_fan(self) -> None:
        """Switch the plant that makes noise."""
        self.use(Hand.PLANT_OFF if self._is_plant_on else Hand.PLANT_ON)

    def switch_battery(self) -> None:
        """Take the laptop off its charger, or put it back."""
        self.use(Hand.ON_CHARGER if self._is_on_battery else Hand.ON_BATTERY)

    def set_factor(self, index: int) -> None:
        """Hurry the time of the line."""
        self._sent[self._commands.send(SetFactor(FACTORS[index]))] = FACTORS[index]

    @property
    def state(self) -> HandsState:
        """What is shown."""
        return HandsState(
            places=tuple(self._place_words(place, name) for place, name in enumerate(self._devices, start=1)),
            chosen=self._chosen,
            fan_words="Fan off" if self._is_plant_on else "Fan on",
            battery_words="On charger" if self._is_on_battery else "On battery",
            done=self._done_words(),
            factor_index=FACTORS.index(self._factor) if self._factor in FACTORS else -1,
            time_words=self._time_words(),
        )

    def _place_words(self, place: int, name: str) -> str:
        addresses = [one.server_address for one in self._planned if one.name == name]
        return f"{addresses[0]}, {name}, place {place}" if addresses else f"{name}, place {place}"

    def _done_words(self) -> str:
        if not self._acts or not self._last_act:
            return "nothing: all plugged in, fan off"
        return f"{self._last_act} (act {self._acts})" if self._acts > 1 else self._last_act

    def _time_words(self) -> str:
        passes = "as fast as" if self._factor == 1 else f"{self._factor:g} times as fast as"
        return f"Runs {passes} a clock on the wall. Times and durations on all pages are line time."
