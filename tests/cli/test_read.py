"""`read` and `watch` on demo lines: values with units, raw words, reasons in words, three forms, statuses."""

from __future__ import annotations

import csv
import io
import re
from datetime import datetime

import pytest

from tests.fakes.command_in_process import Ran, ran


def run(command: str, port: str, rest: str) -> Ran:
    return ran(*f"{command} --clock virtual --port demo:{port} {rest}".split())


def test_a_profile_tells_values_with_units_raw_words_and_where_they_stand() -> None:
    """The type's file says: output at 3500 of 0.01 %, and -123.45 as text, float and integer."""
    ended = run("read", "greenhouse", "--address 11 --profile io-controller-p --retries 3")

    lines = [" ".join(line.split()) for line in ended.out.splitlines()]
    assert "output 1 35.00 % 0x0DAC holding registers 0 (40001)" in lines
    assert "test number as a float -123.45 0xC2F6 E666 holding registers 901 (40902)" in lines
    assert "test number as a text '-123.45' 0x2D31 3233 2E34 3500 holding registers 903 (40904)" in lines
    assert ended.status == 0


def test_a_float_shows_the_decimals_that_its_list_names() -> None:
    """Nobody reads carbon dioxide to a ten-thousandth: its list says none."""
    ended = run("read", "greenhouse", "--address 21 --profile air-transmitter")

    (line,) = [one for one in ended.out.splitlines() if "carbon dioxide" in one]
    assert re.search(r"carbon dioxide +[0-9]{3,4} ppm", line)


def test_a_slow_device_is_waited_for_and_each_answer_is_its_own() -> None:
    """It takes up to a second: a late answer to the first request is never taken for that of the second."""
    ended = run("read", "greenhouse", "--framing 8E1 --address 51 --profile heat-meter --timeout 0.05 --json")

    qualities = {one["quality"] for one in ended.events if one["event"] == "point_read"}
    assert qualities == {"no_reply"}
    assert ended.status == 1


def test_addresses_are_read_in_the_notation_stated() -> None:
    """40003 of five digits is holding register 2 as sent (Application V1.1b3, 4.4: numbers count from 1)."""
    ended = run("read", "greenhouse", "--address 21 --from 40003 --notation reference_number_5 --json")

    (read,) = [one for one in ended.events if one["event"] == "point_read"]
    assert (read["table"], read["register_address"], read["raw"], read["value"]) == (
        "holding_registers",
        2,
        "0001",
        "1",
    )


def test_what_does_not_exist_is_refused_in_words_and_the_rest_is_read() -> None:
    ended = run("read", "greenhouse", "--address 21 --from 0 --quantity 4")

    lines = [" ".join(line.split()) for line in ended.out.splitlines()]
    assert "2 1 0x0001 holding registers 2 (40003)" in lines
    assert "3 no value: refused, exception 02: illegal data address holding registers 3 (40004)" in lines
    assert ended.status == 0


def test_silence_is_said_in_words() -> None:
    ended = run("read", "greenhouse", "--address 99 --from 0")

    assert "no reply in 1001 ms" in ended.out
    assert ended.status == 1


def test_a_watch_says_each_value_in_csv_with_its_time() -> None:
    ended = run(
        "watch",
        "greenhouse",
        "--alone --device 21=air-transmitter --device 22=air-transmitter --period 5 --seconds 12 --csv",
    )

    rows = list(csv.DictReader(io.StringIO(ended.out)))
    temperatures = [one for one in rows if (one["server_address"], one["point"]) == ("21", "air_temperature")]
    times = [float(one["at_s"]) for one in temperatures]
    assert [round(one) for one in times] == [0, 5, 10]
    walls = [datetime.fromisoformat(one["time"]) for one in temperatures]
    assert [round((one - walls[0]).total_seconds()) for one in walls] == [0, 5, 10]
    assert {one["unit"] for one in temperatures} == {"°C"}
    assert all(10.0 < float(one["value"]) < 40.0 for one in temperatures)
    assert ended.status == 0


def test_devices_at_other_settings_are_watched_in_theirs() -> None:
    """The heat meter is slow, and the only one with even parity."""
    devices = ("--device", "21=air-transmitter", "--device", "51=heat-meter@9600 8E1")
    rest = "watch --clock virtual --port demo:greenhouse --alone --timeout 1.5 --cycles 2 --json"

    ended = ran(*rest.split(" "), *devices)

    good = {one["server_address"] for one in ended.events if one["event"] == "point_read" and one["quality"] == "good"}
    assert good == {21, 51}


def test_a_watch_ends_after_its_cycles_and_tells_the_forecast_once_it_knows() -> None:
    ended = run("watch", "greenhouse", "--alone --address 21 --profile air-transmitter --cycles 15 --json")

    looks = [one for one in ended.events if one["event"] == "point_read" and one["point"] == "lamp"]
    (told,) = [one for one in ended.events if one["event"] == "cycle_forecasted"]
    assert len(looks) == 15
    assert told["forecast"]["exchanges"] == 2
    assert 0.05 < told["forecast"]["cycle_s"] < 0.2
    assert ended.kinds[-1] == "recorded"


def test_a_watch_in_words_says_what_limits_the_cycle() -> None:
    ended = run("watch", "greenhouse", "--alone --address 21 --profile air-transmitter --cycles 15")

    assert "a cycle of 2 requests takes " in ended.out
    assert "what limits it: " in ended.out


def test_a_forecast_ends_by_itself_and_tells_each_what_if_beside_the_measured_cycle() -> None:
    """Twenty exchanges a device are enough; no value is shown."""
    ended = run(
        "watch",
        "greenhouse",
        "--alone --device 21=air-transmitter --device 24=air-transmitter --forecast "
        "--if-baud 19200 --if-timeout 0.3 --if-more 6 --if-more-like 24 --if-silent 21",
    )

    lines = ended.out.splitlines()
    assert ended.status == 0
    assert lines[0].startswith("a cycle of 4 requests takes ")
    for begin in (
        "at 19200 baud: a cycle would take ",
        "with a time-out of 300 ms: a cycle would take ",
        "with 6 more devices like 24: a cycle would take ",
        "with 21 silent: a cycle of the 1 that would still answer would take ",
        "at 19200 baud, with a time-out of 300 ms, with 6 more devices like 24, with 21 silent: a cycle of the 7 ",
    ):
        assert len([one for one in lines if one.startswith(begin)]) == 1
    assert not any("ppm" in one for one in lines)


def test_a_what_if_is_an_event_with_both_cycles() -> None:
    ended = run(
        "watch", "greenhouse", "--alone --address 21 --profile air-transmitter --forecast --if-baud 38400 --json"
    )

    (told,) = [one for one in ended.events if one["event"] == "what_if_forecast"]
    assert told["changes"] == [{"kind": "other_speed", "baud_rate": 38400}]
    assert told["then"]["cycle_s"] < told["now"]["cycle_s"]
    asked = [one for one in ended.events if one["event"] == "samples_taken"]
    assert 20 <= len(asked) <= 22


def test_a_forecast_of_nobody_ends_and_says_so() -> None:
    ended = run("watch", "greenhouse", "--alone --address 90 --profile air-transmitter --forecast --if-more 2")

    assert ended.status == 1
    assert "90 is absent" in ended.out
    assert "no forecast: it needs 20 answered exchanges" in ended.out


def test_a_watch_without_a_period_reads_each_second() -> None:
    ended = run("watch", "greenhouse", "--alone --address 21 --profile air-transmitter --seconds 9.5 --json")

    assert len([one for one in ended.events if one.get("point") == "lamp"]) == 10


@pytest.mark.parametrize(
    ("rest", "words"),
    [
        ("--if-baud 12345", "write 1200 or 2400"),
        ("--if-silent 99", "--if-silent 99: this device is not watched"),
        ("--if-more 2 --if-more-like 99", "--if-more-like 99: this device is not watched"),
        ("--if-more-like 21", "write how many by --if-more"),
        ("--if-timeout 0", "--if-timeout '0' cannot be"),
        ("--csv --if-more 3", "--csv has no room for a forecast"),
    ],
)
def test_a_what_if_that_cannot_be_is_one_sentence(rest: str, words: str) -> None:
    ended = run("watch", "greenhouse", f"--alone --address 21 --profile air-transmitter --cycles 1 {rest}")

    assert ended.status == 2
    assert words in ended.err


def test_points_of_their_own_period_are_asked_as_often() -> None:
    ended = run(
        "watch",
        "greenhouse",
        "--alone --address 21 --profile air-transmitter --point air_temperature --point lamp "
        "--period 2 --point-period lamp=8 --seconds 16.5 --json",
    )

    names = [one["point"] for one in ended.events if one["event"] == "point_read"]
    assert (names.count("air_temperature"), names.count("lamp")) == (9, 3)


@pytest.mark.parametrize(
    ("command", "port", "rest", "status", "words"),
    [
        ("read", "greenhouse", "--address 21", 2, "say what to read"),
        ("read", "greenhouse", "--address 21 --profile no-such", 2, "no profile is called"),
        ("read", "greenhouse", "--address 21 --profile air-transmitter --point nothing", 2, "no point 'nothing'"),
        ("read", "greenhouse", "--address 21 --from 40001", 0, ""),
        ("read", "greenhouse", "--address 21 --from x", 2, "'x' is no number"),
        ("read", "greenhouse", "--address 21 --from 65535 --quantity 2", 2, "would end at 65536"),
        ("read", "greenhouse", "--address 21 --from 0 --point lamp", 2, "--profile as well"),
        ("watch", "greenhouse", "--seconds 5", 2, "say whom to watch"),
        ("watch", "greenhouse", "--device 21", 2, "21=heat-meter"),
        ("watch", "greenhouse", "--device 21=heat-meter@9600", 2, "write speed and framing"),
        ("watch", "greenhouse", "--device 21=heat-meter --device 21=heat-meter", 2, "given twice"),
        ("watch", "greenhouse", "--address 21 --from 0 --csv --json", 2, "exclude each other"),
        ("watch", "greenhouse", "--address 21 --from 0 --point-period x=3", 2, "no point of this name"),
        ("watch", "another-client", "--address 37 --from 0 --seconds 30", 1, ""),
        ("watch", "no-device", "--address 37 --from 0 --seconds 5 --alone", 1, ""),
    ],
)
def test_what_else_can_come_of_it(command: str, port: str, rest: str, status: int, words: str) -> None:
    ended = run(command, port, rest)

    assert ended.status == status
    assert words in ended.err
    assert "Traceback" not in ended.out + ended.err
