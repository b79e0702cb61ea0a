"""What a device does beside answering: every parameter of it that a scenario can set."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.servers.register_map import Table

AUTOMATIC_SPEEDS_BAUD = (9600, 19200, 38400, 4800, 2400)
AUTOMATIC_DWELL_S = 10.0
AUTOMATIC_FRAMES_NEEDED = 3


class GapCountsFrom(Enum):
    """Behind which frame a device wants its pause."""

    OWN_FRAME = "own_frame"
    ANY_FRAME = "any_frame"


class GapReaction(Enum):
    """What a device does when it is asked too soon."""

    IGNORES = "ignores"
    RESTARTS = "restarts"


class Refusal(Enum):
    """How a device says no to what it does not know."""

    EXCEPTION = "exception"
    SILENCE = "silence"


class WriteEffect(Enum):
    """What becomes of a written value."""

    AT_ONCE = "at_once"
    AFTER_RESTART = "after_restart"
    """Read back it is there at once; what it does waits for the supply to be cycled."""
    AFTER_SAVE = "after_save"
    """The same, until a register is written that saves; without it the supply takes it away again."""
    IGNORED = "ignored"
    CLIPPED = "clipped"
    FALLS_BACK = "falls_back"


@dataclass(frozen=True, slots=True)
class Turnaround:
    """End of request to first bit of reply, in seconds: a least, a median, and a share of long ones up to a most."""

    least_s: float = 0.005
    median_s: float = 0.015
    tail_share: float = 0.0
    most_s: float = 0.015

    def __post_init__(self) -> None:
        if not 0 <= self.least_s <= self.median_s or self.most_s < self.median_s:
            raise ValueError("a turnaround has least <= median <= most")


class LossRecovery(Enum):
    """How a device leaves the safe state that it took because nobody asked it."""

    WHEN_ASKED = "when_asked"
    AFTER_RESTART = "after_restart"
    """It has tripped: only its supply, or writing the values anew, brings it back."""


@dataclass(frozen=True, slots=True)
class LossReaction:
    """Not asked for `timer_s` (0 for never), a device puts safe values into its tables."""

    timer_s: float = 0.0
    safe_values: tuple[tuple[Table, int, int], ...] = ()
    recovery: LossRecovery = LossRecovery.WHEN_ASKED


@dataclass(frozen=True, slots=True)
class Memory:
    """Where written holding registers are kept.

    Attributes:
        wearing: Registers in memory that wears: every write counts.
        volatile: Registers that fall back when the supply goes.
        counter_at: Input register that counts those writes, high word first; -1 for none.
        life_writes: After so many, writing fails with exception 04; 0 for never.
        written_before: How many there were already.
    """

    wearing: frozenset[int] = frozenset()
    volatile: frozenset[int] = frozenset()
    counter_at: int = -1
    life_writes: int = 0
    written_before: int = 0

    def __post_init__(self) -> None:
        if self.wearing & self.volatile:
            raise ValueError("a register is kept in memory that wears or is volatile, not both")


@dataclass(frozen=True, slots=True)
class Disobedience:
    """Ways in which devices break the standard; the defaults are obedient.

    Attributes:
        answers_every_address: It answers whatever the address, and repeats it.
        answers_as: Its replies carry this address in place of the one asked; 0 for none.
        refuses_foreign_frames: It sends an exception before it looks at address and CRC.
        answers_broadcast: It replies to address 0.
        byte_count_is_quantity: The byte count of its replies counts registers.
        check_sum_is_swapped: It sends the CRC high byte first.
        reply_ends_after: It stops sending after so many bytes; 0 for never.
        confused_s: So long after a request that nobody answered it ignores the next.
        drops_reply_when_others_talk: A request heard before its reply has begun cancels the reply.
    """

    answers_every_address: bool = False
    answers_as: int = 0
    refuses_foreign_frames: bool = False
    answers_broadcast: bool = False
    byte_count_is_quantity: bool = False
    check_sum_is_swapped: bool = False
    reply_ends_after: int = 0
    confused_s: float = 0.0
    drops_reply_when_others_talk: bool = False


@dataclass(frozen=True, slots=True)
class SpeedCode:
    """What a number in the speed register stands for."""

    code: int
    settings: SerialSettings


@dataclass(frozen=True, slots=True)
class DeviceHabits:
    """All of it; the defaults are a good device.

    Attributes:
        checks_parity: A device that does not takes any byte, and answers in its own framing.
        functions: Function codes it knows.
        unknown_function, outside_map: How it refuses.
        outside_code: Exception code for a span outside its map.
        largest_quantity: Registers in one request; more is refused with code 03.
        pause_inside: After how many bytes of a reply it pauses, and for how long.
        busy_until_s: Until then it answers exception `busy_code`.
        address_register, speed_register: Holding registers by which it is set to another address, or to another
            speed and framing by one of `speed_codes`; -1 for none.
        save_register: Holding register whose writing saves, where that is what a write needs; -1 for none.
    """

    settings: SerialSettings
    automatic_speed: bool = False
    checks_parity: bool = True
    turnaround: Turnaround = Turnaround()
    boot_s: float = 2.0
    minimum_gap_s: float = 0.0
    gap_counts_from: GapCountsFrom = GapCountsFrom.OWN_FRAME
    gap_reaction: GapReaction = GapReaction.IGNORES
    functions: frozenset[int] = frozenset({0x03, 0x04, 0x06, 0x10})
    unknown_function: Refusal = Refusal.EXCEPTION
    outside_map: Refusal = Refusal.EXCEPTION
    outside_code: int = 0x02
    largest_quantity: int = 125
    pause_inside: tuple[int, float] = (0, 0.0)
    release_late_characters: float = 0.1
    enable_late_characters: float = 0.0
    write_effect: WriteEffect = WriteEffect.AT_ONCE
    falls_back_after_s: float = 10.0
    clip_to: tuple[int, int] = (0, 0xFFFF)
    address_register: int = -1
    speed_register: int = -1
    speed_codes: tuple[SpeedCode, ...] = ()
    busy_until_s: float = 0.0
    busy_code: int = 0x06
    save_register: int = -1
    memory: Memory = Memory()
    loss: LossReaction = LossReaction()
    speaks_ascii: bool = False
    disobedience: Disobedience = Disobedience()
