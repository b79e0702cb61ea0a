"""What was found beside what was planned, for each device: built from events as they come, valid at every moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import EchoOnly, ExceptionReply, NoReply, NormalReply
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.found_moved import all_moved
from buswalk.domain.search.events import Doubt, Found, Unclear
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import SessionStarted

QUIET_AFTER = 2
"""So many silences in a row, where it answered before, and a device counts as quiet now."""
CONFIRMED_BY = 2
"""A device is sure only after so many clean confirmations."""
DOUBTS_OF_PRESENCE = frozenset(
    {
        Doubt.ANSWERS_SOMETIMES,
        Doubt.DAMAGED_REPLIES,
        Doubt.SECOND_ANSWER,
        Doubt.ANSWERS_DIFFER,
        Doubt.ANSWERS_AS_ANOTHER,
    }
)
"""The others tell how a device wants to be asked, not whether it is there."""


class PlannedState(Enum):
    """How a planned device stands."""

    NOT_ASKED = "not asked"
    AS_PLANNED = "as planned"
    OTHER_SETTING = "other setting"
    """It answers at its address, but not at its setting."""
    IN_DOUBT = "in doubt"
    SILENT = "silent"
    QUIET = "quiet"
    """It answered, and has not done so of late."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A planned device and what is known of its address.

    Attributes:
        found: What answers at its address, one for each setting, the planned one first.
        silences: How often it was asked, where the plan says, without an answer; 0 once it has answered.
        last_asked_s: Line time; None if it never was.
    """

    device: PlannedDevice
    state: PlannedState
    found: tuple[Found, ...] = ()
    unclear: str = ""
    silences: int = 0
    last_asked_s: float | None = None


@dataclass(slots=True)
class _AtSetting:
    answered: int = 0
    silences_in_a_row: dict[int, int] = field(default_factory=dict)
    """By function code: a device may be silent on a function it does not know."""

    @property
    def silences(self) -> int:
        return sum(self.silences_in_a_row.values())


@dataclass(slots=True)
class _Seen:
    found: dict[SerialSettings, Found] = field(default_factory=dict)
    unclear: str = ""
    asked: dict[SerialSettings, _AtSetting] = field(default_factory=dict)
    last_asked_s: float | None = None


class Sightings:
    """Takes events in order and knows of each address what was seen there."""

    def __init__(self) -> None:
        self._seen: dict[int, _Seen] = {}

    def take(self, event: object) -> None:
        """Take an event; a new session begins anew."""
        match event:
            case SessionStarted():
                self._seen.clear()
            case Found():
                self._at(event.server_address).found[alike(event.settings)] = event
            case PlacesLooked():
                self._move(event)
            case Unclear():
                self._at(event.address).unclear = event.sentence
            case ExchangeDone(exchange):
                self._count(exchange)
            case _:
                pass

    def _move(self, looked: PlacesLooked) -> None:
        """A device that was set to another address or speed is seen there, and no longer where it was."""
        found = [one for seen in self._seen.values() for one in seen.found.values()]
        for before, now in zip(found, all_moved(found, looked), strict=True):
            if now is not before:
                del self._at(before.server_address).found[alike(before.settings)]
                self._at(now.server_address).found[alike(now.settings)] = now

    def compare(self, device: PlannedDevice) -> Compared:
        """Return how a planned device stands now."""
        seen = self._seen.get(device.server_address, _Seen())
        wanted = None if device.settings is None else alike(device.settings)
        found = sorted(seen.found.values(), key=lambda one: alike(one.settings) != wanted)
        silences = sum(
            one.silences for settings, one in seen.asked.items() if one.answered == 0 and wanted in (None, settings)
        )
        return Compared(
            device=device,
            state=_state(seen, wanted, silences),
            found=tuple(found),
            unclear=seen.unclear,
            silences=0 if found else silences,
            last_asked_s=seen.last_asked_s,
        )

    def strangers(self, devices: Sequence[PlannedDevice]) -> tuple[Found, ...]:
        """Return what answers at addresses that are not planned, by address; one for each address."""
        planned = {device.server_address for device in devices}
        return tuple(
            next(iter(seen.found.values()))
            for address, seen in sorted(self._seen.items())
            if address not in planned and seen.found
        )

    def _at(self, address: int) -> _Seen:
        return self._seen.setdefault(address, _Seen())

    def _count(self, exchange: Exchange) -> None:
        seen = self._at(exchange.server_address)
        seen.last_asked_s = exchange.ended_s
        at = seen.asked.setdefault(alike(exchange.settings), _AtSetting())
        function = exchange.request.function_code
        match exchange.outcome:
            case NormalReply() | ExceptionReply():
                at.answered += 1
                at.silences_in_a_row[function] = 0
            case NoReply() | EchoOnly():
                at.silences_in_a_row[function] = at.silences_in_a_row.get(function, 0) + 1
            case _:
                pass


def is_in_doubt(found: Found) -> bool:
    """Return whether a device is not surely there: not confirmed twice, or something about its answers is wrong."""
    is_confirmed = found.answered >= min(CONFIRMED_BY, found.confirmations) and found.confirmations >= CONFIRMED_BY
    return not is_confirmed or bool(DOUBTS_OF_PRESENCE.intersection(found.doubts))


def _state(seen: _Seen, wanted: SerialSettings | None, silences: int) -> PlannedState:
    if not seen.found:
        if seen.unclear:
            return PlannedState.IN_DOUBT
        return PlannedState.SILENT if silences else PlannedState.NOT_ASKED
    at_wanted = seen.found.get(wanted) if wanted is not None else next(iter(seen.found.values()))
    if all(_is_quiet(seen, settings) for settings in seen.found):
        return PlannedState.QUIET
    if at_wanted is None:
        return PlannedState.OTHER_SETTING
    return PlannedState.IN_DOUBT if is_in_doubt(at_wanted) else PlannedState.AS_PLANNED


def _is_quiet(seen: _Seen, settings: SerialSettings) -> bool:
    at = seen.asked.get(settings)
    return at is not None and at.silences_in_a_row.get(seen.found[settings].function, 0) >= QUIET_AFTER


def alike(settings: SerialSettings) -> SerialSettings:
    """Return a setting with one stop bit where its stop bits cannot be known, as pages write it.

    Without parity one and two stop bits cannot be told apart: receivers test the first one only.
    """
    if settings.parity is Parity.NONE and settings.stop_bits == 2:
        return SerialSettings(settings.baud_rate, settings.parity, 1, settings.data_bits)
    return settings
