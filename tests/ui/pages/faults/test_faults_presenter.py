"""What the page says of a record that was made to hold known faults, read by the real reader from a real file."""

from __future__ import annotations

from pathlib import Path

from buswalk.bus.fault_queries import TallyDevice
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.filter_desk import DEVICE, JOB, KIND, MARK
from tests.ui.pages.faults.faults_stage import FaultsStage, Opened, write_record

ASKED, ANSWERED, REFUSED, NO_REPLY, DAMAGED, SHORT, LATE, OTHER, STRAY, SHARE = range(2, 12)


def number(words: str) -> int:
    return 0 if words == "·" else int(words)


def test_every_row_adds_up_to_what_was_asked(opened: Opened) -> None:
    for address in (22, 24):
        row = opened.row(address)
        assert number(row[ASKED]) == sum(number(row[at]) for at in range(ANSWERED, OTHER + 1))


def test_the_counts_are_those_that_were_put_in(opened: Opened) -> None:
    of_22, of_24, put = opened.row(22), opened.row(24), opened.injected

    assert (number(of_22[DAMAGED]), number(of_22[SHORT]), number(of_22[STRAY])) == (put.damaged, put.short, put.stray)
    assert (number(of_24[NO_REPLY]), number(of_24[LATE])) == (put.silent, put.late)


def test_a_late_reply_is_taken_out_of_no_reply(opened: Opened) -> None:
    row = opened.row(24)

    assert (row[NO_REPLY], row[LATE], row[ANSWERED]) == ("39", "1", "0")


def test_clean_devices_are_one_line_and_searches_are_not_counted(opened: Opened) -> None:
    """Silence where a search asked is no fault; 0 of 40 is below 7.3 % (1 - 0.05^(1/40))."""
    assert [row[0].words for row in opened.state.rows] == ["22", "24", "1"]
    assert opened.state.rows[-1][1].words == "others, all clean"
    assert opened.state.rows[-1][SHARE].words == "below 7.3 %"


def test_searches_are_counted_on_demand_and_strangers_silence_stays_apart(opened: Opened) -> None:
    words = opened.state.filters[JOB].words
    assert words[:2] == ("all but searches", "searches too")

    opened.presenter.choose_filter(JOB, 1)

    last = [opened.state.rows[-1][at].words for at in (0, 1, SHARE)]
    assert last == ["3", "nobody there: silent, as expected", "not counted"]


def test_shares_have_their_exact_limits(opened: Opened) -> None:
    """12 of 40 not clean: 30 %; the exact upper limit is 0.4403, rounded up (scipy: beta.ppf(0.95, 13, 28))."""
    assert opened.row(22)[SHARE] == "30 %, up to 45 %"
    assert opened.row(24)[SHARE] == "over 92 %"


def test_the_sentence_counts_once_what_was_not_clean(opened: Opened) -> None:
    assert opened.state.sentence == "120 asked since 09:41. 52 not clean, 40 of them at 24."


def test_the_latest_fault_is_shown_and_f8_walks(opened: Opened) -> None:
    first = opened.state.exchange
    assert first is not None
    assert first.title.endswith("24, late reply")

    opened.presenter.walk_abnormal(-1)
    before = opened.state.exchange
    opened.presenter.walk_abnormal(1)

    assert before is not None
    assert before.number < first.number
    assert opened.state.exchange == first


def test_walking_over_the_end_says_so_and_stays(opened: Opened) -> None:
    first = opened.state.exchange

    opened.presenter.walk_abnormal(1)

    assert opened.state.no_exchange == "That was the last one."
    assert opened.state.exchange == first


def test_walking_all_the_way_meets_every_fault_once(opened: Opened) -> None:
    """Nothing is left out and nothing comes twice."""
    met = []
    while not opened.state.no_exchange:
        assert opened.state.exchange is not None
        met.append(opened.state.exchange.number)
        opened.presenter.walk_abnormal(-1)

    assert len(met) == len(set(met)) == 52
    assert met == sorted(met, reverse=True)


def test_the_device_of_the_shown_exchange_is_the_focused_one(opened: Opened) -> None:
    opened.presenter.walk_abnormal(-1)
    opened.presenter.walk_abnormal(-1)
    state = opened.state

    assert state.exchange is not None
    assert state.rows[state.chosen][0].words in state.exchange.title
    assert state.figures.title.split()[0] == state.rows[state.chosen][0].words


def test_a_filter_of_kind_walks_that_kind_alone_and_leaves_the_table(opened: Opened) -> None:
    kinds = opened.state.filters[KIND].words

    opened.presenter.choose_filter(KIND, kinds.index("damaged"))
    opened.presenter.walk_abnormal(-1)

    assert opened.state.exchange is not None
    assert opened.state.exchange.title.endswith("22, damaged")
    assert opened.row(22)[SHORT] == "1"
    assert opened.state.is_filtered


def test_a_filter_of_a_device_is_shown_and_taken_back(opened: Opened) -> None:
    choice = opened.state.filters[DEVICE]
    at = next(at for at, words in enumerate(choice.words) if words.startswith("24 "))

    opened.presenter.choose_filter(DEVICE, at)

    assert [row[0].words for row in opened.state.rows] == ["24"]
    assert opened.state.filters[DEVICE].words[opened.state.filters[DEVICE].chosen] == "24 air, bay 2 south"

    opened.presenter.clear_filters()

    assert len(opened.state.rows) == 3
    assert not opened.state.is_filtered


def test_inside_and_outside_of_a_mark_add_up_to_all_but_its_edges(opened: Opened) -> None:
    total = number(opened.row(24)[ASKED])

    opened.presenter.choose_filter(MARK, opened.state.filters[MARK].words.index("in fan 1 on"))
    inside = number(opened.row(24)[ASKED])
    opened.presenter.choose_filter(MARK, opened.state.filters[MARK].words.index("out of fan 1 on"))
    outside = number(opened.row(24)[ASKED])

    assert 0 < inside < total
    assert total - 2 <= inside + outside <= total


def test_the_timeline_has_a_lane_a_device_marks_and_the_time_without_a_port(opened: Opened) -> None:
    timeline = opened.state.timeline

    assert [one.server_address for one in timeline.lanes] == [22, 24]
    assert [one.words for one in timeline.marks] == ["fan 1 on"]
    assert [one.words for one in timeline.gaps] == ["no port"]
    assert timeline.marks[0].from_x < timeline.gaps[0].from_x < timeline.gaps[0].to_x < timeline.marks[0].to_x
    kinds = {point.kind for point in timeline.lanes[0].points}
    assert kinds == {OutcomeKind.STRAY_BYTE, OutcomeKind.DAMAGED, OutcomeKind.CUT_SHORT}


def test_arrows_walk_along_one_device_in_the_timeline(opened: Opened) -> None:
    opened.presenter.step_lane(-1)
    addresses = []
    while not opened.state.no_exchange:
        assert opened.state.exchange is not None
        addresses.append(opened.state.exchange.title.split(": ")[1].split(",")[0])
        opened.presenter.walk_device(-1)

    assert addresses == ["22"] * 12
    assert opened.state.no_exchange == "That was the first one of 22."


def figures(opened: Opened) -> dict[str, str]:
    return {one.caption: one.words for one in opened.state.figures.lines}


def test_figures_of_the_focused_device(opened: Opened) -> None:
    opened.presenter.choose_row(0)

    said = figures(opened)

    assert said["Asked"] == "40 = 38 answered + 1 damaged + 1 cut short"
    assert said["Beside"] == "10 exchanges with stray bytes"
    assert said["Not clean"] == "12 of 40: 30 %, up to 45 %"
    assert said["Below 1 %"].startswith("disproved")
    assert "Proposed time-out" in said


def test_a_claim_says_how_many_more_clean_requests_it_needs(opened: Opened) -> None:
    """299 clean ones show 1 %, 2995 show 0.1 %, 29 956 show 0.01 %; 40 are there already (1 - 0.05^(1/n))."""
    at = next(at for at, words in enumerate(opened.state.filters[DEVICE].words) if words.startswith("11 "))
    opened.presenter.choose_filter(DEVICE, at)

    said = figures(opened)

    assert said["Below 1 %"].startswith("259 more clean requests, ")
    assert said["Below 0.1 %"].startswith("2\u202f955 more clean requests, ")
    assert said["Below 0.01 %"].startswith("29\u202f916 more clean requests, ")


def test_figures_of_many_exchanges_come_in_parts(tmp_path: Path) -> None:
    """The tally travels: nothing waits for the whole of a long record."""
    stage = FaultsStage()
    path = tmp_path / "long.buswalk.sqlite"
    write_record(path, rounds=60)
    stage.open_live(path)

    parts = [one for one in stage.ask.asked if isinstance(one, TallyDevice)]

    assert parts
    assert {one.server_address for one in parts} == {24}
