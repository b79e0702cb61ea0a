"""The words of the page Plan: how a device stands, what a whole plan comes to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.search.events import Doubt, Found
from buswalk.domain.site.comparison import Compared, PlannedState, alike, is_in_doubt
from buswalk.domain.site.plan_check import PlanCheck
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.plan.plan_state import CheckItem, CheckSign, Fact, PlaceState
from buswalk.ui.tones import Tone
from buswalk.ui.wording import address_list, plural, stamp

WITHOUT_REPEATER = 32
"""So many devices are always allowed on one pair; more depends on their unit loads (Serial Line V1.02, 3.4.1)."""
PLACES_SHOWN = 6
DOUBLED_SHOWN = 2
_DOUBTS = {
    Doubt.ANSWERS_SOMETIMES: "not each time",
    Doubt.DAMAGED_REPLIES: "replies damaged",
    Doubt.SECOND_ANSWER: "second answer",
    Doubt.ANSWERS_DIFFER: "answers differ",
    Doubt.ANSWERS_AS_ANOTHER: "answers as another",
}


def settings_words(settings: SerialSettings) -> str:
    """Return a setting as it was found; without parity the stop bits cannot be known."""
    if settings.parity is Parity.NONE:
        return f"{settings.baud_rate} no parity"
    return str(settings)


def now_words(compared: Compared) -> tuple[str, Tone, AddressState]:
    """Return how a planned device stands: words, tone, shape."""
    match compared.state:
        case PlannedState.NOT_ASKED:
            return "not asked yet", Tone.INK3, AddressState.TO_ASK
        case PlannedState.AS_PLANNED:
            return "as planned", Tone.INK2, AddressState.ANSWERED
        case PlannedState.OTHER_SETTING:
            return f"at {_found_settings(compared.found)}", Tone.DOUBT, AddressState.IN_DOUBT
        case PlannedState.IN_DOUBT:
            return _doubt_words(compared), Tone.DOUBT, AddressState.IN_DOUBT
        case PlannedState.SILENT:
            return "silent", Tone.FAULT, AddressState.PLANNED_SILENT
        case PlannedState.QUIET:
            return "quiet now", Tone.FAULT, AddressState.PLANNED_SILENT


def _found_settings(found: Sequence[Found]) -> str:
    return settings_words(alike(found[0].settings))


def _doubt_words(compared: Compared) -> str:
    for found in compared.found:
        for doubt in found.doubts:
            if doubt in _DOUBTS:
                return _DOUBTS[doubt]
    if any(is_in_doubt(found) for found in compared.found):
        return "not sure yet"
    return "never whole"


def plan_sentence(compared: Sequence[Compared], open_rows: int, strangers: int) -> str:
    """Return the sentence of state, numbers first."""
    counts = Counter(one.state for one in compared)
    total = len(compared) + open_rows
    answering = counts[PlannedState.AS_PLANNED]
    pieces = [f"{answering} as planned"] if answering else []
    for state, words in (
        (PlannedState.IN_DOUBT, "in doubt"),
        (PlannedState.OTHER_SETTING, "at another setting"),
        (PlannedState.QUIET, "quiet now"),
        (PlannedState.SILENT, "silent"),
        (PlannedState.NOT_ASKED, "not asked yet"),
    ):
        pieces += [f"{counts[state]} {words}"] if counts[state] else []
    pieces += [f"{open_rows} without an address"] if open_rows else []
    beside = f" {plural(strangers, 'answers', 'answer')}, not in plan." if strangers else ""
    if counts[PlannedState.NOT_ASKED] == total:
        return f"{total} planned, none asked yet.{beside}"
    return f"{total} planned: {', '.join(pieces)}.{beside}"


def check_items(check: PlanCheck, open_places: Sequence[int]) -> tuple[CheckItem, ...]:
    """Return what is to say of the plan as a whole; cautions first, then what holds."""
    items = [*_address_items(check, open_places), *_setting_items(check)]
    if check.checked > len(SERVER_ADDRESSES):
        words = f"One pair has {len(SERVER_ADDRESSES)} addresses: some belong on another."
        items.append(CheckItem(CheckSign.CAUTION, f"{check.checked} devices on one pair", words))
    elif check.checked > WITHOUT_REPEATER:
        words = f"{WITHOUT_REPEATER} are always allowed without a repeater; more depends on their unit loads."
        items.append(CheckItem(CheckSign.CAUTION, f"{check.checked} devices on one pair", words))
    return tuple(sorted(items, key=lambda item: item.sign is CheckSign.HOLDS))


def _address_items(check: PlanCheck, open_places: Sequence[int]) -> list[CheckItem]:
    items = [
        CheckItem(
            CheckSign.CAUTION,
            f"Address {one.server_address} stands {'twice' if len(one.places) == 2 else f'{len(one.places)} times'}",
            f"Places {places_words(one.places)}: give each another one.",
        )
        for one in check.doubled[:DOUBLED_SHOWN]
    ]
    rest = [one.server_address for one in check.doubled[DOUBLED_SHOWN:]]
    if rest:
        head = f"{plural(len(rest), 'more address stands', 'more addresses stand')} more than once"
        items.append(CheckItem(CheckSign.CAUTION, head, f"{address_list(rest, at_most=4)}: give each another one."))
    if open_places:
        words = f"{_place_noun(open_places)} {places_words(open_places)}: kept on this page only, until it is written."
        items.append(CheckItem(CheckSign.CAUTION, f"{plural(len(open_places), 'row')} without an address", words))
    if not items:
        words = f"{check.checked} of {check.checked} checked."
        items.append(CheckItem(CheckSign.HOLDS, "No address twice, none outside 1 to 247", words))
    return items


def _setting_items(check: PlanCheck) -> list[CheckItem]:
    items: list[CheckItem] = []
    if check.without_setting:
        head = f"{plural(len(check.without_setting), 'device')} without a setting"
        words = f"{_place_noun(check.without_setting)} {places_words(check.without_setting)}: fine if it takes any."
        items.append(CheckItem(CheckSign.CAUTION, head, words))
    if len(check.settings) > 1:
        words = "The client must change its setting between devices."
        items.append(CheckItem(CheckSign.CAUTION, f"{len(check.settings)} settings on one pair", words))
    elif check.settings and not check.without_setting:
        items.append(CheckItem(CheckSign.HOLDS, f"One setting on the pair: {check.settings[0]}", "For all devices."))
    return items


def _place_noun(places: Sequence[int]) -> str:
    return "Place" if len(places) == 1 else "Places"


def places_words(places: Sequence[int]) -> str:
    """Return places as a list in words; what is too long is counted."""
    shown = [str(place) for place in places[:PLACES_SHOWN]]
    left = len(places) - len(shown)
    if left:
        return f"{', '.join(shown)} and {left} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def place_state(compared: Compared, points: tuple[str, ...], wall_time: str) -> PlaceState:
    """Return one place in detail."""
    device, found = compared.device, compared.found
    settings = "takes any, or not told" if device.settings is None else str(device.settings)
    facts = [
        Fact("Setting", settings),
        Fact("Board", device.board or "not told"),
        Fact("Where", device.where or "not told"),
    ]
    if device.device_type:
        facts.append(Fact("Type", device.device_type))
    if found:
        facts.append(Fact("Found at", " and ".join(settings_words(alike(one.settings)) for one in found[:2])))
        facts.append(Fact("Confirmed", f"{found[0].answered} of {found[0].confirmations} times"))
    if compared.unclear:
        facts.append(Fact("Heard", compared.unclear, Tone.DOUBT))
    if compared.silences:
        facts.append(Fact("Asked without an answer", plural(compared.silences, "time")))
    if compared.last_asked_s is not None and wall_time:
        facts.append(Fact("Last asked", stamp(wall_time, compared.last_asked_s)))
    words, tone, _ = now_words(compared)
    return PlaceState(
        title=f"Place {device.place}",
        name=device.name,
        address=str(device.server_address),
        answers=words,
        answers_tone=Tone.INK if tone in (Tone.INK2, Tone.INK3) else tone,
        facts=tuple(facts),
        open_points=points,
    )


def stranger_line(found: Found) -> str:
    """Return a device that is not planned."""
    says = " ".join(one.text for one in found.identity.objects if one.text) or "says nothing of itself"
    return f"{found.server_address} at {settings_words(alike(found.settings))}: {says}"
