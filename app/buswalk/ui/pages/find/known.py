"""What the user knows of the line before a search, and the plan that follows: settings, addresses, listening."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.search.events import AmongOthers, Depth, SearchPlan
from buswalk.domain.search.prior import Mistaken, settings_at, usual_settings
from buswalk.ui.wording import address_list

LISTEN_S = 10.0
_PIECE = re.compile(r"(?<!\w)(\d+)(?:\s*(?:-|–|to)\s*(\d+))?(?!\w)")


class Framing(Enum):
    """Parity and stop bits as far as the user knows them; without parity one or two stop bits are asked as one."""

    ANY = "any framing"
    NO_PARITY = "no parity"
    EVEN = "8E1"
    ODD = "8O1"

    @property
    def words(self) -> str:
        """As the list shows it."""
        return "8N1 or 8N2" if self is Framing.NO_PARITY else self.value


_PARITIES = {Framing.NO_PARITY: Parity.NONE, Framing.EVEN: Parity.EVEN, Framing.ODD: Parity.ODD}


class LineIs(Enum):
    """Whether anybody else can be on this line."""

    LIVE = "live: listen first"
    ALONE = "one device on a lead"


DEPTH_WORDS = {Depth.QUICK: "quick", Depth.THOROUGH: "thorough"}
"""How the list names them."""


class WhichAddresses(Enum):
    """Which addresses are asked."""

    ALL = "all"
    PLANNED = "planned"
    TYPED = "typed"


@dataclass(frozen=True, slots=True)
class Known:
    """What the user has chosen.

    Attributes:
        baud_rates: None named: any.
        typed: Addresses the user has written, in order.
        may_probe_living_line: The user has said that another client may be disturbed.
        among_others: How, then.
    """

    baud_rates: tuple[int, ...] = ()
    framing: Framing = Framing.ANY
    addresses: WhichAddresses = WhichAddresses.ALL
    typed: tuple[int, ...] = ()
    line_is: LineIs = LineIs.LIVE
    depth: Depth = Depth.QUICK
    may_probe_living_line: bool = False
    among_others: AmongOthers = AmongOthers.IN_PAUSES


def usual_speeds() -> tuple[int, ...]:
    """Return the speeds that are asked, likeliest first."""
    return tuple(dict.fromkeys(one.baud_rate for one in usual_settings()))


def settings_of(known: Known) -> dict[SerialSettings, float]:
    """Return the settings to ask in, likeliest first: the usual ones, or all that fit what the user names."""
    usual = usual_settings()
    if not known.baud_rates and known.framing is Framing.ANY:
        return usual
    speeds = known.baud_rates or usual_speeds()
    parities = tuple(_PARITIES.values()) if known.framing is Framing.ANY else (_PARITIES[known.framing],)
    return settings_at(speeds, parities)


def addresses_of(known: Known, planned: frozenset[int]) -> tuple[int, ...]:
    """Return the addresses to ask; all of them where a plan is wanted and there is none."""
    if known.addresses is WhichAddresses.PLANNED and planned:
        return tuple(sorted(planned))
    if known.addresses is WhichAddresses.TYPED and known.typed:
        return known.typed
    return tuple(SERVER_ADDRESSES)


def plan_of(known: Known, planned: frozenset[int], mistaken: Mistaken = ()) -> SearchPlan:
    """Return the plan of a search."""
    return SearchPlan(
        addresses=addresses_of(known, planned),
        settings=settings_of(known),
        planned=planned,
        mistaken=mistaken,
        listen_s=LISTEN_S if known.line_is is LineIs.LIVE else 0.0,
        may_probe_living_line=known.may_probe_living_line,
        among_others=known.among_others,
        depth=known.depth,
    )


class WrongAddresses(ValueError):
    """Typed addresses that cannot be asked; the sentence says which and why."""


def typed_addresses(text: str) -> tuple[int, ...]:
    """Return what `11, 14, 21-24` means.

    Raises:
        WrongAddresses: Something in it is no address of a device.
    """
    rest = _PIECE.sub("", text).strip(" ,;\t\n")
    if rest:
        raise WrongAddresses(f"'{rest}' is no address: write 11, 14, 21 to 24")
    addresses: set[int] = set()
    for matched in _PIECE.finditer(text):
        first, last = int(matched[1]), int(matched[2] or matched[1])
        if first > last:
            raise WrongAddresses(f"{first} to {last} runs backwards: write the lower one first")
        if first not in SERVER_ADDRESSES or last not in SERVER_ADDRESSES:
            raise WrongAddresses(f"{matched[0]} leaves 1 to {SERVER_ADDRESSES[-1]}: no device has another address")
        addresses.update(range(first, last + 1))
    if not addresses:
        raise WrongAddresses("no address is written: write 11, 14, 21 to 24")
    return tuple(sorted(addresses))


def addresses_words(known: Known, planned: frozenset[int]) -> str:
    """Return which addresses are asked, in words."""
    match known.addresses:
        case WhichAddresses.PLANNED if planned:
            return f"planned ones ({len(planned)})"
        case WhichAddresses.TYPED if known.typed:
            return address_list(known.typed, at_most=4)
        case _:
            return "1 to 247, plan first" if planned else "1 to 247"
