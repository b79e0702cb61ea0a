"""`readdress` and `ask --frame` as users run them, on simulated devices in virtual time."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_write import scenario
from tests.fakes.command_in_process import Ran, ran

CODES = 'address_register = 10\nspeed_register = 11\nspeed_codes = [{ code = 4, settings = "19200 8E1" }]\n'


def moved(folder: Path, words: str, habits: str = CODES) -> Ran:
    line = f"readdress --port sim:{scenario(folder, habits)} --clock virtual --alone --address 37 --company 1-40"
    record = str(folder / "r.buswalk.sqlite")
    return ran(*line.split(), *words.split(), "--reason", "as planned", "--restart-within", "20", "--record", record)


def test_an_address_that_acts_at_once_is_found_at_its_new_place(tmp_path: Path) -> None:
    ended = moved(tmp_path, "--to-address 42 --set 10=42 --confirm 42")

    assert ended.status == 0
    assert "written to 37 at 9600 8N1: a reply came from another address" in ended.out
    assert "is it alone? 39 other addresses were asked: none answered" in ended.out
    assert "  37 at 9600 8N1: silent\n  42 at 9600 8N1: answers\n" in ended.out
    assert ended.out.splitlines()[-1].startswith("the device is at 42 at 9600 8N1, and no longer at 37")
    left = ran("record", "writes", str(tmp_path / "r.buswalk.sqlite"))
    assert "the device is at 42" in left.out
    assert "moved and not put back:\n  device 37 at 9600 8N1 -> 42 at 9600 8N1" in left.out
    assert left.status == 1


def test_a_speed_is_set_and_confirmed_by_its_words(tmp_path: Path) -> None:
    line = f"readdress --port sim:{scenario(tmp_path, CODES)} --clock virtual --alone --address 37 --company 1-40"
    words = "--to-baud 19200 --to-framing 8E1 --set 11=4 --no-record --reason test --confirm"

    ended = ran(*line.split(), *words.split(), "19200 8E1")

    assert ended.status == 0
    assert "the device is at 37 at 19200 8E1" in ended.out


@pytest.mark.parametrize("effect", ["ignored", "after_restart"])
def test_a_device_that_did_not_move_is_said_to_be_where_it_was(tmp_path: Path, effect: str) -> None:
    """Nobody cycles its supply here."""
    ended = moved(tmp_path, "--to-address 42 --set 10=42 --confirm 42", f'write_effect = "{effect}"\n{CODES}')

    assert ended.status == 1
    assert "take its supply away" in ended.out
    assert "still at 37 at 9600 8N1, and no restart was seen" in ended.out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("--to-address 42 --set 10=42", "write --confirm '42'"),
        ("--to-address 42 --set 10=42 --confirm 37", "it would be '42'"),
        ("--set 10=42 --confirm 37", "stop bit"),
        ("--to-address 42 --set 10 --confirm 42", "--set '10' cannot be"),
        ("--to-address 42 --set 10=99999 --confirm 42", "--set '99999'"),
    ],
)
def test_what_cannot_be_or_is_not_confirmed_writes_nothing(tmp_path: Path, words: str, sentence: str) -> None:
    ended = moved(tmp_path, words)

    assert ended.status == 2
    assert sentence in ended.err
    assert "written to" not in ended.out


def asked(folder: Path, *words: str) -> Ran:
    return ran("ask", "--port", f"sim:{scenario(folder)}", "--clock", "virtual", "--no-record", *words)


def test_bytes_of_ones_own_get_a_right_check_sum() -> None:
    """Frame and reply of the running example: 21.5 and 45.0 as 215 and 450."""
    line = "ask --port demo:stray-byte-after-reply --clock virtual --no-record --reason test --frame"

    ended = ran(*line.split(), "25 03 00 00 00 02")

    assert ended.status == 0
    assert "215" in ended.out


def test_a_wrong_check_sum_is_met_with_silence(tmp_path: Path) -> None:
    """Serial Line V1.02, 2.4.1: a server that finds an error in a frame does not answer."""
    ended = asked(tmp_path, "--frame", "25 03 00 00 00 02", "--crc", "wrong", "--reason", "test of the filter")

    assert ended.status == 1
    assert "no reply" in ended.out


def test_a_function_of_ones_own_is_answered_with_a_refusal(tmp_path: Path) -> None:
    """Application V1.1b3, 7: exception 01, function not known."""
    ended = asked(tmp_path, "--frame", "25 41 01 02", "--reason", "a maker's function")

    assert ended.status == 0
    assert "exception 01" in ended.out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--frame", "25 03 00 00 00 02"), "needs a reason"),
        (("--frame", "25", "--reason", "test"), "4 to 256 bytes"),
        (("--frame", "25 03 00 00 00 02", "--reason", "test", "--address", "37"), "leave --address out"),
        (("--frame", "00 06 00 00 00 02", "--reason", "test"), "second confirmation"),
        (("--register", "0"), "write --address"),
    ],
)
def test_what_may_not_leave_is_told_in_one_sentence(tmp_path: Path, words: tuple[str, ...], sentence: str) -> None:
    ended = asked(tmp_path, *words)

    assert ended.status == 2
    assert sentence in ended.err
