"""What a search found, in words. Pure text."""

from __future__ import annotations

import re
from math import floor

from buswalk.bus.lasting_search import LastingSearchEvent, PortBack, PortGone
from buswalk.cli.reply_words import count_words, text_of
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.listening.client_harm import OtherClientSuffers
from buswalk.domain.search.answer_shares import AnswerShares
from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    CycleLeavesNoRoom,
    Doubt,
    EverythingIsAnswered,
    Found,
    FramingNotCarried,
    GoesBetween,
    HeldStill,
    LineChatters,
    ListenedFirst,
    LivingLine,
    PassBegan,
    SearchEnd,
    SearchEnded,
    SearchForecast,
    SearchProgress,
    SettingsNotCarried,
    SilentAskedWith,
    TwoStopBitsLearnt,
    Unclear,
    Verdict,
)
from buswalk.domain.search.next_search import NextSearch
from buswalk.domain.search.thorough import Pass

_DOUBTS = {
    Doubt.ANSWERS_SOMETIMES: "does not answer each time",
    Doubt.NEEDS_A_PAUSE: "wants a pause before each request",
    Doubt.SILENT_AT_FIRST: "kept silent when asked before: it may look for the speed by itself, and keep this one",
    Doubt.DAMAGED_REPLIES: "some replies are damaged: perhaps two devices at this address",
    Doubt.SECOND_ANSWER: "a second answer follows: perhaps two devices at this address",
    Doubt.ANSWERS_DIFFER: "answers the same question once so, once otherwise: perhaps two devices at this address",
    Doubt.ANSWERS_AS_ANOTHER: "answers with another address than was asked",
    Doubt.DOES_NOT_CHECK_FRAMING: "its replies have another framing: take it from its manual",
}


LONGEST_IN_SECONDS = 120


def setting_words(settings: SerialSettings) -> str:
    """Return a setting as it was found: without parity, one or two stop bits cannot be told apart."""
    if settings.parity is Parity.NONE:
        return f"{settings.baud_rate} no parity"
    return str(settings)


def event_lines(event: LastingSearchEvent) -> list[str]:
    """Return what to show of an event; nothing for progress and the port, which have their own places."""
    match event:
        case ListenedFirst():
            return [listened_line(event)]
        case LivingLine(sentence=sentence):
            return [sentence]
        case SettingsNotCarried(settings):
            return [
                f"nobody follows the speed of this port: only {settings} is asked, whatever the line really runs at"
            ]
        case FramingNotCarried(settings):
            asked = ", ".join(map(str, settings))
            return [f"this port carries speed but no framing: one framing a speed is asked ({asked})"]
        case AskedRested(settings, addresses, rest_s, needed_s):
            return [
                f"nothing answered: {count_words(addresses, 'address')} once more at {setting_words(settings)}, each "
                f"after {rest_s:g} s of rest, which takes {duration_words(needed_s)}; some devices need it"
            ]
        case AdapterHearsItself():
            return ["this adapter hears itself: each request comes back, and is taken off before its answer"]
        case LineChatters(seconds=seconds, requests=requests):
            return [
                f"the line chatters: bytes that are no reply followed each of {requests} requests in "
                f"{duration_words(seconds)}; asked on with short waits, given up if not one is followed by silence"
            ]
        case EverythingIsAnswered(settings):
            return [
                f"somebody answers whatever is sent at {setting_words(settings)}: bytes follow every request, none "
                "come while nothing is asked; only whole right replies count there"
            ]
        case PassBegan():
            return [pass_line(event)]
        case HeldStill(addresses=addresses):
            again = "is asked again" if len(addresses) == 1 else "are asked again, one by one"
            return [f"bytes came that no request explains: {count_words(len(addresses), 'address')} {again}"]
        case Found():
            return [found_line(event)]
        case AnswersEverywhere():
            return [everywhere_line(event)]
        case Unclear(address, settings, sentence):
            return [f"{address:4}  {setting_words(settings):16} unclear: {sentence}"]
        case SearchEnded():
            return ended_lines(event)
        case SearchForecast():
            return forecast_lines(event)
        case TwoStopBitsLearnt(is_sent, shown_by):
            return [two_stop_bits_line(shown_by, is_sent=is_sent)]
        case SilentAskedWith():
            return silent_lines(event)
        case GoesBetween():
            return between_lines(event)
        case SearchProgress() | PortGone() | PortBack() | CycleLeavesNoRoom() | OtherClientSuffers():
            return []  # what they tell stands in the sentence of the end


_PASSES = {
    Pass.FIRST: "first pass, every address with 03, 04 and 01, each framing by itself",
    Pass.HOLD: "the same again, for devices that look for the speed by themselves",
    Pass.SECOND: "second pass, with another wait",
    Pass.THIRD: "third pass, with another wait",
    Pass.PATIENT: "likely addresses patiently, each after a pause",
    Pass.PAUSED: "all others, each after a pause",
}


def pass_line(event: PassBegan) -> str:
    """Return which pass of a thorough search has begun."""
    return f"at {event.baud_rate} baud: {_PASSES[event.of_pass]}"


def forecast_lines(event: SearchForecast) -> list[str]:
    """Return the forecast before the first request; later ones are for programs."""
    if event.asked:
        return []
    return [
        f"a device alone is found within {duration_words(event.half_s)} in half of all cases, "
        f"{duration_words(event.most_s)} in 8 of 10, {duration_words(event.nearly_all_s)} in 9 of 10; "
        f"asking all takes {duration_words(event.whole_s)}"
    ]


def between_lines(event: GoesBetween) -> list[str]:
    """Return what is known of the other client's cycle, and what cannot be done beside it."""
    cycle = event.cycle
    room, share = f"{floor(cycle.longest_room_s * 10.0) / 10.0:.1f} s", f"{cycle.free_share * 100:.0f} %"
    lines = [
        f"the other client asks {count_words(cycle.requests, 'request')} every {duration_words(cycle.round_s)} at "
        f"{setting_words(cycle.settings)}; requests leave in its pauses, of up to {room}, "
        f"{share} of the time; it stops where that traffic suffers",
        "beside it no request waits longer than fits into a pause, so a slower device may be missed; a forecast tells "
        "the time of asking: by the clock it takes longer",
    ]
    if event.left_out:
        lines.append(f"no request fits at {', '.join(setting_words(one) for one in event.left_out)}: not asked there")
    return lines


def two_stop_bits_line(shown_by: int, *, is_sent: bool) -> str:
    """Return whether one request can reach two framings through this adapter."""
    if is_sent:
        return f"address {shown_by} shows that the adapter sends two stop bits: one request reaches two framings"
    return f"address {shown_by} shows that the adapter sends one stop bit only: each framing is asked by itself"


def silent_lines(event: SilentAskedWith) -> list[str]:
    """Return where addresses were silent and with which functions they were asked there, or that they were not.

    Silence is said of the settings, not of the address: elsewhere bytes may have come, or every address may answer.
    """
    codes = [f"{one:02X}" for one in event.functions]
    functions = " and ".join([*([", ".join(codes[:-1])] if codes[1:] else []), *codes[-1:]])
    who = count_words(len(event.addresses), "address")
    were = "was" if len(event.addresses) == 1 else "were"
    where = ", ".join(setting_words(one) for one in event.settings)
    return [
        f"{who} {were} silent at {where}, asked with {functions}" if functions else f"{who} {were} not asked at {where}"
    ]


def listened_line(event: ListenedFirst) -> str:
    """Return what listening before the first probe has shown."""
    how_long = f"listened for {event.seconds:.0f} s at {event.settings}"
    if event.verdict is Verdict.SILENT:
        return f"{how_long}: no client with a period under {event.seconds:.0f} s"
    came = "came" if event.byte_count != 1 else "came, and no more"
    return f"{how_long}: {count_words(event.byte_count, 'byte')} {came}"


def everywhere_line(event: AnswersEverywhere) -> str:
    """Return that something answers whatever the address: one finding."""
    numbers = ", ".join(map(str, event.addresses_tried))
    tried = f"({numbers} tried, after {count_words(event.asked, 'request')})"
    where = f"at {setting_words(event.settings)}"
    if event.exception_code in (0x0A, 0x0B):
        return (
            f"{where} a gateway refuses with {event.exception_code:02X} at every address {tried}: "
            "what answers otherwise is behind it"
        )
    return (
        f"{where} something answers at every address {tried}: "
        "one device or program that ignores the address, not 247 devices"
    )


def found_line(found: Found) -> str:
    """Return one found device: address, setting, how, what it calls itself, doubts."""
    how = f"function {found.function:02X}" + (", refused" if found.is_refusal else "")
    names = " ".join(one.text for one in found.identity.objects if one.object_id < 3)
    if not names and found.identity.server_id:
        names = text_of(found.identity.server_id.rstrip(b"\x00\xff"))
    doubts = "; ".join(_DOUBTS[doubt] for doubt in found.doubts)
    parts = [f"{found.server_address:4}  {setting_words(found.settings):16} {how}"]
    parts += [names] if names else []
    parts += [f"profile {' or '.join(found.identity.profiles)}"] if found.identity.profiles else []
    parts += [f"in doubt: {doubts}"] if doubts else []
    parts += [shares_words(found.shares)] if found.shares.asked and doubts else []
    return "   ".join(parts)


def shares_words(shares: AnswerShares) -> str:
    """Return what many more questions brought, where two devices were suspected."""
    counts = [(shares.whole, "whole"), (shares.damaged, "damaged"), (shares.second, "with a second answer behind")]
    words = ", ".join(f"{count} {kind}" for count, kind in counts if count) or "none answered"
    peaks = " and ".join(f"{one * 1000:.0f}" for one in shares.turnarounds_s)
    return f"of {shares.asked} more: {words}" + (f"; turnaround {peaks} ms" if len(shares.turnarounds_s) > 1 else "")


def readable(data: bytes) -> str:
    """Return the longest run of printable letters if it is a name, else the bytes: what a server ID holds is free."""
    runs = re.findall(r"[ -~]{3,}", data.decode("latin-1"))
    return max(runs, key=len).strip() if runs else data.hex(" ").upper()


def ended_lines(event: SearchEnded) -> list[str]:
    """Return the end: how many, how long, what stays open."""
    devices = "1 device answers" if event.devices == 1 else f"{event.devices} devices answer"
    head = f"{devices}; {count_words(event.asked, 'request')} in {duration_words(event.seconds)}"
    lines = [head, f"{event.sentence[:1].upper()}{event.sentence[1:]}."]
    if event.asked and event.end is not SearchEnd.ALL_ASKED:
        lines.append("The addresses were not asked to the end: none of them is called silent.")
    return lines


def try_next_words(following: NextSearch) -> str:
    """Return what to search next, as it is typed, and what it takes; without parity 8N1 stands for 8N2 too."""
    settings = ",".join(
        f"{one.baud_rate} 8N1" if one.parity is Parity.NONE else str(one) for one in following.plan.settings
    )
    return f"Try next: --thorough --settings '{settings}', {duration_words(following.seconds)}."


def port_lines(event: PortGone | PortBack, port: str) -> list[str]:
    """Return what to say when the port is lost and when it is back."""
    match event:
        case PortGone(waits_s=0.0):
            return []
        case PortGone(sentence, waits_s):
            waiting = f"waiting up to {duration_words(waits_s)} for it to come back (Ctrl-C ends it)"
            return [f"{sentence}; what was found so far stands, {waiting}"]
        case PortBack(after_s):
            return [f"{port} is back after {duration_words(after_s)}: the search goes on, and asks nothing twice"]


def stays_away_words(sentence: str, port_return_s: float, found: int) -> str:
    """Return why a search ends whose port was lost for good."""
    waited = f"; it did not come back in {duration_words(port_return_s)}" if port_return_s else ""
    so_far = "nothing was found before" if not found else f"{count_words(found, 'device')} found before, as said above"
    return f"{sentence}{waited}; {so_far}"


def duration_words(seconds: float) -> str:
    """Return `0.5 s`, `8 s` or `4:45 min`."""
    if seconds < 1:
        return f"{seconds:.2g} s"
    if seconds < LONGEST_IN_SECONDS:
        return f"{seconds:.0f} s"
    return f"{int(seconds) // 60}:{int(seconds) % 60:02} min"


def progress_words(event: SearchProgress, found: int) -> str:
    """Return progress for one line that is written over."""
    return f"asked {event.asked} of {event.planned}, now at {event.settings}, {found} found so far"
