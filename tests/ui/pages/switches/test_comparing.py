"""Set here, found there, as the page Switches says it."""

from __future__ import annotations

import pytest

from buswalk.ui.pages.switches.ways import SwitchedDevice
from buswalk.ui.tones import Tone
from tests.fakes.switches_bench import SwitchesBench

BAY_2 = SwitchedDevice("controller type P", 14, 56, "levers-7-line-end", "bay 2")


def test_two_keys_from_a_device_to_the_explanation_of_its_address() -> None:
    """F7 on the reversed controller of bay 2, F5 to ask: planned at 14, found at 56."""
    bench = SwitchesBench()

    bench.presenter.show_device(BAY_2)
    bench.presenter.main_action()

    state = bench.state
    assert state.sentence == "From address to switches and back. Here: controller type P, bay 2."
    assert bench.positions == "01110000"
    assert state.explained.counted == (
        "5 mistakes lead from 14 to 56, and 2 pairs of mistakes. Ranked by how often each is met."
    )
    assert state.explained.look == (
        "The first 2 explain it about equally well. Look at lever 2: ON means the first, OFF the second."
    )
    first = state.explained.mistakes[0]
    assert (first.headline, first.words) == (
        "Board counts from the other end",
        "2, 3 and 4 ON: 32 + 16 + 8 = 56, board adds 0.",
    )
    assert (first.share, first.likelihood) == ("48 %", "possible")
    assert [one.index for one in first.picture.levers if one.is_on] == [1, 2, 3]
    assert bench.asked == [(14, 56)]


def test_the_chosen_explanation_says_what_to_set_instead() -> None:
    bench = SwitchesBench()
    bench.presenter.show_device(BAY_2)

    instead = bench.state.explained.instead

    assert instead is not None
    assert instead.title == "Set this instead, then power off and on"
    assert instead.words == "2 and 3 to OFF, 5 and 6 to ON: it then answers at 14."
    assert instead.ask_words == "Ask 14 and 56 now"
    assert instead.picture is not None
    assert [one.index for one in instead.picture.levers if one.is_on] == [3, 4, 5]
    assert [one.index for one in instead.picture.levers if one.is_marked] == [1, 2, 4, 5]


def test_another_explanation_is_chosen() -> None:
    bench = SwitchesBench().on("levers-7-line-end").compare("14", "56")

    bench.presenter.choose_mistake(1)

    explained = bench.state.explained
    assert explained.mistakes[1].headline == "Set from the wrong end"
    assert explained.instead is not None
    assert explained.instead.words == "5 and 6 to OFF, 2 and 3 to ON: it then answers at 14."


def test_the_last_line_is_another_device_and_nothing_is_to_be_set() -> None:
    bench = SwitchesBench().on("levers-7-line-end").compare("14", "56")
    rows = bench.state.explained.mistakes

    bench.presenter.choose_mistake(len(rows) - 1)

    explained = bench.state.explained
    assert rows[-1].headline == "It is meant to be 56"
    assert explained.instead is not None
    assert (explained.instead.title, explained.instead.picture) == ("Nothing to set", None)
    assert explained.instead.words == "Look at the plan: does it know a device at 56?"


def test_decimal_digits_on_hex_dials() -> None:
    """14 set as 1 and 4 is 20."""
    explained = SwitchesBench().on("dials-hex").compare("14", "20").state.explained

    assert explained.mistakes[0].headline == "Decimal digits set as hex"
    assert explained.mistakes[0].words == "x16 at 1, x1 at 4: the digits of 14 are decimal."
    assert explained.mistakes[0].likelihood == "likely"
    assert explained.look == ""
    assert explained.instead is not None
    assert explained.instead.title == "Set this instead"
    assert explained.instead.words == "x16 to 0, x1 to E: it then answers at 14."


def test_where_it_was_before_explains_it_first() -> None:
    bench = SwitchesBench().compare("37", "113")

    bench.presenter.edit_previous("113")

    explained = bench.state.explained
    assert explained.mistakes[0].headline == "Change not taken yet"
    assert explained.mistakes[0].words == "It was at 113 before: power off and on, then ask again."
    assert explained.instead is not None
    assert explained.instead.title == "Nothing to set"


@pytest.mark.parametrize(
    ("intended", "found", "words", "tone"),
    [
        ("", "", "Write where the device was to answer", Tone.INK2),
        ("37", "", "Write where the device was to answer", Tone.INK2),
        ("37", "37", "It answers at 37 as intended: there is nothing to explain.", Tone.DOUBT),
        ("37", "300", "300 is no server's address: servers have 1 to 247.", Tone.DOUBT),
        ("x", "5", "'x' is no address", Tone.DOUBT),
    ],
)
def test_while_there_is_nothing_to_rank_it_says_why(intended: str, found: str, words: str, tone: Tone) -> None:
    explained = SwitchesBench().compare(intended, found).state.explained

    assert explained.counted.startswith(words)
    assert explained.counted_tone is tone
    assert explained.mistakes == ()
    assert explained.instead is None


def test_no_share_is_ever_0_percent() -> None:
    for found in (36, 38, 55, 73, 164, 219):
        shares = [one.share for one in SwitchesBench().compare("37", str(found)).state.explained.mistakes]

        assert "0 %" not in shares
