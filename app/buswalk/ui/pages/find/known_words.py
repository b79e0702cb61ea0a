"""The lists from which the user chooses what is known, and what each entry means. No Qt."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.domain.search.events import Depth
from buswalk.ui.pages.find.known import (
    DEPTH_WORDS,
    Framing,
    Known,
    LineIs,
    WhichAddresses,
    addresses_words,
    usual_speeds,
)
from buswalk.ui.pages.find.search_state import ChoiceState, KnownState

ANY_SPEED = "any speed"
OTHER_ADDRESSES = "other ones…"


@dataclass(frozen=True, slots=True)
class KnownLists:
    """The lists there are for what is known now; `planned` are the addresses of the planned list."""

    known: Known
    planned: frozenset[int]

    @property
    def speeds(self) -> tuple[tuple[int, ...], ...]:
        """Any, each upwards, and those that are asked together if they are several."""
        several = (self.known.baud_rates,) if len(self.known.baud_rates) > 1 else ()
        return ((), *((one,) for one in sorted(usual_speeds())), *several)

    @property
    def _addresses(self) -> tuple[Known, ...]:
        """What each entry of the list of addresses makes of what is known."""
        entries = [replace(self.known, addresses=WhichAddresses.ALL)]
        if self.planned:
            entries.append(replace(self.known, addresses=WhichAddresses.PLANNED))
        if self.known.typed:
            entries.append(replace(self.known, addresses=WhichAddresses.TYPED))
        return tuple(entries)

    def with_speed(self, index: int) -> Known:
        """Return what is known with another speed."""
        return replace(self.known, baud_rates=self.speeds[index])

    def with_framing(self, index: int) -> Known:
        """Return what is known with another framing."""
        return replace(self.known, framing=tuple(Framing)[index])

    def with_line_is(self, index: int) -> Known:
        """Return what is known with another kind of line."""
        return replace(self.known, line_is=tuple(LineIs)[index])

    def with_depth(self, index: int) -> Known:
        """Return what is known with another kind of search."""
        return replace(self.known, depth=tuple(Depth)[index])

    def with_addresses(self, index: int) -> Known:
        """Return what is known with other addresses."""
        return self._addresses[index]

    def with_typed(self, typed: tuple[int, ...]) -> Known:
        """Return what is known with addresses that the user has written."""
        return replace(self.known, addresses=WhichAddresses.TYPED, typed=typed)

    def is_typing_entry(self, index: int) -> bool:
        """Return whether this entry of the list of addresses asks for typing."""
        return index == len(self._addresses)

    def speed_choice(self) -> ChoiceState:
        """The list of speeds."""
        words = tuple(_speeds_words(one) for one in self.speeds)
        return ChoiceState("Speeds", words, self.speeds.index(self.known.baud_rates))

    def framing_choice(self) -> ChoiceState:
        """The list of framings."""
        return ChoiceState("Framings", tuple(one.words for one in Framing), tuple(Framing).index(self.known.framing))

    def address_choice(self) -> ChoiceState:
        """The list of addresses."""
        entries = self._addresses
        words = tuple(addresses_words(one, self.planned) for one in entries)
        chosen = next((i for i, one in enumerate(entries) if one.addresses is self.known.addresses), 0)
        return ChoiceState("Addresses", (*words, OTHER_ADDRESSES), chosen)

    def line_is_choice(self) -> ChoiceState:
        """The list of kinds of line."""
        return ChoiceState("This line is", tuple(one.value for one in LineIs), tuple(LineIs).index(self.known.line_is))

    def depth_choice(self) -> ChoiceState:
        """The list of kinds of search."""
        return ChoiceState("Search", tuple(DEPTH_WORDS[one] for one in Depth), tuple(Depth).index(self.known.depth))


def _speeds_words(speeds: tuple[int, ...]) -> str:
    """Return one speed as it is, several as how many: which ones stands in the matrix."""
    return f"{len(speeds)} in use" if len(speeds) > 1 else str(speeds[0]) if speeds else ANY_SPEED


def known_state(lists: KnownLists, *, is_fixed: bool, typing: str | None, problem: str) -> KnownState:
    """Return the band as shown."""
    return KnownState(
        speeds=lists.speed_choice(),
        framings=lists.framing_choice(),
        addresses=lists.address_choice(),
        line_is=lists.line_is_choice(),
        depth=lists.depth_choice(),
        is_fixed=is_fixed,
        is_typing=typing is not None and not is_fixed,
        typed=typing or "",
        problem=problem,
    )
