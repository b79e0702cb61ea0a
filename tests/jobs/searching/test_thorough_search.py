"""The thorough search on the simulated line: fussy devices, going on, adding a speed, what it says at the end."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Depth,
    Doubt,
    EverythingIsAnswered,
    Found,
    PassBegan,
    SearchEnded,
    SearchForecast,
    SearchPlan,
    SearchProgress,
    Unclear,
)
from buswalk.domain.search.thorough import Pass
from tests.jobs.searching.simulated_search import SimulatedSearch, settings_at

N9600, E9600, O9600 = (SerialSettings.of(9600, framing) for framing in ("8N2", "8E1", "8O1"))
PLAN = SearchPlan(tuple(range(1, 31)), settings_at(9600), listen_s=0.0, depth=Depth.THOROUGH)
UNLIKELY = 23


def site(folder: Path, habits: str, settings: str = "9600 8N1", address: int = UNLIKELY) -> Path:
    path = folder / "fussy.toml"
    path.write_text(
        'name = "fussy"\nstory = "one device"\n'
        f'[[device]]\nname = "device"\naddress = {address}\nsettings = "{settings}"\nplace = 1\nmetres = 1.0\n'
        f'[device.habits]\nunknown_function = "silence"\n{habits}\n'
    )
    return path


@pytest.mark.parametrize(
    "habits",
    [
        "functions = [1]",
        "functions = [4]\nturnaround = { least_s = 1.45, median_s = 1.45 }",
        'functions = [3]\nminimum_gap_s = 0.5\ngap_counts_from = "any_frame"',
        "functions = [3, 4]\n[device.habits.disobedience]\nconfused_s = 0.45",
        "functions = [3, 4]\nautomatic_speed = true",
    ],
)
@pytest.mark.parametrize("framing", ["8N1", "8O1"])
def test_a_fussy_device_at_an_unlikely_address_is_found(tmp_path: Path, habits: str, framing: str) -> None:
    """The quick search promises none of these; automatic speed is without parity wherever it is (practice: 8N1)."""
    search = SimulatedSearch(site(tmp_path, habits, f"9600 {'8N1' if 'automatic' in habits else framing}"))

    found = [one for one in search.job(PLAN).run() if isinstance(one, Found)]

    assert [(one.server_address, one.settings.baud_rate) for one in found] == [(UNLIKELY, 9600)]
    assert found[0].settings.parity is SerialSettings.of(9600, "8N1" if "automatic" in habits else framing).parity


def test_a_slow_one_that_answers_in_the_name_of_another_is_found(tmp_path: Path) -> None:
    """Its answers come while somebody else is asked, and name nobody who was."""
    habits = "turnaround = { least_s = 0.775, median_s = 0.775 }\n[device.habits.disobedience]\nanswers_as = 245"
    search = SimulatedSearch(site(tmp_path, habits, "9600 8O1", address=99))
    plan = replace(PLAN, addresses=tuple(range(90, 130)), settings={O9600: 1.0})

    found = [one for one in search.job(plan).run() if isinstance(one, Found)]

    assert [one.server_address for one in found] == [245]


def test_two_that_answer_every_address_are_one_finding_though_they_damage_each_other(tmp_path: Path) -> None:
    """Both begin with the address that was asked; behind that their replies overlap."""
    breach = "[device.habits.disobedience]\nanswers_every_address = true\n"
    path = site(tmp_path, "turnaround = { least_s = 0.007, median_s = 0.008 }\n" + breach)
    second = '[[device]]\nname = "second"\naddress = 77\nsettings = "9600 8N1"\nplace = 2\nmetres = 2.0\n'
    habits = "[device.habits]\nturnaround = { least_s = 0.010, median_s = 0.011 }\n"
    path.write_text(path.read_text() + second + habits + breach)

    events = list(SimulatedSearch(path).job(replace(PLAN, settings={N9600: 1.0})).run())

    assert [one.settings for one in events if isinstance(one, AnswersEverywhere)] == [N9600]
    assert not [one for one in events if isinstance(one, Found | Unclear)]


def test_one_that_answers_whatever_is_sent_hides_no_device_at_another_speed(tmp_path: Path) -> None:
    """Bytes follow every request at 9600, none while nothing is asked: that is no line that chatters without end."""
    path = site(tmp_path, "turnaround = { least_s = 0.03, median_s = 0.03 }", address=29)
    refuser = '[[device]]\nname = "refuser"\naddress = 77\nsettings = "19200 8N1"\nplace = 2\nmetres = 2.0\n'
    breach = "[device.habits.disobedience]\nrefuses_foreign_frames = true\n"
    path.write_text(path.read_text() + refuser + breach)
    search = SimulatedSearch(path)

    events = list(search.job(replace(PLAN, settings={N9600: 1.0})).run())

    assert [one.settings for one in events if isinstance(one, EverythingIsAnswered)] == [N9600]
    assert [one.server_address for one in events if isinstance(one, Found)] == [29]


def test_a_device_that_looks_for_the_speed_by_itself_is_said_to_have_been_silent_first(tmp_path: Path) -> None:
    """It begins at 9600 and comes to 19200 after 10 s, when the first pass of a few addresses is over."""
    plan = replace(PLAN, settings=settings_at(19200))
    automatic = SimulatedSearch(site(tmp_path, "functions = [3, 4]\nautomatic_speed = true"))
    found = [one for one in automatic.job(plan).run() if isinstance(one, Found)]
    steady = SimulatedSearch(site(tmp_path, "functions = [3, 4]", "19200 8N1"))
    plain = [one for one in steady.job(plan).run() if isinstance(one, Found)]

    assert [Doubt.SILENT_AT_FIRST in one.doubts for one in (*found, *plain)] == [True, False]


def test_it_says_what_it_proved_and_what_not(tmp_path: Path) -> None:
    search = SimulatedSearch(site(tmp_path, "functions = [3]\nturnaround = { least_s = 1.8, median_s = 1.8 }"))

    *_, end = search.job(replace(PLAN, addresses=(21, 22, 24))).run()

    assert isinstance(end, SearchEnded)
    for words in ("01, 03 and 04", "1.5 s", "500 ms", "not proved", "two devices at one address"):
        assert words in end.sentence


def test_stopped_at_any_place_it_goes_on_without_asking_again(tmp_path: Path) -> None:
    """Only requests whose answer was awaited, and the hold, are sent a second time."""
    path = site(tmp_path, "functions = [3, 4]")
    whole = SimulatedSearch(path)
    list(whole.job(PLAN).run())
    first, second = SimulatedSearch(path), SimulatedSearch(path)
    begun = first.job(PLAN)
    job = begun.run()
    while len(first.asked) < 900:
        next(job)

    list(second.job(replace(PLAN, memory=begun.memory)).run())

    assert len(begun.memory.passed) > 100
    assert len(first.asked) + len(second.asked) <= len(whole.asked) + 60


def test_a_speed_added_afterwards_is_all_that_is_asked(tmp_path: Path) -> None:
    search, more = (SimulatedSearch(site(tmp_path, "functions = [3, 4]", "19200 8E1")) for _ in range(2))
    begun = search.job(PLAN)
    list(begun.run())

    found = [
        one
        for one in more.job(replace(PLAN, settings=settings_at(9600, 19200), memory=begun.memory)).run()
        if isinstance(one, Found)
    ]

    assert [(one.server_address, str(one.settings)) for one in found] == [(UNLIKELY, "19200 8E1")]
    assert {settings.baud_rate for settings, _, _ in more.asked} == {19200}


def test_forecast_and_progress_count_down_to_the_end(tmp_path: Path) -> None:
    """Nobody answers: what was forecast before is what it takes, to 1 in 100."""
    path = tmp_path / "nobody.toml"
    path.write_text('name = "nobody"\nstory = "nobody"\n')
    search = SimulatedSearch(path)

    events = list(search.job(PLAN).run())

    forecasts = [one for one in events if isinstance(one, SearchForecast)]
    before, end = forecasts[0], events[-1]
    assert isinstance(end, SearchEnded)
    assert before.half_s < before.most_s < before.nearly_all_s < before.whole_s
    assert before.whole_s == pytest.approx(end.seconds, rel=0.01)
    left = [one.left_s for one in events if isinstance(one, SearchProgress)]
    assert left == sorted(left, reverse=True)
    assert left[-1] < 0.05 * left[0]
    began = [(one.baud_rate, one.of_pass) for one in events if isinstance(one, PassBegan)]
    assert {one for one, _ in began} == {9600}
    assert [one for _, one in began][:4] == [Pass.FIRST, Pass.HOLD, Pass.FIRST, Pass.SECOND]
    assert began[-1][1] is Pass.PAUSED


def test_a_quick_search_behind_it_asks_nothing_in_ordinary_requests_again(tmp_path: Path) -> None:
    search, more = (SimulatedSearch(site(tmp_path, "functions = [3, 4]")) for _ in range(2))
    begun = search.job(PLAN)
    list(begun.run())
    memory = begun.memory

    list(more.job(replace(PLAN, depth=Depth.QUICK, memory=memory)).run())

    assert {of_pass for _, of_pass in memory.passed} >= {Pass.FIRST, Pass.SECOND, Pass.THIRD, Pass.PAUSED}
    ordinary = bytes.fromhex("0300000001")
    assert [one for one in more.asked if one[2][1:6] == ordinary and one[1] not in (UNLIKELY,)] == []
