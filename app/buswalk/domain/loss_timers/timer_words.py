"""Loss timers as sentences, the same in the window and for commands. Only what is known is said, and what is not."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.loss_timers.timed_devices import KnownTimers, TimedDevice, ToldBy
from buswalk.domain.loss_timers.unasked import Countdown, ServerAskedAgain, ServerUnasked, Stage, UnaskedEvent
from buswalk.domain.registers.loss_timer import NotTold, RunsFor

MOST_NAMED = 6
UNCLEAR = "; bytes that make no frame came, perhaps its client's"
DOCUMENTS = "What timers a device really has, only its documents and its own settings tell."
RESPONSIBLE = (
    "Whoever is responsible for the plant says whether devices may be left unasked so long, and watches it meanwhile; "
    "local codes and the rules of the site come first."
)
NONE_KNOWN = "no loss timer is known here"
NOTHING_SENT = "Nothing is sent to hold it up: that would hide from the plant that its controller no longer asks."


def device_words(device: TimedDevice) -> str:
    """Return one device with its timer: '31 fan, bay 1: stops after 10 s without a request, as delivered'."""
    who, reaction = f"{device.server_address} {device.name}", device.timer.reaction
    match device.setting:
        case RunsFor(seconds):
            told = "as read from it" if device.told_by is ToldBy.DEVICE else "as delivered"
            return f"{who}: {reaction} after {seconds:g} s without a request, {told}"
        case NotTold():
            point = device.point_words or device.timer.point
            return f"{who}: {reaction} when nobody asks it; after how long stands in '{point}', not read yet"
        case _:
            return f"{who}: its timer is off as delivered; if it was set since, it {reaction} when nobody asks it"


def known_lines(timers: KnownTimers, most: int = MOST_NAMED) -> tuple[str, ...]:
    """Return the devices, who reacts first, first; then of whom nothing is known."""
    named = tuple(device_words(one) for one in timers.timed[:most])
    if len(timers.timed) > most:
        named += (f"and {len(timers.timed) - most} more with a loss timer",)
    return (*named, not_known_words(timers))


def not_known_words(timers: KnownTimers) -> str:
    """Return of whom nothing is known: never that there is no danger."""
    others = "other devices" if timers.timed else "devices"
    if not timers.not_known:
        return f"{others} may have a loss timer that is not known here"
    named = addresses_words(timers.not_known)
    their = "its" if len(timers.not_known) == 1 else "their"
    return f"{named} may have a loss timer that is not known here: no profile tells of {their} type"


def addresses_words(addresses: Sequence[int], most: int = MOST_NAMED) -> str:
    """Return addresses: '41, 45 and 51', '1, 2, 3 and 8 more'."""
    if len(addresses) > most:
        return f"{', '.join(map(str, addresses[:most]))} and {len(addresses) - most} more"
    texts = [str(one) for one in addresses]
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"


def short_words(timers: KnownTimers, most: int = 2) -> str:
    """Return the first to react in one sentence without its end; empty where none is known."""
    return "; ".join(device_words(one) for one in timers.timed[:most])


def held_up_words(timers: KnownTimers) -> str:
    """Return what may follow where another client, told of before, is held up: whole sentences."""
    known = short_words(timers)
    return f"If it is held up: {known}." if known else f"If it is held up, a device may fall back: {NONE_KNOWN}."


def countdown_words(one: Countdown) -> str:
    """Return how a device stands: '31 fan, bay 1: not asked for 6 s, stops in 4 s'."""
    device = one.device
    who, reaction = f"{device.server_address} {device.name}", device.timer.reaction
    asked = f"{who}: not heard asked for {one.unasked_s:.0f} s"
    if one.stage is Stage.OVER:
        return f"{asked}, its {device.seconds:g} s are over: see if it {reaction}"
    return f"{asked}, {reaction} in {one.left_s:.0f} s"


def unasked_words(event: UnaskedEvent) -> str:
    """Return what is said when a device is about to react, may have, or is asked again."""
    who = f"{event.server_address} {event.name}"
    match event:
        case ServerUnasked(stage=Stage.OVER):
            unclear = UNCLEAR if event.is_unclear else ""
            asked = f"{who}: heard asked by nobody for {event.timer_s:g} s"
            return f"{asked}: see at the plant if it {event.reaction}{unclear}"
        case ServerUnasked():
            left_s = max(0.0, event.timer_s - event.unasked_s)
            unclear = UNCLEAR if event.is_unclear else ""
            return (
                f"{who}: heard asked by nobody for {event.unasked_s:.0f} of {event.timer_s:g} s: "
                f"{event.reaction} in {left_s:.0f} s unless its client asks again{unclear}. {NOTHING_SENT}"
            )
        case ServerAskedAgain():
            return f"{who}: heard asked again, after {event.after_s:.0f} s"
