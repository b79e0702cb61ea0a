"""`sunspec` on the weather station of the demo line, whose map describes itself."""

from __future__ import annotations

from buswalk.domain.registers.sunspec.chain import LocatedModel
from buswalk.domain.registers.sunspec.profiles import DescribedModel, profile_of
from buswalk.storage.sunspec_models import sunspec_model
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


def test_what_was_read_is_kept_as_a_profile_by_which_it_is_read_again() -> None:
    kept = ran(*SUNSPEC.split(), "--address", "41", "--name", "station-41")
    shown = ran("profile", "show", "station-41", "--json")

    assert "kept as " in kept.out
    points = {one["name"]: one for one in shown.events if one["event"] == "point_listed"}
    temperature = points["m307_tmpbom" if "m307_tmpbom" in points else "m307_tmpamb"]
    assert (temperature["register_address"], temperature["scale"], temperature["unit"]) == (40072, "0.1", "°C")


def test_a_model_that_stands_twice_gives_points_of_two_names() -> None:
    """A string inverter may repeat a model for each of its inputs."""
    definition = sunspec_model(307)
    assert definition is not None
    words = (307, 11, *([1] * 11))
    models = [DescribedModel(definition, LocatedModel(307, first, 11), words) for first in (40070, 40083)]

    profile = profile_of("twice", models)

    assert len({one.name for one in profile.points}) == len(profile.points)
    assert {one.name for one in profile.points} >= {"m307_rh", "m307_rh_2"}


def test_a_living_line_has_its_loss_timers_named_whether_it_is_asked_or_not() -> None:
    asked = ["sunspec", "--port", "demo:another-client", "--clock", "virtual", "--no-record", "--address", "37"]
    for more in ([], ["--live-line"]):
        ended = ran(*asked, *more)

        lines = ended.out.splitlines()
        named = next(i for i, one in enumerate(lines) if one.startswith("loss timers: "))
        assert "local codes and the rules of the site come first" in "".join(lines[named:])
        assert not any("marker" in one for one in lines[:named])
