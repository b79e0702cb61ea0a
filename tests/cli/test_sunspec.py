"""`sunspec` on the weather station of the demo line, whose map describes itself."""

from __future__ import annotations

from tests.fakes.command_in_process import ran

SUNSPEC = "sunspec --port demo:greenhouse --clock virtual --alone --no-record"


def test_the_map_of_a_weather_station_is_read_and_said() -> None:
    """Models 1 and 307 of the open standard; 0x8000 there means not implemented."""
    ended = ran(*SUNSPEC.split(), "--address", "41")

    assert ended.status == 0, ended.err
    assert "41: marker at 40000, 2 models" in ended.out
    assert "'Example Weather'" in ended.out
    assert "model 307" in ended.out
    assert "no value (0x8000)" in ended.out
    assert " hPa" in ended.out


def test_a_device_without_one_is_said_to_have_none() -> None:
    ended = ran(*SUNSPEC.split(), "--address", "21")

    assert ended.status == 1
    assert "21 has no self-describing map: no marker at register 40000, 50000, 0 (as sent)" in ended.out


def test_a_living_line_is_not_asked() -> None:
    ended = ran(*["sunspec", "--port", "demo:another-client", "--clock", "virtual", "--no-record", "--address", "37"])

    assert ended.status == 1
    assert "something is sending on this line; nothing was asked: --live-line asks all the same" in ended.out
