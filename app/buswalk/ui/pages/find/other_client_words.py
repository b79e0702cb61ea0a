"""Another client is alive: who asks whom, what may happen, how to go on, in words. No Qt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_cycle import ClientCycle, RoundPart
from buswalk.domain.loss_timers.timed_devices import NO_TIMERS, KnownTimers
from buswalk.domain.loss_timers.timer_words import (
    DOCUMENTS,
    NOTHING_SENT,
    countdown_words,
    device_words,
    not_known_words,
    short_words,
)
from buswalk.domain.loss_timers.unasked import Countdown, Stage
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.search.overheard import Overheard, OverheardRequest
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.exchange_words import request_words
from buswalk.ui.pages.find.search_state import (
    Act,
    Action,
    OneRoundState,
    OtherClientState,
    OverheardRow,
    RoundBox,
    Step,
)
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural, seconds_words

CONFIRM = "The people here know; missed answers are fine"
CONFIRM_FIRST = "Tick first that the people here know."
LISTEN_ON_S = 600.0
MOST_NAMED = 3
MOST_TIMED = 3
DECIDES = "Whoever is responsible for the plant decides; local codes come first."
WRITES = frozenset({0x05, 0x06, 0x0F, 0x10, 0x16, 0x17})
"""Functions that write (Application V1.1b3, 5.1)."""


def living_band(living: LivingLine, overheard: Overheard, asked_before: int, *, is_listening: bool) -> BandState:
    """Return the band: what is alive, and what was sent before it was heard."""
    waits = _WAITS if not asked_before else _began_words(asked_before)
    action = (
        BandAction(Act.STOP.value, "Stop listening", "F5")
        if is_listening
        else BandAction(Act.LISTEN_ON.value, "Listen on", "F5")
    )
    requests = sum(one.asked for one in overheard.requests)
    match living.verdict:
        case Verdict.TRAFFIC:
            words = f"{plural(requests, 'request')} heard. " if requests else "Whole frames were heard. "
            return BandState(Tone.FOREIGN, _traffic_headline(overheard), words + waits, (action,))
        case Verdict.HELD:
            headline = "The line is held at space: a pair swapped, or a driver stuck"
            return BandState(Tone.DOUBT, headline, "No device can be heard until that is mended. " + waits, (action,))
        case _:
            headline = "Somebody talks on this line, at another speed or in another protocol"
            heard = f"{plural(overheard.byte_count, 'byte')} heard that make no frame. " if overheard.byte_count else ""
            return BandState(Tone.FOREIGN, headline, heard + waits, (action,))


def _began_words(asked_before: int) -> str:
    sent = plural(asked_before, "request")
    return f"It began while this search ran: {sent} of ours had been sent, and none is since. The search waits for you."


_WAITS = "Nothing was sent by this laptop. The search waits for you."


def _traffic_headline(overheard: Overheard) -> str:
    addresses = {one.server_address for one in overheard.requests}
    if not addresses:
        return "Another client is alive on this line"
    every = f" every {seconds_words(round(overheard.round_s, 1))}" if overheard.round_s else ""
    return f"Another client is alive on this line: it asks {plural(len(addresses), 'address', 'addresses')}{every}"


@dataclass(frozen=True, slots=True)
class HeardClient:
    """What is known of the other client, the settings at which it was heard, and who falls back if it is held up."""

    living: LivingLine
    overheard: Overheard
    settings: SerialSettings
    planned: Mapping[int, PlannedDevice]
    timers: KnownTimers = NO_TIMERS


def other_client_state(
    client: HeardClient, heard_words: str, *, is_confirmed: bool, is_asking: bool
) -> OtherClientState:
    """Return the whole of it."""
    cycle = client.overheard.cycle(client.settings)
    refusal = "" if is_confirmed else CONFIRM_FIRST
    return OtherClientState(
        aside=heard_words,
        rows=tuple(_row(one) for one in client.overheard.requests),
        nothing_whole=_nothing_whole(client.living, client.overheard),
        risks=_risks(client),
        listen_words="Learns who is there from the other client's traffic. Sends nothing.",
        search_words=_search_words(cycle),
        is_confirmed=is_confirmed,
        confirm_words=CONFIRM,
        search=Action(Act.SEARCH_IN_PAUSES, "Search in its pauses", refusal=refusal),
        note="Your choice is kept in the record, with its time.",
        one_round=_one_round(cycle),
        take_over_words="Only if the other client was switched off by its people. Waits for a quiet line, no more.",
        take_over=_TAKE_OVER_ANSWERS if is_asking else (Action(Act.TAKE_OVER, "Take the line over…"),),
        question=_question(client) if is_asking else "",
    )


_TAKE_OVER_ANSWERS = (
    Action(Act.LEAVE_IT, "Leave it alone"),
    Action(Act.TAKE_OVER_NOW, "Take the line over"),
)


def _question(client: HeardClient) -> str:
    who = _names(
        sorted({one.server_address for one in client.overheard.requests if one.server_address}), client.planned
    )
    kept = f" What it keeps alive may fall back: {who}." if who else ""
    if client.timers.timed:
        kept = f" {short_words(client.timers)}."
    return f"Have its people switched it off, and do they watch the plant?{kept}"


def _search_words(cycle: ClientCycle | None) -> str:
    safe = "It stops as soon as that traffic suffers: answers lost, requests at other times."
    if cycle is None:
        return f"Listens until its cycle is known, then asks only in its pauses. {safe}"
    told = cycle.told()
    if not told.longest_room_s:
        return f"It leaves no pause that is safe to use, as far as heard so far. {safe}"
    room = _at_least(told.longest_room_s)
    rest = "100 ms away from its requests, one at a time"
    return f"Only in the free {room} of every {seconds_words(round(told.round_s, 1))}, {rest}. {safe}"


def _one_round(cycle: ClientCycle | None) -> OneRoundState:
    """Return its round to scale; the room is counted from the end of an exchange to the margin before the next."""
    parts = cycle.one_round() if cycle is not None else ()
    if cycle is None or not parts:
        return OneRoundState((), 0.0, 0.0, "", "", "", "Its round is not known yet: listen on.")
    told, length_s = cycle.told(), max(cycle.round_s, parts[-1].from_s + parts[-1].busy_s)
    boxes = tuple(
        RoundBox(_box_words(one), one.from_s / length_s, min(1.0, (one.from_s + one.busy_s) / length_s))
        for one in parts
    )
    gaps = [*((one.from_s + one.busy_s, after.from_s) for one, after in pairwise(parts))]
    gaps.append((parts[-1].from_s + parts[-1].busy_s, length_s))
    from_s, to_s = max(gaps, key=lambda one: one[1] - one[0])
    used_s = min(told.longest_room_s, to_s - from_s)
    of = seconds_words(round(length_s, 1))
    free = f"free: {_at_least(used_s)} of every {of}" if used_s > 0.0 else "no pause that is safe to use"
    words = f"{plural(len(parts), 'exchange')} in {of}; {free}."
    share = f"{told.free_share * 100:.0f} % of its time can be used"
    return OneRoundState(boxes, from_s / length_s, (from_s + used_s) / length_s, free, of, share, words)


def _at_least(seconds: float) -> str:
    """Return a pause rounded down: what is promised must be there."""
    return seconds_words(floor(seconds * 10.0) / 10.0)


def _box_words(part: RoundPart) -> str:
    who = str(part.server_address) if part.server_address else "all"
    return who if part.is_answered else f"{who}, waits in vain"


def _row(one: OverheardRequest) -> OverheardRow:
    if one.refused and one.refused == one.answered:
        came, kind = "refused", OutcomeKind.REFUSED
    elif one.answered:
        came, kind = "answered", OutcomeKind.ANSWERED
    else:
        came, kind = "no reply heard", OutcomeKind.NO_REPLY
    return OverheardRow(
        asks=str(one.server_address) if one.server_address else "all",
        request=request_words(one.pdu),
        every=seconds_words(round(one.period_s, 1)) if one.period_s else "once",
        answered=f"{one.answered} of {one.asked}",
        came_back=came,
        kind=kind,
    )


def _nothing_whole(living: LivingLine, overheard: Overheard) -> str:
    if overheard.requests:
        return ""
    if living.verdict is Verdict.TRAFFIC:
        return "Frames came, but no request among them was heard whole."
    return "No whole frame was heard at this setting, so who asks whom cannot be told."


def _risks(client: HeardClient) -> tuple[Step, ...]:
    if client.living.verdict is Verdict.HELD:
        return (Step("Nothing will be found", "While the line is held nobody can be heard."),)
    asked = [one for one in client.overheard.requests if one.server_address]
    written = sorted({one.server_address for one in asked if one.function_code in WRITES})
    read = sorted({one.server_address for one in asked} - set(written))
    return (_meeting_risk(client.overheard.requests, client.planned), _loss_risk(written, read, client), _DROP_RISK)


_DROP_RISK = Step(
    "A device may drop an answer when it hears us",
    "Then it seems to fail to the other client, and its values stay old.",
)


def _meeting_risk(asked: Sequence[OverheardRequest], planned: Mapping[int, PlannedDevice]) -> Step:
    damaged = "Both are then damaged: it sees missed answers, and may raise an alarm."
    if not asked:
        return Step("Any of its requests may meet ours", f"{damaged} None was heard whole, so its round is not known.")
    names = _names(sorted({one.server_address for one in asked if one.server_address}), planned)
    whom = f" It asks {names}." if names else ""
    return Step(
        f"When its round changes, up to {plural(len(asked), 'request')} may meet ours",
        f"{damaged}{whom}",
    )


def _loss_risk(written: Sequence[int], read: Sequence[int], client: HeardClient) -> Step:
    """What falls back is what a client writes to; what it reads may watch its client all the same."""
    if client.timers.timed:
        return _known_risk(client.timers)
    every = f" every {seconds_words(round(client.overheard.round_s, 1))}" if client.overheard.round_s else ""
    if written:
        return Step(
            f"It writes to {_names(written, client.planned)}{every}: outputs may fall back",
            "With a loss timer they go to their fallback, such as 0 V, unless they are asked in time: see manual.",
        )
    who = _names(read, client.planned) or "a device"
    return Step(
        f"With a loss timer, {who} may fall back if not asked{every}",
        "What it drives then goes to its fallback value, such as 0 V, until it is asked again: see its manual.",
    )


def _known_risk(timers: KnownTimers) -> Step:
    """Who reacts first stands in bold; what is not known is said too."""
    first, *others = timers.timed
    words = [device_words(one) for one in others[: MOST_TIMED - 1]]
    if len(others) > MOST_TIMED - 1:
        words.append(f"and {len(others) - MOST_TIMED + 1} more with a loss timer")
    told = "; ".join((*words, not_known_words(timers)))
    return Step(device_words(first), f"{told[0].upper()}{told[1:]}. {DOCUMENTS} {DECIDES}")


def held_up_band(held_up: Sequence[Countdown]) -> BandState:
    """Return the band while nobody asks devices that another client kept asking: who reacts next, and when."""
    first, *others = held_up
    words = [f"{countdown_words(one)}." for one in others[: MOST_TIMED - 1]]
    if len(others) > MOST_TIMED - 1:
        words.append(f"And {len(others) - MOST_TIMED + 1} more.")
    if first.is_unclear:
        words.append("Bytes that make no frame came meanwhile: it may have been asked at another speed.")
    words.append("Only what was heard on this line is counted. Let its client ask again, or look at the plant.")
    tone = Tone.DOUBT if first.is_unclear or first.stage is Stage.HELD_UP else Tone.FAULT
    return BandState(tone, countdown_words(first), " ".join((*words, NOTHING_SENT)))


def with_held_up(band: BandState, held_up: Sequence[Countdown]) -> BandState:
    """Return the band of a line with another client, with who reacts next in front of its words."""
    if not held_up:
        return band
    told = ". ".join(countdown_words(one) for one in held_up[:MOST_TIMED])
    return replace(band, words=f"{told}. {band.words}")


def _names(addresses: Sequence[int], planned: Mapping[int, PlannedDevice]) -> str:
    """Return devices as people call them, at most three."""
    told = [f"{one} ({planned[one].name})" if one in planned else str(one) for one in addresses]
    more = f" and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return ", ".join(told[:MOST_NAMED]) + more
