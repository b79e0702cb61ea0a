"""The documented example of `buswalk.api` runs as it stands, and the rest keeps its word."""

from __future__ import annotations

import doctest
from pathlib import Path

import pytest

from buswalk import api
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.search.events import SearchEnded

README = Path(__file__).resolve().parents[1] / "README.md"


def test_the_documented_example_runs() -> None:
    result = doctest.testmod(api, optionflags=doctest.ELLIPSIS)

    assert result.attempted == 18
    assert result.failed == 0


def test_the_example_of_the_readme_runs() -> None:
    code = README.read_text(encoding="utf-8").split("```python\n")[1].split("```")[0]
    names: dict[str, object] = {}

    exec(code, names)

    found = names["found"]
    assert isinstance(found, list) and sorted(one.server_address for one in found) == [21, 22, 23, 24]


def test_ports_are_listed_as_the_command_does() -> None:
    assert all(one.port and one.words for one in api.list_ports())


def test_a_simulated_line_may_be_written_to_and_says_what_came_of_it() -> None:
    with api.open_line("demo:greenhouse", 9600, "8N1", virtual=True) as line:
        exchange = line.ask(21, WriteSingleRegister(0, 1))

    assert isinstance(exchange.outcome, NormalReply | ExceptionReply)
    assert line.events


def test_chosen_settings_are_searched_and_a_living_line_yields_nothing() -> None:
    settings = [SerialSettings.of(9600, "8N1")]

    with api.open_line("demo:another-client", 9600, "8N1", virtual=True) as line:
        unasked = list(line.find(range(36, 39), settings))
        asked = list(line.find(range(36, 39), settings, live_line=True))

    assert unasked == []
    assert [one.server_address for one in asked] == [37]


def test_every_event_of_a_search_can_be_had() -> None:
    with api.open_line("demo:greenhouse", 9600, "8N1", virtual=True) as line:
        plan = api.SearchPlan((21, 99), {SerialSettings.of(9600, "8N2"): 1.0}, listen_s=0.0)
        events = list(line.search_events(plan))

    assert isinstance(events[-1], SearchEnded) and events[-1].devices == 1


def test_listening_ends_with_its_verdict() -> None:
    with api.open_line("demo:another-client", 9600, "8N1", virtual=True) as line:
        *_, ended = line.listen(3.0)

    assert isinstance(ended, ListeningEnded) and len(ended.frames) == 8


def test_what_cannot_be_opened_says_why() -> None:
    with pytest.raises(api.WrongScenario, match="no scenario is called"):
        api.open_line("demo:no-such-line", 9600, "8N1")
    with pytest.raises(ValueError, match="framing '8X1' cannot be"):
        api.open_line("demo:greenhouse", 9600, "8X1")
