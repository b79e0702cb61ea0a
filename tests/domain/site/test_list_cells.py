"""What people write into the cells of a planned list. Spellings: common practice, no source, if not said otherwise."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.list_cells import (
    CannotBe,
    address_of,
    framing_of,
    number_of,
    setting_from,
    setting_of,
    speed_of,
)

QUICK = settings(deadline=None, max_examples=150)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("7", 7.0),
        ("7,0", 7.0),
        ("7.0", 7.0),
        ("12,5", 12.5),
        ("1 200", 1200.0),
        ("1.200,5", 1200.5),
        ("1,200.5", 1200.5),
        ("1\u202f200", 1200.0),
        ("-3", -3.0),
    ],
)
def test_a_number_may_have_comma_or_point(text: str, number: float) -> None:
    assert number_of(text) == number


@pytest.mark.parametrize("text", ["", "seven", "1.2.3.4x", "7 m", "nan", "inf", "1e3", "--1"])
def test_what_is_no_number_is_none(text: str) -> None:
    assert number_of(text) is None


@pytest.mark.parametrize(
    ("text", "address"), [("14", 14), (" 14 ", 14), ("14,0", 14), ("14.0", 14), ("0x0E", 14), ("#14", 14), ("247", 247)]
)
def test_an_address_is_read(text: str, address: int) -> None:
    assert address_of(text) == address


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no address"),
        ("0", "all devices at once"),
        ("248", "address 248 cannot be: devices have 1 to 247"),
        ("300", "address 300 cannot be"),
        ("-1", "address -1 cannot be"),
        ("11,5", "whole numbers"),
        ("11-14", "several addresses"),
        ("11 to 14", "several addresses"),
        ("bay 2", "is no number"),
        ("0xFFFF", "65535 cannot be"),
    ],
)
def test_an_address_that_cannot_be_is_said(text: str, said: str) -> None:
    """Serial Line V1.02, 2.2: 0 is broadcast, 1 to 247 are servers, 248 to 255 are reserved."""
    read = address_of(text)

    assert isinstance(read, CannotBe)
    assert said in read.words


@pytest.mark.parametrize(
    ("text", "speed"),
    [
        ("9600", 9600),
        ("9.600", 9600),
        ("9,600", 9600),
        ("9 600", 9600),
        ("9600,0", 9600),
        ("9600 Bd", 9600),
        ("9600 baud", 9600),
        ("19,2k", 19200),
        ("19.2 kBaud", 19200),
        ("115.200", 115200),
        ("115,2 kbit/s", 115200),
        ("38400 bps", 38400),
    ],
)
def test_a_speed_is_read(text: str, speed: int) -> None:
    assert speed_of(text) == speed


@pytest.mark.parametrize(
    ("text", "framing"),
    [
        ("8N1", "8N1"),
        ("8e1", "8E1"),
        ("8-E-1", "8E1"),
        ("8,N,2", "8N2"),
        ("8 odd 1", "8O1"),
        ("8/none/1", "8N1"),
        ("E81", "8E1"),
        ("N,8,1", "8N1"),
    ],
)
def test_a_framing_is_read(text: str, framing: str) -> None:
    assert framing_of(text) == framing


@pytest.mark.parametrize(("text", "framing"), [("80", "8E1"), ("8.00E+01", "8E1"), ("8,00E+01", "8E1"), ("800", "8E2")])
def test_a_framing_that_a_spreadsheet_took_for_a_number_is_read(text: str, framing: str) -> None:
    """8E1 typed into a cell is eight times ten to the one."""
    assert framing_of(text) == framing


@pytest.mark.parametrize(
    "text",
    ["9600 8E1", "9600,8,E,1", "9600/8E1", "9600-8-E-1", "8E1 9600", "9.600 8E1", "9600 Bd, 8 even 1", "9600 80"],
)
def test_speed_and_framing_may_stand_in_one_cell(text: str) -> None:
    assert setting_of(text) == SerialSettings.of(9600, "8E1")


@pytest.mark.parametrize("text", ["", "-", "auto", "takes any", "Any", " ? "])
def test_a_cell_that_says_nothing_leaves_the_setting_open(text: str) -> None:
    assert setting_of(text) is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("9600", "has no framing: write such as 9600 8N1 or 9600 8E1"),
        ("quick", "cannot be: write speed and framing"),
        ("9600 7E1", "cannot carry RTU"),
        ("12 8N1", "12 baud is outside"),
        ("8N1", "has no speed"),
    ],
)
def test_a_setting_that_cannot_be_says_what_to_write(text: str, said: str) -> None:
    """Serial Line V1.02, 2.5.1: RTU characters have eight data bits."""
    read = setting_of(text)

    assert isinstance(read, CannotBe)
    assert said in read.words


@given(
    st.sampled_from([1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200]), st.sampled_from("NEO"), st.integers(1, 2)
)
@QUICK
def test_a_setting_written_our_way_is_read_back(baud: int, parity: str, stop_bits: int) -> None:
    written = SerialSettings.of(baud, f"8{parity}{stop_bits}")

    assert setting_of(str(written)) == written
    assert setting_from(str(baud), written.framing) == written


@given(st.text(max_size=20))
@QUICK
def test_any_text_is_a_value_or_a_sentence(text: str) -> None:
    """Nothing typed into a cell ends the program."""
    address, setting = address_of(text), setting_of(text)

    assert isinstance(address, CannotBe) or 1 <= address <= 247
    assert setting is None or isinstance(setting, CannotBe | SerialSettings)
