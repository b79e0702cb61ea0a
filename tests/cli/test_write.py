"""`write` and `record writes` as users run them, on simulated devices in virtual time."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.bus.stop_request import StopRequest
from buswalk.cli.command_line import run_command
from buswalk.cli.parts import Person
from buswalk.command_parts import standard_parts
from buswalk.domain.event_reading import event_from
from buswalk.domain.registers.writing.events import OldRead, ReadBack, WriteBegun
from tests.fakes.asked_site import EXAMPLE
from tests.fakes.command_in_process import Ran, ran

SETPOINT = "--address 37 --register 0 --type int16 --scale 0.1 --unit °C"


def scenario(folder: Path, habits: str = "") -> Path:
    path = folder / "one.toml"
    path.write_text(f'name = "one"\nstory = "for a test"\n{EXAMPLE}[device.habits]\n{habits}\n')
    return path


def wrote(folder: Path, words: str, habits: str = "", *more: str) -> Ran:
    """Run `write` with a reason on server 37, which holds 21.5 in its first register."""
    line = ["write", "--port", f"sim:{scenario(folder, habits)}", "--clock", "virtual", "--alone", "--reason", "a test"]
    return ran(*line, *words.split(), *more, "--record", str(folder / "w.buswalk.sqlite"))


def writes_of(folder: Path, *more: str) -> Ran:
    return ran("record", "writes", str(folder / "w.buswalk.sqlite"), *more)


def test_a_confirmed_value_is_written_and_looked_at_four_times(tmp_path: Path) -> None:
    ended = wrote(tmp_path, f"{SETPOINT} 23 --confirm 23")

    assert ended.status == 0
    lines = ended.out.splitlines()
    assert lines[1:3] == ["  now       21.5 °C", "  to write  23.0 °C"]
    assert [line.split() for line in lines if line.startswith("  at")] == [
        ["at", at, "s", "23.0", "°C", "held"] for at in ("0", "2", "10", "60")
    ]


def test_cautions_stand_before_the_write(tmp_path: Path) -> None:
    ended = wrote(tmp_path, f"{SETPOINT} 23 --confirm 23 --memory eeprom")

    cautions, written = ended.out.index("caution"), ended.out.index("written with")
    assert cautions < written
    assert "local rules and licensed practice come first" in ended.out
    assert "100 000 writes" in ended.out


@pytest.mark.parametrize(
    ("confirm", "words"),
    [("", "nobody is at the terminal"), ("--confirm 32", "'32' was typed to confirm, and it would be '23'")],
)
def test_without_the_value_typed_once_more_nothing_leaves_but_the_look(
    tmp_path: Path, confirm: str, words: str
) -> None:
    ended = wrote(tmp_path, f"{SETPOINT} 23 {confirm}")

    assert ended.status == 2
    assert words in ended.err
    assert "21.5 °C" in ended.out
    assert writes_of(tmp_path).out.splitlines() == ["nothing was written", "nothing is left changed"]


@pytest.mark.parametrize(("typed", "status"), [("23\n", 0), ("y\n", 2), ("\n", 2), ("", 2)])
def test_at_a_terminal_the_value_is_typed(tmp_path: Path, typed: str, status: int) -> None:
    out, err, asked = io.StringIO(), io.StringIO(), []

    def answer(question: str) -> str:
        asked.append(question)
        return typed

    parts = replace(standard_parts(out, err, StopRequest()), person=Person(is_there=True, answer=answer))
    line = f"write --port sim:{scenario(tmp_path)} --clock virtual --alone --no-record {SETPOINT} 23 --reason test"

    assert run_command(line.split(), parts) == status
    assert asked == ["type '23' to go on, anything else leaves all as it is: "]


@pytest.mark.parametrize(
    ("habits", "value", "verdict", "status"),
    [
        ("", "23", "held", 0),
        ('write_effect = "ignored"', "23", "ignored", 1),
        ('write_effect = "clipped"\nclip_high = 220', "23", "clipped", 1),
        ('write_effect = "falls_back"\nfalls_back_after_s = 5.0', "23", "fell back", 1),
    ],
)
def test_the_exit_status_says_whether_it_held(
    tmp_path: Path, habits: str, value: str, verdict: str, status: int
) -> None:
    ended = wrote(tmp_path, f"{SETPOINT} {value} --confirm {value}", habits)

    assert ended.status == status
    assert ended.out.splitlines()[-1].startswith(verdict)


def test_the_old_value_is_put_back_where_asked_for(tmp_path: Path) -> None:
    ended = wrote(tmp_path, f"{SETPOINT} 23 --confirm 23 --put-back")

    assert ended.status == 0
    assert "21.5 °C" in ended.out.splitlines()[-2]
    assert writes_of(tmp_path).out.splitlines()[-1] == "nothing is left changed"
    assert writes_of(tmp_path).status == 0


def test_a_record_tells_what_is_left_changed(tmp_path: Path) -> None:
    wrote(tmp_path, f"{SETPOINT} 23 --confirm 23")

    told = writes_of(tmp_path)

    assert told.status == 1
    assert told.out.splitlines()[-2:] == [
        "changed and not put back ('put-back --from FILE' puts one of them back):",
        "  register_0 of 37 (holding register 0): 21.5 °C -> 23.0 °C",
    ]
    (changed,) = [one for one in writes_of(tmp_path, "--json").events if one["event"] == "left_changed"]
    assert (changed["old"]["words"], changed["words"]) == ([215], [230])


def test_wearing_memory_asks_again_from_the_fourth_write_of_a_visit_on(tmp_path: Path) -> None:
    """Each command is a session of its own; the record counts through all of them."""
    for raw in (22, 23, 24):
        assert wrote(tmp_path, f"{SETPOINT} {raw} --confirm {raw} --memory eeprom").status == 0

    refused = wrote(tmp_path, f"{SETPOINT} 25 --confirm 25 --memory eeprom")
    accepted = wrote(tmp_path, f"{SETPOINT} 25 --confirm 25 --memory eeprom", "", "--confirm-apart", "wears the memory")

    assert refused.status == 2
    assert "--confirm-apart 'wears the memory'" in refused.err
    assert "It was written 3 times in this visit" in refused.out
    assert accepted.status == 0


def test_all_devices_are_written_only_when_that_is_confirmed_apart(tmp_path: Path) -> None:
    words = "--address 0 --register 0 230 --confirm 230"

    assert "'all devices'" in wrote(tmp_path, words).err
    ended = wrote(tmp_path, words, "", "--confirm-apart", "all devices")

    assert ended.status == 0
    assert "none answers: read each of them" in ended.out


def test_a_broadcast_is_confirmed_by_how_many_devices_are_known(tmp_path: Path) -> None:
    """The plan of the line names them; words typed for another number of devices confirm nothing."""
    path = tmp_path / "two.toml"
    planned = "".join(
        f'[[planned]]\nname = "device {one}"\naddress = {one}\nsettings = "9600 8N1"\n' for one in (37, 56)
    )
    path.write_text(f'name = "two"\nstory = "for a test"\n{EXAMPLE}{planned}')
    line = f"write --port sim:{path} --clock virtual --alone --reason test --no-record --address 0 --register 0 230"
    words = (*line.split(), "--confirm", "230", "--confirm-apart")

    habit, meant = ran(*words, "all devices"), ran(*words, "all 2 devices")

    assert habit.status == 2
    assert "2 devices are known here, and all of them take it: 37, 56. So does any that is not known." in habit.out
    assert "None answers: nothing is read back, nothing can be put back" in habit.out
    assert "--confirm-apart 'all 2 devices'" in habit.err
    assert meant.status == 0


@pytest.mark.parametrize(("typed", "status"), [(["all devices\n", "7\n"], 0), (["7\n"], 2), (["y\n"], 2)])
def test_at_a_terminal_a_broadcast_is_typed_twice(tmp_path: Path, typed: list[str], status: int) -> None:
    out, err, asked = io.StringIO(), io.StringIO(), []
    answers = iter(typed)

    def answer(question: str) -> str:
        asked.append(question)
        return next(answers)

    parts = replace(standard_parts(out, err, StopRequest()), person=Person(is_there=True, answer=answer))
    line = f"write --port sim:{scenario(tmp_path)} --clock virtual --alone --no-record --address 0 --register 0 7"

    assert run_command([*line.split(), "--reason", "test"], parts) == status
    assert asked[0] == "type 'all devices' to go on, anything else leaves all as it is: "
    assert len(asked) == len(typed)


def test_raw_words_are_shown_in_hex_and_said_to_be_undescribed(tmp_path: Path) -> None:
    ended = wrote(tmp_path, "--address 37 --register 0 0x41AC,0 --confirm 0x41AC,0")

    assert ended.status == 0
    assert "holding register 0 to 1 of 37" in ended.out
    assert "41AC 0000" in ended.out
    assert "no list says what this does" in ended.out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("--address 37 5 --confirm 5", "such as --register 40"),
        (f"{SETPOINT} 21.55 --confirm 21.55", "lies between two steps"),
        (f"{SETPOINT} 4000 --confirm 4000", "does not fit"),
        (f"{SETPOINT} warm --confirm warm", "cannot be written so"),
        ("--address 37 --table coils --register 0 7 --confirm 7", "0 to 1"),
        ("--address 0 --register 0 7 --confirm 7 --put-back", "--put-back cannot be"),
        (f"{SETPOINT} 23 --scale 0 --confirm 23", "--scale '0'"),
    ],
)
def test_what_cannot_be_written_is_wrong_use_in_one_sentence(tmp_path: Path, words: str, sentence: str) -> None:
    ended = wrote(tmp_path, words)

    assert ended.status == 2
    assert sentence in ended.err
    assert "Traceback" not in ended.err


def test_a_reason_that_says_nothing_writes_nothing(tmp_path: Path) -> None:
    line = f"write --port sim:{scenario(tmp_path)} --clock virtual --alone --no-record {SETPOINT} 23 --confirm 23"

    ended = ran(*line.split(), "--reason", " ")

    assert ended.status == 2
    assert "needs a reason" in ended.err
    assert "written with" not in ended.out


def test_who_does_not_answer_is_not_written_to(tmp_path: Path) -> None:
    ended = wrote(tmp_path, "--address 99 --register 0 1 --confirm 1", "", "--confirm-apart", "no way back")

    assert ended.status == 1
    assert "nothing answers at 99" in ended.err


def test_a_living_line_is_not_written_to_until_that_is_allowed() -> None:
    words = (
        "--port demo:another-client --clock virtual --no-record --address 37 --register 0 7 --confirm 7 --reason test"
    )

    ended = ran("write", *words.split())

    assert ended.status == 1
    assert "something else is sending on this line" in ended.err


def test_json_tells_old_value_before_the_write(tmp_path: Path) -> None:
    ended = wrote(tmp_path, f"{SETPOINT} 23 --confirm 23 --json")

    assert ended.kinds == [
        "started",
        "write_proposed",
        "write_begun",
        "written",
        *["read_back"] * 4,
        "write_judged",
        "recorded",
    ]
    events = [event_from(one.pop("event"), one) for one in ended.events[2:8]]
    assert isinstance(events[0], WriteBegun)
    assert events[0].old == OldRead((215,), 2)
    assert [one.words for one in events if isinstance(one, ReadBack)] == [(230,)] * 4


def test_a_point_of_a_profile_brings_its_limits_and_caution() -> None:
    line = "write --port demo:hall --clock virtual --alone --no-record --baud 19200 --framing 8E1 --address 20"
    point = "--profile pump-drive --point speed_setpoint"

    held = ran(*line.split(), *point.split(), "60", "--confirm", "60", "--reason", "test")
    refused = ran(*line.split(), *point.split(), "6000", "--confirm", "6000", "--reason", "test")
    unknown = ran(*line.split(), "--profile", "pump-drive", "--point", "colour", "60", "--reason", "test")
    only_read = ran(*line.split(), "--profile", "pump-drive", "--point", "speed", "60", "--reason", "test")

    assert held.status == 0
    assert "caution: Changes the speed of a pump; local rules" in held.out
    assert refused.status == unknown.status == only_read.status == 2
    assert "write one of speed_setpoint_kept, speed_setpoint" in unknown.err
    assert "cannot be written" in only_read.err
