"""What is to be set, and where the device is looked for afterwards."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.search.prior import asked_as
from buswalk.domain.search.probe import probe_cost_s

COMPANY_WAIT_S = 0.1
"""Of each other address; most devices answer within 60 ms, and who is slower is met by the looks that count."""
TWIN_LOOKS = 8
"""Of two that answer at once and differ, so many questions leave less than 1 in 100 that none is damaged."""
TWIN_LISTEN_S = 0.1
"""So late a second device may begin that waited for the first to end (as `COMPANY_WAIT_S`)."""
SETTLE_S = 0.5
"""Some devices take a moment to change over after they have answered (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Where a device answers: its address, and speed and framing.

    Raises:
        ValueError: No server can have this address (Serial Line V1.02, 2.2).
    """

    server_address: int
    settings: SerialSettings

    def __post_init__(self) -> None:
        if self.server_address not in SERVER_ADDRESSES:
            raise ValueError(f"address {self.server_address} is no server's: servers have 1 to 247")

    def __str__(self) -> str:
        return f"{self.server_address} at {self.settings}"


@dataclass(frozen=True, slots=True)
class RegisterValue:
    """One holding register, by the address as sent, and the word it is to take."""

    register_address: int
    value: int


@dataclass(frozen=True, slots=True)
class ReaddressPlan:
    """Everything the guided job needs.

    Attributes:
        writes: In this order; those that only save come last. What they mean stands in the maker's papers.
        reason: Why, in words, for the record.
        company: Addresses that are asked, in the device's present settings, whether somebody else is on the line.
        may_have_company: Somebody else may be: confirmed apart.
        restart_within_s: So long a restart is waited for.
        listen_s: So long is listened first; where anything else sends, nothing is asked.

    Raises:
        ValueError: Nothing would change, or nothing is written.
    """

    before: Reach
    after: Reach
    writes: tuple[RegisterValue, ...]
    reason: str
    company: tuple[int, ...] = tuple(SERVER_ADDRESSES)
    may_have_company: bool = False
    response_timeout_s: float = 1.0
    restart_within_s: float = 180.0
    listen_s: float = 0.0

    def __post_init__(self) -> None:
        if len(self.places) == 1:
            raise ValueError(
                f"the device is at {self.before}; that it is at {self.after} then could not be seen by asking: a "
                "receiver cannot tell one stop bit from two"
            )
        if not self.writes:
            raise ValueError("nothing is written: name the register and its value from the maker's papers")

    @property
    def others(self) -> tuple[int, ...]:
        """The addresses that are asked whether somebody else is there."""
        return tuple(one for one in self.company if one != self.before.server_address)

    @property
    def checks_s(self) -> float:
        """How long it takes to find out that the device is alone, if it is: nothing is written meanwhile."""
        settings = self.before.settings
        elsewhere_s = sum(probe_cost_s(one.settings, self.response_timeout_s) for one in self.places[1:])
        twins_s = TWIN_LOOKS * (probe_cost_s(settings, TWIN_LISTEN_S) + TWIN_LISTEN_S)
        return self.listen_s + len(self.others) * probe_cost_s(settings, COMPANY_WAIT_S) + 3 * elsewhere_s + twins_s

    @property
    def goal(self) -> Reach:
        """Where it is looked for when it is where it should be: `after`, but for stop bits that nobody can tell."""
        return next(one for one in self.places if is_one_place(one, self.after))

    @property
    def places(self) -> tuple[Reach, ...]:
        """Where it can be afterwards: old and new address, each at old and new speed; the first is where it was."""
        addresses = (self.before.server_address, self.after.server_address)
        settings = [self.before.settings]
        if asked_as(self.after.settings) != asked_as(self.before.settings):
            settings.append(self.after.settings)
        return tuple(dict.fromkeys(Reach(address, one) for one in settings for address in addresses))


def is_one_place(one: Reach, other: Reach) -> bool:
    """Whether nobody can tell by asking at which of the two a device is: stop bits are not seen."""
    return one.server_address == other.server_address and asked_as(one.settings) == asked_as(other.settings)
