"""What listening has shown: the verdict with its duration, and what to do. Silence never means that nobody is there."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.frame_splitter import Frame
from buswalk.domain.search.events import Verdict
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.tones import Tone
from buswalk.ui.wording import address_list, counted, plural, seconds_words

LISTEN_S = 10.0
ADDRESSES_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Listened:
    """One time of listening that has ended.

    Attributes:
        frames: Whole frames that were heard; empty where listening was part of a search.
        at_s: When it ended, line time.
    """

    settings: SerialSettings
    seconds: float
    verdict: Verdict
    byte_count: int
    frames: tuple[Frame, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class Listening:
    """Listening goes on; `seconds` is 0 where another page began it."""

    settings: SerialSettings | None
    from_s: float
    seconds: float
    byte_count: int


@dataclass(frozen=True, slots=True)
class HeardState:
    """The card 'Another client?'.

    Attributes:
        shape: Before the headline; None for none.
        listen_refused: Why it cannot be listened now; empty if it can.
    """

    aside: str
    headline: str
    tone: Tone
    shape: OutcomeKind | None
    words: str
    listen_words: str
    listen_refused: str


def not_listened() -> tuple[str, Tone, OutcomeKind | None, str]:
    """Return headline, tone, shape and words before anything was heard."""
    words = f"{LISTEN_S:.0f} s of listening tell whether another client is alive. Nothing is sent."
    return "Not listened yet", Tone.INK, None, words


def listening_words(now: Listening, now_s: float) -> tuple[str, Tone, OutcomeKind | None, str]:
    """Return the same while listening goes on."""
    passed = max(now_s - now.from_s, 0.0)
    passed_words = (
        f"{min(passed, now.seconds):.0f} s of {now.seconds:.0f} s" if now.seconds else f"{passed:.0f} s so far"
    )
    at = f" at {now.settings}" if now.settings is not None else ""
    so_far = f"{plural(now.byte_count, 'byte')} so far" if now.byte_count else "nothing so far"
    return f"Listening{at}: {so_far}", Tone.INK, None, f"{passed_words}. Nothing is sent."


def verdict_words(heard: Listened) -> tuple[str, Tone, OutcomeKind | None, str]:
    """Return the same for a verdict."""
    seconds = seconds_words(round(heard.seconds, 1))
    match heard.verdict:
        case Verdict.SILENT:
            words = f"No client with a period under {seconds}, at {heard.settings}. A slower one would not have shown."
            return f"Silent for {seconds}", Tone.INK, None, words
        case Verdict.TRAFFIC:
            return _traffic(heard, seconds)
        case Verdict.BABBLE:
            words = (
                f"{plural(heard.byte_count, 'byte')} in {seconds}, and none make a frame at {heard.settings}. "
                "Another speed or framing, another protocol, or noise: listen at another setting."
            )
            return "Bytes that make no frame", Tone.DOUBT, OutcomeKind.STRAY_BYTE, words
        case Verdict.HELD:
            words = (
                f"A break without end for {seconds}: the pair is held at space. Wires exchanged at one end, a driver "
                "that is stuck, or a short. Unplug one device after the other until it goes."
            )
            return "The line is held", Tone.FAULT, OutcomeKind.DAMAGED, words


def _traffic(heard: Listened, seconds: str) -> tuple[str, Tone, OutcomeKind | None, str]:
    addresses = sorted({frame.server_address for frame in heard.frames})
    frames = (
        plural(len(heard.frames), "whole frame") if heard.frames else f"{counted(heard.byte_count)} bytes in frames"
    )
    who = f", addresses {address_list(addresses, at_most=ADDRESSES_SHOWN)}" if addresses else ""
    words = f"{frames} in {seconds}{who}. Asking now can spoil its exchanges: first ask the people here."
    return "Another client is alive", Tone.FOREIGN, OutcomeKind.FOREIGN_FRAME, words


def perhaps_words(foreign: int, first_at: str) -> tuple[str, Tone, OutcomeKind | None, str]:
    """Return the same where foreign frames came between our own exchanges."""
    since = f" The first came at {first_at}." if first_at else ""
    words = f"They came between ours in the last 60 s.{since} Listen {LISTEN_S:.0f} s to be sure."
    return f"Perhaps: {plural(foreign, 'foreign frame')}", Tone.FOREIGN, OutcomeKind.FOREIGN_FRAME, words
