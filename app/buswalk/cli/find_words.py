"""What a search found, in words. Pure text."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Doubt,
    Found,
    HeldStill,
    ListenedFirst,
    LivingLine,
    SearchEnded,
    SearchEvent,
    SearchProgress,
    SettingsNotCarried,
    Unclear,
    Verdict,
)

_DOUBTS = {
    Doubt.ANSWERS_SOMETIMES: "does not answer each time",
    Doubt.NEEDS_A_PAUSE: "wants a pause before each request",
    Doubt.DAMAGED_REPLIES: "some replies are damaged: perhaps two devices at this address",
    Doubt.SECOND_ANSWER: "a second answer follows: perhaps two devices at this address",
    Doubt.ANSWERS_DIFFER: "answers the same question once so, once otherwise: perhaps two devices at this address",
    Doubt.ANSWERS_AS_ANOTHER: "answers with another address than was asked",
    Doubt.DOES_NOT_CHECK_FRAMING: "its replies have another framing: take it from its manual",
}


def setting_words(settings: SerialSettings) -> str:
    """Return a setting as it was found: without parity, one or two stop bits cannot be told apart."""
    if settings.parity is Parity.NONE:
        return f"{settings.baud_rate} no parity"
    return str(settings)


def event_lines(event: SearchEvent) -> list[str]:
    """Return what to show of an event; nothing for progress, which has its own place."""
    match event:
        case ListenedFirst(seconds=seconds, verdict=Verdict.SILENT):
            return [f"listened for {seconds:.0f} s: no client with a period under {seconds:.0f} s"]
        case ListenedFirst(seconds=seconds, byte_count=byte_count):
            return [f"listened for {seconds:.0f} s: {byte_count} bytes came"]
        case LivingLine(sentence=sentence):
            return [sentence]
        case SettingsNotCarried(settings):
            return [f"this port carries no framing: only {settings} is asked, whatever the line really runs at"]
        case HeldStill(addresses=addresses):
            return [f"bytes came that no request explains: {len(addresses)} addresses are asked again, one by one"]
        case Found():
            return [found_line(event)]
        case AnswersEverywhere(settings, tried, asked, 0x0A | 0x0B as code):
            numbers = ", ".join(map(str, tried))
            return [
                f"at {setting_words(settings)} a gateway refuses with {code:02X} at every address ({numbers} tried, "
                f"after {asked} requests): what answers otherwise is behind it"
            ]
        case AnswersEverywhere(settings, tried, asked):
            numbers = ", ".join(map(str, tried))
            return [
                f"at {setting_words(settings)} something answers at every address ({numbers} tried, after {asked} "
                "requests): one device or program that ignores the address, not 247 devices"
            ]
        case Unclear(address, settings, sentence):
            return [f"{address:4}  {setting_words(settings):16} unclear: {sentence}"]
        case SearchEnded():
            return ended_lines(event)
        case SearchProgress():
            return []


def found_line(found: Found) -> str:
    """Return one found device: address, setting, how, what it calls itself, doubts."""
    how = f"function {found.function:02X}" + (", refused" if found.is_refusal else "")
    names = " ".join(one.text for one in found.identity.objects if one.object_id < 3)
    if not names and found.identity.server_id:
        names = found.identity.server_id.decode("ascii", errors="backslashreplace").rstrip("\x00\xff\\xf")
    doubts = "; ".join(_DOUBTS[doubt] for doubt in found.doubts)
    parts = [f"{found.server_address:4}  {setting_words(found.settings):16} {how}"]
    parts += [names] if names else []
    parts += [f"in doubt: {doubts}"] if doubts else []
    return "   ".join(parts)


def ended_lines(event: SearchEnded) -> list[str]:
    """Return the end: how many, how long, what stays open."""
    devices = "1 device answers" if event.devices == 1 else f"{event.devices} devices answer"
    return [f"{devices}; {event.asked} requests in {duration_words(event.seconds)}: {event.sentence}"]


def duration_words(seconds: float) -> str:
    """Return `8 s` or `4:45`."""
    if seconds < 60:
        return f"{seconds:.0f} s"
    return f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def progress_words(event: SearchProgress, found: int) -> str:
    """Return progress for one line that is written over."""
    return f"asked {event.asked} of {event.planned}, now at {event.settings}, {found} found so far"
