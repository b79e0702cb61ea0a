"""No wait below nothing is ever named."""

from __future__ import annotations

from buswalk.domain.modbus.early_words import turnaround_range, very_early_words
from buswalk.domain.modbus.exchange import Turnaround
from buswalk.domain.modbus.observation import VeryEarly


def in_ms(seconds: float) -> str:
    return f"{seconds * 1000:.1f} ms"


def test_what_surely_began_too_soon_is_told_with_its_time() -> None:
    assert very_early_words(VeryEarly(0.0004), in_ms) == (
        "it began at most 0.4 ms after our request: too soon to be its answer"
    )


def test_what_began_before_the_request_had_ended_is_told_without_a_time() -> None:
    assert very_early_words(VeryEarly(-0.009), in_ms) == "it began before our request had ended: it is no answer to it"


def test_a_range_that_is_unsure_begins_at_nothing() -> None:
    """The least is below 0 where an adapter's delay hides when the bytes came."""
    assert turnaround_range(Turnaround(-0.0005, 0.0213), in_ms) == ("0.0 ms", "21.3 ms")


def test_there_is_no_range_before_the_request_had_ended() -> None:
    seen = Turnaround(-0.012, -0.009)

    assert seen.is_before_request_ended
    assert turnaround_range(seen, in_ms) is None
