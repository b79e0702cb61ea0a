"""`put-back` as users run it: a record tells what was left changed; each place only over what is still ours.

The device is simulated and begins anew with each command, so its scenario holds what the test wants it to hold.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_write import SETPOINT, writes_of, wrote
from tests.fakes.asked_site import EXAMPLE
from tests.fakes.command_in_process import Ran, ran


def holding(folder: Path, raw: int) -> str:
    """The same line, its first register holding another value than 215."""
    path = folder / "one.toml"
    cell = f'[[device.cell]]\ntable = "holding_registers"\naddress = 0\nwords = [{raw}]\n'
    path.write_text(f'name = "one"\nstory = "for a test"\n{EXAMPLE}\n{cell}')
    return f"sim:{path}"


def put_back(folder: Path, raw: int, *more: str, confirm: str = "21.5") -> Ran:
    line = ("put-back", "--port", holding(folder, raw), "--clock", "virtual", "--alone", "--reason", "a test")
    return ran(*line, "--confirm", confirm, "--record", str(folder / "w.buswalk.sqlite"), *more)


def left_at_23(folder: Path) -> None:
    assert wrote(folder, f"{SETPOINT} 23 --confirm 23").status == 0


def test_what_a_session_left_is_put_back_and_the_record_says_so(tmp_path: Path) -> None:
    left_at_23(tmp_path)

    ended = put_back(tmp_path, 230)

    assert ended.status == 0, ended.err
    assert "  1  register_0 of 37 (holding register 0): 21.5 °C -> 23.0 °C" in ended.out
    assert "  now       23.0 °C" in ended.out
    assert ended.out.splitlines()[-1].startswith("held")
    assert writes_of(tmp_path).out.splitlines()[-1] == "nothing is left changed"
    begun = [one for one in writes_of(tmp_path, "--json").events if one["event"] == "write_begun"]
    assert [one["puts_back_of"] for one in begun] == ["", "session 1 of w.buswalk.sqlite"]


def test_what_somebody_else_changed_since_is_left(tmp_path: Path) -> None:
    left_at_23(tmp_path)

    ended = put_back(tmp_path, 190)

    assert ended.status == 1
    assert "somebody else has changed it since" in ended.err
    assert "written with" not in ended.out
    assert writes_of(tmp_path).status == 1


def test_where_the_old_value_stands_already_the_record_says_so_and_nothing_is_asked(tmp_path: Path) -> None:
    left_at_23(tmp_path)

    ended = put_back(tmp_path, 215, confirm="")

    assert ended.status == 0
    assert (
        ended.out.splitlines()[-1]
        == "register_0 of 37 (holding register 0) holds 21.5 °C already: nothing is to be put back"
    )
    assert writes_of(tmp_path).out.splitlines()[-1] == "nothing is left changed"


@pytest.mark.parametrize("typed", ["23", "y", ""])
def test_only_the_old_value_typed_confirms(tmp_path: Path, typed: str) -> None:
    left_at_23(tmp_path)

    ended = put_back(tmp_path, 230, confirm=typed)

    assert ended.status == 2
    assert f"'{typed}' was typed to confirm, and it would be '21.5'" in ended.err
    assert "written with" not in ended.out


def test_of_several_places_one_is_named(tmp_path: Path) -> None:
    left_at_23(tmp_path)
    assert wrote(tmp_path, "--address 37 --register 1 7 --confirm 7").status == 0

    which, beyond = put_back(tmp_path, 230), put_back(tmp_path, 230, "--place", "3")
    done = put_back(tmp_path, 230, "--place", "1")

    assert (which.status, beyond.status, done.status) == (2, 2, 0)
    assert "2 places are left changed, say which one" in which.err
    assert "there is no place 3" in beyond.err
    assert "holding register 1 of 37" in writes_of(tmp_path).out.splitlines()[-1]


def test_another_record_can_be_named_and_a_wrong_one_is_said(tmp_path: Path) -> None:
    left_at_23(tmp_path)
    record = tmp_path / "w.buswalk.sqlite"
    begin = f"put-back --port {holding(tmp_path, 230)} --clock virtual --alone --no-record --reason test"
    line = begin.split()

    named = ran(*line, "--from", str(record), "--confirm", "21.5")
    missing = ran(*line, "--from", str(tmp_path / "none.buswalk.sqlite"), "--confirm", "21.5")
    nothing = ran(*line)

    assert (named.status, missing.status) == (0, 2)
    assert "none.buswalk.sqlite" in missing.err
    assert (nothing.status, nothing.out) == (0, "nothing is left changed\n")


def test_a_value_that_was_never_read_is_not_put_back(tmp_path: Path) -> None:
    """What was sent to all devices replaced something else in each."""
    words = "--address 0 --register 0 230 --confirm 230"
    assert wrote(tmp_path, words, "", "--confirm-apart", "all devices").status == 0

    ended = put_back(tmp_path, 230, confirm="")

    assert ended.status == 1
    assert "never read: nothing was put back" in ended.err
