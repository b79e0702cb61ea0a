"""A search with requests that reach two framings: what it finds, learns of the adapter and says of silence.

Devices of every framing are simulated bit by bit; a device with parity drops what comes without.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import (
    Doubt,
    SearchForecast,
    SearchPlan,
    SearchProgress,
    SilentAskedWith,
    TwoStopBitsLearnt,
)
from tests.jobs.searching.simulated_search import Searched, SimulatedSearch

N_9600, E_9600, O_9600 = (SerialSettings.of(9600, one) for one in ("8N2", "8E1", "8O1"))
WEIGHTS = {N_9600: 0.6, E_9600: 0.3, O_9600: 0.1}
PLAN = SearchPlan(addresses=tuple(range(1, 60)), settings=WEIGHTS, listen_s=0.0)
ONE_STOP_BIT = "[adapter]\nsends_second_stop_bit = false\n"


def device(address: int, framing: str, habits: str = "functions = [1, 3, 4]") -> str:
    head = f'[[device]]\nname = "device {address}"\naddress = {address}\nsettings = "9600 {framing}"\n'
    return f"{head}place = {address}\nmetres = 10.0\n[device.habits]\n{habits}\n"


def site(folder: Path, *parts: str) -> SimulatedSearch:
    path = folder / "written.toml"
    path.write_text('name = "written"\nstory = "for a test"\n' + "".join(parts))
    return SimulatedSearch(path)


def result_of(search: SimulatedSearch) -> Searched:
    return Searched(list(search.job(PLAN).run()))


def one_parity_frames(search: SimulatedSearch) -> list[bytes]:
    """Frames whose bytes all have one parity weight."""
    weights = [(adu, {byte.bit_count() % 2 for byte in adu}) for _, _, adu in search.asked]
    return [adu for adu, kinds in weights if len(kinds) == 1]


@pytest.mark.parametrize("framing", ["8N1", "8N2", "8E1", "8O1"])
@pytest.mark.parametrize("address", [37, 38, 39, 40])
def test_a_device_of_any_framing_and_weight_is_found_in_its_framing(tmp_path: Path, address: int, framing: str) -> None:
    result = result_of(site(tmp_path, device(address, framing)))

    asked_as = SerialSettings.of(9600, "8N2" if framing == "8N1" else framing)
    assert [(one.server_address, one.settings, one.doubts) for one in result.found] == [(address, asked_as, ())]


@pytest.mark.parametrize(("address", "framing"), [(37, "8E1"), (39, "8O1")])
def test_a_device_with_parity_answers_the_request_sent_without(tmp_path: Path, address: int, framing: str) -> None:
    """37 has three bits set, 39 four: their one-parity requests serve even and odd parity."""
    search = site(tmp_path, device(address, framing))

    result = result_of(search)

    until_found = [asked for asked in search.asked if asked[1] == address][:2]
    assert until_found[0][0] == N_9600
    assert until_found[0][2] in one_parity_frames(search)
    assert until_found[1][0] == SerialSettings.of(9600, framing)
    assert TwoStopBitsLearnt(is_sent=True, shown_by=address) in result.events


def test_an_adapter_that_sends_one_stop_bit_is_noticed_and_the_rest_asked_by_itself(tmp_path: Path) -> None:
    """With ten bits a character, 8E1 servers see a start bit where the stop bit should be, and drop the request."""
    search = site(tmp_path, ONE_STOP_BIT, device(37, "8E1"), device(55, "8E1"))

    result = result_of(search)

    assert [(one.server_address, one.settings) for one in result.found] == [(37, E_9600), (55, E_9600)]
    assert [one for one in result.events if isinstance(one, TwoStopBitsLearnt)] == [
        TwoStopBitsLearnt(is_sent=False, shown_by=37)
    ]
    learnt_at = max(place for place, (_, address, _) in enumerate(search.asked) if address == 37)
    one_parity = set(one_parity_frames(search))
    assert not [adu for _, _, adu in search.asked[learnt_at + 1 :] if adu in one_parity]


def test_a_device_that_does_not_check_parity_proves_no_second_stop_bit(tmp_path: Path) -> None:
    result = result_of(site(tmp_path, device(37, "8E1", "functions = [1, 3, 4]\nchecks_parity = false")))

    assert [one.doubts for one in result.found] == [(Doubt.DOES_NOT_CHECK_FRAMING,)]
    assert not [one for one in result.events if isinstance(one, TwoStopBitsLearnt)]


def test_a_device_that_refuses_coils_is_confirmed_with_registers(tmp_path: Path) -> None:
    result = result_of(site(tmp_path, device(37, "8N1", "functions = [3, 4]")))

    assert [(int(one.function), one.settings) for one in result.found] == [(3, N_9600)]


def test_a_device_that_knows_coils_only_is_found_by_its_coils(tmp_path: Path) -> None:
    habits = 'functions = [1]\nunknown_function = "silence"'

    result = result_of(site(tmp_path, device(37, "8E1", habits)))

    assert [(one.server_address, int(one.function), one.settings) for one in result.found] == [(37, 1, E_9600)]


def test_a_slow_device_with_parity_is_found_though_its_answer_comes_late(tmp_path: Path) -> None:
    habits = "functions = [1, 3, 4]\nturnaround = { least_s = 0.3, median_s = 0.3 }"

    result = result_of(site(tmp_path, device(37, "8E1", habits)))

    assert [(one.server_address, one.settings) for one in result.found] == [(37, E_9600)]


def test_silence_is_told_with_the_functions_that_were_asked(tmp_path: Path) -> None:
    result = result_of(site(tmp_path))

    told = [one for one in result.events if isinstance(one, SilentAskedWith)]
    asked = {(place, address): one.functions for one in told for place in one.settings for address in one.addresses}
    assert len(asked) == len(PLAN.addresses) * len(WEIGHTS)
    assert asked[N_9600, 37] == asked[E_9600, 37] == (1, 3, 4)
    assert asked[O_9600, 37] == (3, 4)
    assert {functions for (_, address), functions in asked.items() if address == 39} == {(3, 4)}


def test_a_device_that_answers_is_not_among_the_silent(tmp_path: Path) -> None:
    result = result_of(site(tmp_path, device(37, "8N1")))

    told = [one for one in result.events if isinstance(one, SilentAskedWith)]
    assert told
    assert not any(37 in one.addresses for one in told)


def test_a_forecast_comes_before_the_first_request_and_is_renewed(tmp_path: Path) -> None:
    search = site(tmp_path)
    job = search.job(PLAN).run()

    first = next(job)
    before = len(search.asked)
    later = [one for one in job if isinstance(one, SearchForecast | SearchProgress)]

    assert before == 0
    assert isinstance(first, SearchForecast)
    assert (first.asked, first.half_s < first.most_s < first.nearly_all_s < first.whole_s) == (0, True)
    renewed = [one for one in later if isinstance(one, SearchForecast)]
    assert renewed
    assert all(one.asked > 0 and one.whole_s < first.whole_s for one in renewed)
