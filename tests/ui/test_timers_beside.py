"""Where another client was heard, each page that asks names who falls back before it does; real streams, no file."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.bus.messages import StartSearch, StreamItem
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.visit.session_events import JobEnded, JobEndKind
from buswalk.profile_parts import read_profiles
from buswalk.ui.pages.faults.watch_desk import WatchDesk
from buswalk.ui.pages.find.ping_presenter import PingPresenter
from buswalk.ui.pages.find.quiet_presenter import QuietPresenter
from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.pages.registers.presenter import RegistersPresenter
from buswalk.ui.pages.registers.registers_state import RegistersFace
from buswalk.ui.pages.registers.ways import RegistersWays
from buswalk.ui.pages.trend.held_watch import ELSEWHERE, HeldWatch
from buswalk.ui.timer_desk import NOT_READ_YET, TimerDesk
from tests.fakes.heard_tones import HeardTones
from tests.fakes.registers_stage import RegistersParts
from tests.fakes.sent_commands import SentCommands
from tests.fakes.told_line import kept
from tests.ui.test_timer_desk import CLIENT, FAN, HELD, PLANNED, Window, line, said

TIMER = "31 fan, bay 1: stops with fault 81 after 10 s without a request, as delivered"
BESIDE = f"Another client was heard here. If it is held up: {TIMER}."


@pytest.fixture
def stream(tmp_path: Path) -> tuple[StreamItem, ...]:
    """A search that is held, since a client asks the fan."""
    return said(line(tmp_path, FAN, CLIENT.format(period_s=2.0), PLANNED), StartSearch(HELD))


def test_nothing_is_said_where_nobody_else_was_heard(tmp_path: Path) -> None:
    quiet = said(line(tmp_path, FAN, PLANNED), StartSearch(HELD))

    assert Window().play(quiet).desk.beside_words() == ""


def test_a_line_that_is_alive_in_bytes_that_make_no_frame_counts_too() -> None:
    """At another speed nobody can be heard to ask by name."""
    window = Window().play(tuple(kept(LivingLine(Verdict.TRAFFIC, "something is sending"))))

    assert window.desk.beside_words() == (
        "Another client was heard here. If it is held up, a device may fall back: no loss timer is known here."
    )


def test_ping_and_who_is_quiet_name_the_timers_before_they_ask(stream: tuple[StreamItem, ...]) -> None:
    window = Window().play(stream)
    ping = PingPresenter(window.jobs, window.search.board, HeardTones(), window.desk.beside_words)
    quiet = QuietPresenter(
        window.jobs, window.search.board, HeardTones(), lambda _name, _text: "", window.desk.beside_words
    )

    assert ping.state.ask.beside == BESIDE
    assert quiet.state.beside == BESIDE


def test_the_write_box_and_learning_name_the_timers_before_they_ask(stream: tuple[StreamItem, ...]) -> None:
    window = Window().play(stream)
    parts = RegistersParts()
    ways = parts.ways()
    page = RegistersPresenter(
        SentCommands(),
        RegistersWays(
            library=ways.library,
            save_profile=ways.save_profile,
            choose_points=ways.choose_points,
            read_sheet=ways.read_sheet,
            save_points=ways.save_points,
            search=ways.search,
            to_trend=ways.to_trend,
            to_switches=ways.to_switches,
            to_device=ways.to_device,
            timers=window.desk,
        ),
    )
    page.open()
    for item in stream:
        page.take(item)
    page.tick(window.now_s)
    page.show_face(list(RegistersFace).index(RegistersFace.LEARN))

    assert page.state.write.beside == BESIDE
    assert page.state.learn.caution.endswith(BESIDE)


def test_a_watch_of_trend_that_was_held_says_so_until_it_is_closed() -> None:
    """Before, its page said nothing at all: the job had ended as if it were done."""
    held = HeldWatch()
    living = LivingLine(Verdict.TRAFFIC, "something is sending")
    held.take(living)
    assert held.band(BESIDE) is None

    held.started()
    held.take(living)
    held.take(JobEnded(1, "watch", JobEndKind.FINISHED, "", 13.0))

    band = held.band(BESIDE)
    assert band is not None
    assert band.headline == "Another client is alive on this line: nothing was asked"
    assert band.words == f"{BESIDE} {ELSEWHERE}"
    held.leave()
    assert held.band(BESIDE) is None


def test_what_was_not_read_yet_is_not_called_unknown_and_is_said_as_soon_as_it_is(
    stream: tuple[StreamItem, ...],
) -> None:
    """What reads profiles is imported beside the shown window: on a busy laptop that takes seconds."""
    ready: list[bool] = []
    desk = TimerDesk(read_profiles, lambda: bool(ready))
    jobs, commands = JobDesk(SentCommands()), SentCommands()
    board = SearchBoard()
    ping = PingPresenter(jobs, board, HeardTones(), desk.beside_words)
    quiet = QuietPresenter(jobs, board, HeardTones(), lambda _name, _text: "", desk.beside_words)
    faults = WatchDesk(commands, desk)
    for item in stream:
        desk.take(item)
        faults.take(item)
    assert ping.state.ask.beside == f"Another client was heard here. {NOT_READ_YET}"
    assert quiet.state.beside == ping.state.ask.beside
    faults.knows_other_timers()

    ready.append(True)
    ping.tick(30.0)
    quiet.tick(30.0)

    assert (ping.state.ask.beside, quiet.state.beside) == (BESIDE, BESIDE)
    assert (faults.knows_other_timers(), faults.knows_other_timers()) == (True, False)
