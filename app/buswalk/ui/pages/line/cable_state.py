"""The pair along its cable: devices in their order with their states, in words and shapes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.search.events import Found
from buswalk.domain.site.comparison import Compared, PlannedState, Sightings, is_in_doubt
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.line.adapter_words import AdapterSwitches, SwitchSeen
from buswalk.ui.wording import address_list, plural

_STATES = {
    PlannedState.NOT_ASKED: (AddressState.TO_ASK, "planned, not asked yet"),
    PlannedState.AS_PLANNED: (AddressState.ANSWERED, "answers as planned"),
    PlannedState.OTHER_SETTING: (AddressState.IN_DOUBT, "answers at another setting"),
    PlannedState.IN_DOUBT: (AddressState.IN_DOUBT, "in doubt"),
    PlannedState.SILENT: (AddressState.PLANNED_SILENT, "planned but silent"),
    PlannedState.QUIET: (AddressState.PLANNED_SILENT, "answered, quiet now"),
}


@dataclass(frozen=True, slots=True)
class CablePoint:
    """One device on the picture; `words` are its whole state."""

    number: int
    state: AddressState
    words: str


@dataclass(frozen=True, slots=True)
class CableGroup:
    """Neighbours that hang at the same spot: from the index of the first to that of the last."""

    words: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class CableState:
    """The picture.

    Attributes:
        words: On the card. `sentence` tells the same where something was asked.
        points: On the cable, in order.
        strangers: That answer and whose place is not known.
        client_end: What is noted of the adapter's end of the pair.
        is_terminated: Whether the user has seen the adapter's terminator on.
    """

    aside: str
    words: str
    sentence: str
    points: tuple[CablePoint, ...]
    groups: tuple[CableGroup, ...]
    strangers: tuple[CablePoint, ...]
    client_end: str
    is_terminated: bool


def cable_state(
    devices: tuple[PlannedDevice, ...], sightings: Sightings, switches: AdapterSwitches, aside: str, job: str
) -> CableState:
    """Return the picture of a plan and what is known of it; numbers of a running job are not the last."""
    so_far = " so far" if job else ""
    compared = [sightings.compare(device) for device in devices]
    strangers = sightings.strangers(devices)
    return CableState(
        aside=aside,
        words=_words(compared, strangers, so_far),
        sentence=state_words(Counter(one.state for one in compared), len(strangers), so_far),
        points=tuple(_point(one) for one in compared),
        groups=_groups(devices),
        strangers=tuple(_stranger(one) for one in strangers),
        client_end=f"bias {switches.bias.value}, terminator {switches.terminator.value}",
        is_terminated=switches.terminator is SwitchSeen.ON,
    )


def _point(compared: Compared) -> CablePoint:
    state, words = _STATES[compared.state]
    device = compared.device
    return CablePoint(device.server_address, state, f"{device.server_address}, {device.name}: {words}")


def _stranger(found: Found) -> CablePoint:
    state = AddressState.IN_DOUBT if is_in_doubt(found) else AddressState.NOT_IN_PLAN
    return CablePoint(found.server_address, state, f"{found.server_address}: answers, not in plan, place not known")


def _groups(devices: Sequence[PlannedDevice]) -> tuple[CableGroup, ...]:
    groups: list[CableGroup] = []
    for i, device in enumerate(devices):
        if groups and groups[-1].words == device.where and groups[-1].last == i - 1:
            groups[-1] = CableGroup(device.where, groups[-1].first, i)
        else:
            groups.append(CableGroup(device.where, i, i))
    return tuple(group for group in groups if group.words)


def _words(compared: Sequence[Compared], strangers: Sequence[Found], so_far: str) -> str:
    """Return who is in trouble, by address; a plan that is empty or not asked yet says so."""
    if not compared:
        return "No device is planned: write a list on Plan, or search for what is there."
    states = {one.state for one in compared}
    if states == {PlannedState.NOT_ASKED} and not strangers:
        return f"{plural(len(compared), 'device')} planned, none asked yet. Numbers are the planned addresses."
    silent = _addresses(compared, PlannedState.SILENT, PlannedState.QUIET)
    doubtful = _addresses(compared, PlannedState.IN_DOUBT, PlannedState.OTHER_SETTING)
    doubtful += [one.server_address for one in strangers if is_in_doubt(one)]
    pieces = [f"Silent{so_far}: {address_list(silent)}."] if silent else []
    pieces += [f"In doubt: {address_list(doubtful)}."] if doubtful else []
    return " ".join(pieces) or "None is silent, none in doubt."


def _addresses(compared: Sequence[Compared], *states: PlannedState) -> list[int]:
    return [one.device.server_address for one in compared if one.state in states]


def state_words(counts: Counter[PlannedState], strangers: int, so_far: str) -> str:
    """Return the sentence of state of a plan, numbers first; `so_far` where they will still change."""
    named = (
        (PlannedState.AS_PLANNED, "as planned"),
        (PlannedState.IN_DOUBT, "in doubt"),
        (PlannedState.OTHER_SETTING, "at another setting"),
    )
    answering = sum(counts[state] for state, _ in named) + strangers
    pieces = [f"{counts[state]} {words}" for state, words in named if counts[state]]
    pieces += [f"{strangers} not in plan"] if strangers else []
    answer = plural(answering, "answers", "answer")
    sentence = f"{answer}{so_far}: {', '.join(pieces)}." if answering else "None answers yet."
    silent = counts[PlannedState.SILENT] + counts[PlannedState.QUIET]
    if silent:
        sentence += f" {silent} planned {'is' if silent == 1 else 'are'} silent."
    if counts[PlannedState.NOT_ASKED]:
        sentence += f" {counts[PlannedState.NOT_ASKED]} not asked yet."
    return sentence
