"""Shares in words, against the values that the window's pictures were written with."""

from __future__ import annotations

import pytest

from buswalk.ui.share_words import share_words


@pytest.mark.parametrize(
    ("seen", "trials", "words"),
    [
        (3, 414, "0.72 %, up to 1.9 %"),
        (6, 414, "1.4 %, up to 2.9 %"),
        (1, 414, "0.24 %, up to 1.2 %"),
        (5, 414, "1.2 %, up to 2.6 %"),
        (0, 414, "below 0.73 %"),
        (0, 412, "below 0.73 %"),
        (26, 260, "10 %, up to 14 %"),
        (3, 258, "1.2 %, up to 3.0 %"),
        (0, 2166, "below 0.14 %"),
        (118, 118, "over 97 %"),
        (57, 60, "95 %, up to 99 %"),
        (0, 1, "below 95 %"),
        (1, 1, "over 5.0 %"),
        (9_999, 10_000, "99 %, up to 100 %"),
    ],
)
def test_a_share_brings_its_limit(seen: int, trials: int, words: str) -> None:
    """Limits are exact, one-sided, 95 %; "up to" and "below" are rounded up, "over" down."""
    assert share_words(seen, trials) == words
