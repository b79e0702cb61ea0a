"""Text of options becomes values, or one sentence with the option, the text and what would be taken."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from buswalk.cli.number_options import (
    BytesOption,
    ChoiceOption,
    HexOption,
    SecondsOption,
    WholeOption,
    WordsOption,
)
from buswalk.cli.options import addresses_of, rtu_settings_of, settings_list, settings_of
from buswalk.cli.parts import WrongUse
from buswalk.domain.line.serial_settings import SerialSettings

SECONDS = SecondsOption("--timeout", 0.001, 600.0)
WHOLE = WholeOption("--retries", 0, 1000)
HEX = HexOption("--function", 0x7F)
WORDS = WordsOption("--values")
BYTES = BytesOption("--data")
CHOICE = ChoiceOption("--clock", ("paced", "virtual"))
NONSENSE = ["nan", "inf", "-inf", "-1", "", " ", "1e400", "0x", "a", "1_000", "٣", "²", "1,2,", "99999999999999999999"]


@pytest.mark.parametrize(("text", "seconds"), [("1", 1.0), ("0.5", 0.5), (".25", 0.25), ("600", 600.0), ("3.", 3.0)])
def test_seconds_are_read(text: str, seconds: float) -> None:
    assert SECONDS(text) == seconds


@pytest.mark.parametrize("text", [*NONSENSE, "0", "0.0009", "600.1", "1e3"])
def test_seconds_that_cannot_be_are_refused_with_option_text_and_limits(text: str) -> None:
    with pytest.raises(WrongUse) as refused:
        SECONDS(text)

    assert str(refused.value) == f"--timeout '{text}' cannot be: write seconds from 0.001 to 600"


@pytest.mark.parametrize("text", [*NONSENSE, "1.5", "1001", "+1"])
def test_whole_numbers_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(WrongUse, match=r"--retries '.*' cannot be: write a whole number from 0 to 1000"):
        WHOLE(text)


@pytest.mark.parametrize(("text", "number"), [("03", 3), ("2B", 0x2B), ("0x2b", 0x2B), ("10", 16)])
def test_codes_are_hex_as_the_standard_writes_them(text: str, number: int) -> None:
    assert HEX(text) == number


@pytest.mark.parametrize("text", ["nan", "-1", "80", "", "G1", "1_0", "0x"])
def test_codes_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(WrongUse, match=r"--function '.*' cannot be: write it in hex, 00 to 7F"):
        HEX(text)


@pytest.mark.parametrize(
    ("text", "words"), [("210,0", (210, 0)), ("0x00FF", (255,)), ("on, off", (1, 0)), ("65535", (65535,))]
)
def test_words_are_read(text: str, words: tuple[int, ...]) -> None:
    assert WORDS(text) == words


@pytest.mark.parametrize("text", ["a", "65536", "1,,2", "", "-5", "0x1FFFF", "1.5"])
def test_words_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(WrongUse, match=r"--values '.*' cannot be: write 0 to 65535"):
        WORDS(text)


def test_bytes_are_read_with_and_without_spaces() -> None:
    assert BYTES("A5 37") == BYTES("a537") == b"\xa5\x37"


@pytest.mark.parametrize("text", ["A", "A5 3", "", "G0", "A5,37"])
def test_bytes_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(WrongUse, match=r"--data '.*' cannot be"):
        BYTES(text)


def test_addresses_are_numbers_and_ranges_each_once() -> None:
    assert addresses_of("--addresses", "5,1-3, 2,247") == (5, 1, 2, 3, 247)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("40-1", "40 to 1 run backward"),
        ("0-5", "0 cannot be: servers have 1 to 247"),
        ("1-248", "248 cannot be: servers have 1 to 247"),
        ("", "'' cannot be: write numbers and ranges"),
        ("1-", "'1-' cannot be"),
        ("²", "'²' cannot be"),
        ("1-2-3", "'1-2-3' cannot be"),
    ],
)
def test_addresses_that_cannot_be_are_refused(text: str, words: str) -> None:
    with pytest.raises(WrongUse) as refused:
        addresses_of("--addresses", text)

    assert str(refused.value).startswith("--addresses ") and words in str(refused.value)


def test_settings_are_speed_and_framing() -> None:
    assert settings_list("9600 8N1, 19200 8e1") == (SerialSettings.of(9600, "8N1"), SerialSettings.of(19200, "8E1"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("9600", "write speed and framing"),
        ("9600 8X1", "framing '8X1' cannot be"),
        ("9601x 8N1", "speed '9601x' cannot be"),
        ("49 8N1", "from 50 to 4000000"),
        ("9600 7E1", "cannot carry RTU"),
        ("9600 8N1,", "setting '' cannot be"),
    ],
)
def test_settings_that_cannot_be_are_refused(text: str, words: str) -> None:
    with pytest.raises(WrongUse) as refused:
        settings_list(text)

    assert words in str(refused.value)


def test_seven_data_bits_are_for_listening_only() -> None:
    """RTU characters have eight (Serial Line V1.02, 2.5.1); devices in ASCII mode send seven (2.5.2)."""
    assert settings_of(9600, "7E1").data_bits == 7
    with pytest.raises(WrongUse):
        rtu_settings_of(9600, "7E1")


READERS: list[Callable[[str], object]] = [
    SECONDS,
    WHOLE,
    HEX,
    WORDS,
    BYTES,
    CHOICE,
    settings_list,
    lambda text: addresses_of("--addresses", text),
    lambda text: settings_of(9600, text),
]


@examples(max_examples=150)
@given(st.one_of(st.text(max_size=12), st.text("0123456789-,. xXaEeNO", max_size=12)), st.sampled_from(READERS))
def test_no_text_brings_more_than_a_refusal(text: str, read: Callable[[str], object]) -> None:
    """Whatever is typed: a value, or a sentence that is not Python's own."""
    try:
        read(text)
    except WrongUse as refused:
        assert "invalid literal" not in str(refused) and "could not convert" not in str(refused)
