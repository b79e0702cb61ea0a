"""What is said of a scenario file that cannot be used: file and line, what, and what to do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from simulated_line.scenario.reading import ScenarioError, load_scenario, named_scenario

BROKEN: list[tuple[str, str]] = [
    ('name = "x"\nstory = "y"\nseeed = 3\n', r":3: 'seeed' is not known here: did you mean 'seed'\?"),
    ('name = "x"\n', r"'story' is missing"),
    ('name = "x"\nstory = "y"\n\n[line]\nbit_error_rate = 2.0\n', r":5: 'line.bit_error_rate' cannot be 2.0"),
    (
        'name = "x"\nstory = "y"\n\n[[device]]\nname = "d"\naddress = 300\nsettings = "9600 8N1"\n',
        r":6: 'device.1.address' cannot be 300",
    ),
    (
        'name = "x"\nstory = "y"\n\n[[device]]\nname = "d"\naddress = 3\nsettings = "9600 8X1"\n',
        r":7: 'device.1.settings' cannot be '9600 8X1': framing '8X1' cannot be",
    ),
    (
        'name = "x"\nstory = "y"\n\n[[device]]\nname = "d"\naddress = 3\nsettings = "9600 8N1"\ntype = "fan_drivee"\n',
        r":8: no device type is called 'fan_drivee': did you mean 'fan_drive'\?",
    ),
    ('name = "x"\nstory = "y"\n[line]\noverlap = "both"\n', r":4: 'line.overlap' .*choose one of 'zero_wins'"),
    (
        'name = "x"\nstory = "y"\n\n[[chatter]]\nname = "c"\nsettings = "9600 8N1"\ndata = "5G"\nperiod_s = 1.0\n',
        r":7: 'chatter.1.data' cannot be '5G': write bytes in hex",
    ),
    (
        'name = "x"\nstory = "y"\n\n[line.open_place]\nafter_place = 1\n'
        "windows = [{ from_s = 5.0, until_s = 9.0 }, { from_s = 1.0 }]\n",
        r"'line.open_place' .*windows come one after the other",
    ),
    (
        'name = "x"\nstory = "y"\n\n[[device]]\nname = "d"\naddress = 3\nsettings = "9600 8N1"\n'
        '[[device.cell]]\ntable = "coils"\naddress = 0\nprocess = "air_temperatur"\n',
        r":11: .*did you mean 'air_temperature'\?",
    ),
    (
        'name = "x"\nstory = "y"\n\n[[device]]\nname = "d"\naddress = 3\nsettings = "9600 8N1"\n[device.habits]\n'
        'safe_values = [{ table = "coils", address = 3, words = [0] }]\n',
        r":9: 'd' has no coils 3 to 3 for its safe values: add a cell",
    ),
    ('name = "x"\nstory "y"\n', r":2: .*it is not TOML"),
    ('name = "x"\nstory = "y"\nseed = "3"\n', r":3: 'seed' cannot be '3'"),
]


@pytest.mark.parametrize(("text", "sentence"), BROKEN, ids=[sentence for _, sentence in BROKEN])
def test_a_broken_scenario_says_what_where_and_what_to_do(tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "broken.toml"
    path.write_text(text)

    with pytest.raises(ScenarioError) as refused:
        load_scenario(path)

    assert any(re.search(sentence, problem) for problem in refused.value.problems), refused.value.problems
    assert all(str(path) in problem for problem in refused.value.problems)


def test_all_errors_are_said_at_once(tmp_path: Path) -> None:
    path = tmp_path / "broken.toml"
    path.write_text('name = "x"\nstory = "y"\nseeed = 3\n[line]\nbit_error_rate = 2.0\n[adapter]\nlatency = 1\n')

    with pytest.raises(ScenarioError) as refused:
        load_scenario(path)

    assert len(refused.value.problems) == 3


def test_an_unknown_name_says_the_nearest() -> None:
    with pytest.raises(ScenarioError, match="did you mean 'greenhouse'"):
        named_scenario("greenhous")
