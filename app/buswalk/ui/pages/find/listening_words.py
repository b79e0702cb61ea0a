"""What listening without sending came to, in one sentence. No Qt."""

from __future__ import annotations

from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.search.events import Verdict
from buswalk.ui.wording import seconds_words


def listening_words(ended: ListeningEnded) -> str:
    """Return it."""
    head = f"Listened for {seconds_words(ended.seconds)} at {ended.settings}: "
    match ended.verdict:
        case Verdict.SILENT:
            return f"{head}no client with a period under {seconds_words(ended.seconds)}."
        case Verdict.TRAFFIC:
            return f"{head}another client is alive on this line, {len(ended.frames)} frames heard."
        case Verdict.HELD:
            return f"{head}the line is held at space: a pair swapped, or a driver stuck."
        case Verdict.BABBLE:
            return f"{head}{ended.byte_count} bytes that make no frame at this setting."
