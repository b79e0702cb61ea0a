"""What a port can and cannot tell, as sentences."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.cli.exchange_words import milliseconds
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting

_MARKS = {
    MarkReporting.PER_BYTE: "It tells which byte had a framing or parity error.",
    MarkReporting.COUNTED: "It counts framing and parity errors, but does not tell of which byte.",
    MarkReporting.NOT_AVAILABLE: "It could not tell framing and parity errors.",
}
_LATENCIES = {
    LatencySource.ASSUMED: "assumed, not known",
    LatencySource.ASKED: "asked of the system",
    LatencySource.LEARNT: "learnt from replies",
    LatencySource.EXACT: "exact",
}
_ECHOES = {
    Echo.NOT_KNOWN: "Whether it hears its own sending is not known.",
    Echo.HEARD: "It hears its own sending.",
    Echo.NOT_HEARD: "It does not hear its own sending: what others sent at the same time was not heard.",
}


def trait_sentences(traits: LineTraits) -> Iterator[str]:
    """Yield what this port could tell, and what not."""
    yield _MARKS[traits.mark_reporting]
    source = _LATENCIES[traits.latency_source]
    yield f"Bytes are handed over up to {milliseconds(traits.latency_s)} after they came ({source}): times are ranges."
    if not traits.spends_wire_time:
        yield "It has no wire time: very early replies and pauses inside a reply could not be seen."
    if not traits.carries_speed:
        yield "It does not carry the speed: which one the far end uses is not known."
    if not traits.carries_framing:
        yield "It does not carry parity and stop bits: which ones the far end uses is not known."
    yield _ECHOES[traits.echo]
