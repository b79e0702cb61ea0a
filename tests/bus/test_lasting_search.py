"""A search outlives its port: told, waited for, gone on with, and nothing asked twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.bus.job_runner import Finished, PortLost, run_job
from buswalk.bus.keeping import AskingRights, Keeping, KeepingEnds
from buswalk.bus.lasting_search import LastingSearchEvent, PortBack, PortGone, SearchLine, lasting_search
from buswalk.bus.pace import Pace
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Depth, Found, SearchEnd, SearchEnded, SearchPlan
from buswalk.lines import OpenedLine, open_line
from buswalk.storage.nothing_recorded import NothingRecorded

AT_9600 = SerialSettings.of(9600, "8N2")
PLAN = SearchPlan((36, 37, 38), {AT_9600: 1.0, SerialSettings.of(1200, "8N2"): 0.5}, listen_s=30.0)
"""The adapter of this scenario is unplugged 20 s into the session, while the search still listens, and back at 30 s."""


def unplugged() -> OpenedLine:
    return open_line("demo:adapter-unplugged", AT_9600, PortOptions(), Pace.VIRTUAL)


def given_on(opened: OpenedLine, line: Line, open_again: Callable[[], Line], port_return_s: float) -> SearchLine:
    """Return a line to search that nobody records."""
    ends = KeepingEnds(lambda _: None, lambda _: None, lambda: 0.0)
    keeping = Keeping(NothingRecorded("", is_simulated=True), opened.clock, ends)
    rights = AskingRights(StopRequest())
    return SearchLine(
        line, opened.clock, open_again, port_return_s, lambda line, sink: keeping.asker_on(line, sink, rights)
    )


def searched(
    opened: OpenedLine, port_return_s: float, plan: SearchPlan = PLAN
) -> tuple[list[LastingSearchEvent], object]:
    events: list[LastingSearchEvent] = []
    given = given_on(opened, opened.line, lambda: opened.open_again(AT_9600), port_return_s)
    end = run_job(lasting_search(given, plan, StopRequest()), events.append)
    return events, end


@pytest.mark.parametrize("depth", list(Depth))
def test_it_goes_on_when_the_port_is_back(depth: Depth) -> None:
    events, end = searched(unplugged(), 60.0, replace(PLAN, depth=depth))

    kinds = [type(one) for one in events if isinstance(one, PortGone | PortBack | Found | SearchEnded)]
    assert end == Finished()
    assert kinds == [PortGone, PortBack, Found, SearchEnded]
    back = next(one for one in events if isinstance(one, PortBack))
    assert 10.0 <= back.after_s <= 10.5
    last = events[-1]
    assert isinstance(last, SearchEnded) and last.end is SearchEnd.ALL_ASKED


def test_exchanges_are_counted_on_behind_a_return(tmp_path: Path) -> None:
    """A number names one exchange of the whole search: devices found before and after the loss share none."""
    path = tmp_path / "two.toml"
    path.write_text(
        'name = "two"\nstory = "Unplugged between two finds."\nseed = 5\n'
        "[adapter]\nunplugged_from_s = 7.0\nback_after_s = 4.0\n"
        '[[device]]\nname = "first"\naddress = 37\nsettings = "9600 8N1"\n'
        '[[device]]\nname = "second"\naddress = 38\nsettings = "1200 8N1"\n'
        "[expect]\nsilent = []\n",
        encoding="utf-8",
    )
    opened = open_line(f"sim:{path}", AT_9600, PortOptions(), Pace.VIRTUAL)
    plan = replace(PLAN, addresses=(37, 38), planned=frozenset({37}), listen_s=0.0, wait_s=1.0)

    events, end = searched(opened, 60.0, plan)

    told = [one for one in events if isinstance(one, Found | PortGone | PortBack)]
    assert end == Finished()
    assert [type(one) for one in told] == [Found, PortGone, PortBack, Found]
    numbers = [number for one in told if isinstance(one, Found) for number in one.exchange_numbers]
    assert numbers == sorted(set(numbers))


def test_a_port_that_stays_away_ends_it_with_its_sentence() -> None:
    events, end = searched(unplugged(), 5.0)

    assert isinstance(end, PortLost) and "unplugged" in end.sentence
    assert isinstance(events[-1], PortGone) and events[-1].waits_s == 5.0


def test_the_line_is_given_back_however_it_ends() -> None:
    opened = unplugged()

    searched(opened, 60.0)

    with pytest.raises(PortError):
        opened.line.read(opened.clock.now_s())


def test_settings_that_a_port_refuses_are_not_waited_for() -> None:
    opened = unplugged()

    class Refusing:
        """Takes no settings."""

        traits = opened.line.traits
        settings = AT_9600
        write, read, discard, close = opened.line.write, opened.line.read, opened.line.discard, opened.line.close

        def apply(self, settings: SerialSettings) -> None:
            raise PortError("port", PortProblem.SETTINGS_REFUSED, f"port does not take {settings}")

    def never() -> Line:
        raise AssertionError("it was opened again")

    given = given_on(opened, Refusing(), never, 60.0)

    with pytest.raises(PortError, match="does not take"):
        run_job(lasting_search(given, PLAN, StopRequest()), lambda _: None)
