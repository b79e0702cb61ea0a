"""The second port of a controller: a client on a pair of its own, whose values the first port shows to others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.reference_codec.check_sum import closed, is_closed_right
from simulated_line.servers.answers import Refused, Unanswered
from simulated_line.servers.register_map import RegisterMap, Table
from simulated_line.station import Appointment, Burst, Heard, Pair

FUNCTIONS = {Table.HOLDING_REGISTERS: 0x03, Table.INPUT_REGISTERS: 0x04}
GATEWAY_TARGET_FAILED = 0x0B
"""Application V1.1b3, 7: no answer from the device behind a gateway."""
NEVER = 0xFFFF
OLDEST_S = 0xFFFE


class WhenLost(Enum):
    """What a controller shows of a device that no longer answers it."""

    KEEPS = "keeps"
    ZERO = "zero"
    ALL_ONES = "all_ones"
    REFUSES = "refuses"
    SILENT = "silent"


@dataclass(frozen=True, slots=True)
class Mirrored:
    """Registers read from a device behind, and where the controller shows them.

    Attributes:
        age_at: Input register that shows for how many seconds they have not been read (0xFFFF for never); -1 for none.

    Raises:
        ValueError: The table cannot be read as registers, or there are too many.
    """

    server_address: int
    table: Table
    register_address: int
    quantity: int
    shown_in: Table
    shown_at: int
    age_at: int = -1

    def __post_init__(self) -> None:
        if self.table not in FUNCTIONS or self.shown_in not in FUNCTIONS:
            raise ValueError("a controller mirrors holding or input registers")
        if not 1 <= self.quantity <= 125:
            raise ValueError("one request reads 1 to 125 registers")


@dataclass(frozen=True, slots=True)
class PortHabits:
    """How the second port asks, and what it makes of silence.

    Attributes:
        period_s: Each device is asked once in this time, unless silence takes longer.
        shown_after_s: For so long behind the last good reply the old values are shown whatever happens.
    """

    settings: SerialSettings
    period_s: float = 1.0
    timeout_s: float = 0.2
    when_lost: WhenLost = WhenLost.KEEPS
    shown_after_s: float = 0.0

    def __post_init__(self) -> None:
        if self.period_s <= 0 or self.timeout_s <= 0:
            raise ValueError("period and timeout of a second port are above zero")


@dataclass(slots=True)
class _Mirror:
    """What is known of one device behind."""

    what: Mirrored
    words: list[int]
    read_s: float = float("-inf")
    is_lost: bool = False


class SecondPort:
    """Asks the devices behind in turn, one request at a time."""

    def __init__(
        self,
        pair: Pair,
        name: str,
        habits: PortHabits,
        mirrored: tuple[Mirrored, ...],
        has_supply: Callable[[], bool],
    ) -> None:
        self._pair = pair
        self._has_supply = has_supply
        self._name = name
        self._habits = habits
        self._mirrors = [_Mirror(one, [0] * one.quantity) for one in mirrored]
        self._asking = 0
        self._timeout: Appointment | None = None
        pair.at(pair.now_s(), self._ask)

    @property
    def name(self) -> str:
        """Unique on its pair."""
        return self._name

    @property
    def receiver_settings(self) -> SerialSettings:
        """What it asks and listens with."""
        return self._habits.settings

    @property
    def is_powered(self) -> bool:
        """It has the supply of its controller."""
        return self._has_supply()

    def show_in(self, registers: RegisterMap) -> None:
        """Put what is mirrored into the tables of the first port."""
        for mirror in self._mirrors:
            what = mirror.what
            words = [_Word(mirror, index, self._habits) for index in range(what.quantity)]
            registers.put(what.shown_in, what.shown_at, *words)
            if what.age_at >= 0:
                registers.put(Table.INPUT_REGISTERS, what.age_at, _Age(mirror))

    def heard(self, heard: Heard) -> None:
        """Take a reply, if it is the one that is waited for."""
        if self._timeout is None:
            return
        mirror = self._mirrors[self._asking]
        what = mirror.what
        head = bytes((what.server_address, FUNCTIONS[what.table], 2 * what.quantity))
        frame = heard.data
        is_reply = frame[:3] == head and len(frame) == 5 + 2 * what.quantity and is_closed_right(frame)
        if not is_reply or any(heard.faults):
            return
        mirror.words[:] = [frame[at] << 8 | frame[at + 1] for at in range(3, len(frame) - 2, 2)]
        mirror.read_s, mirror.is_lost = self._pair.now_s(), False
        self._timeout.call_off()
        self._timeout = None

    def _ask(self) -> None:
        what = self._mirrors[self._asking].what
        body = bytes((what.server_address, FUNCTIONS[what.table]))
        body += what.register_address.to_bytes(2, "big") + what.quantity.to_bytes(2, "big")
        now_s = self._pair.now_s()
        burst = Burst(closed(body), self._habits.settings)
        self._pair.send(self, burst)
        sent_s = now_s + len(burst.data) * self._habits.settings.character_s
        given_up_s = sent_s + self._habits.timeout_s
        self._timeout = self._pair.at(given_up_s, self._give_up)
        next_s = now_s + self._habits.period_s / len(self._mirrors)
        self._pair.at(max(next_s, given_up_s), self._ask_next)

    def _ask_next(self) -> None:
        self._asking = (self._asking + 1) % len(self._mirrors)
        self._ask()

    def _give_up(self) -> None:
        self._timeout = None
        self._mirrors[self._asking].is_lost = True


@dataclass(frozen=True, slots=True)
class _Word:
    """One mirrored register, as the first port reads it."""

    mirror: _Mirror
    index: int
    habits: PortHabits

    def __call__(self, now_s: float) -> int:
        mirror, habits = self.mirror, self.habits
        if not mirror.is_lost or now_s - mirror.read_s < habits.shown_after_s:
            return mirror.words[self.index]
        match habits.when_lost:
            case WhenLost.KEEPS:
                return mirror.words[self.index]
            case WhenLost.ZERO:
                return 0
            case WhenLost.ALL_ONES:
                return 0xFFFF
            case WhenLost.REFUSES:
                raise Refused(GATEWAY_TARGET_FAILED)
            case WhenLost.SILENT:
                raise Unanswered


@dataclass(frozen=True, slots=True)
class _Age:
    """Seconds since the values were read."""

    mirror: _Mirror

    def __call__(self, now_s: float) -> int:
        if self.mirror.read_s < 0:
            return NEVER
        return min(OLDEST_S, int(now_s - self.mirror.read_s))
