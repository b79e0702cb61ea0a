"""The first fault of a visit comes into sight by itself, and nothing is said that is not so."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.visit.recorder import Recorder
from buswalk.domain.visit.session_events import JobStarted, SessionStarted
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.told_line import WALL_TIME, found, kept
from tests.ui.pages.faults.faults_stage import FaultsStage

CLEAN_SO_FAR = "Every exchange was clean, as far as it is counted."


class Watching:
    """A record that is being written while the page shows it."""

    def __init__(self, folder: Path) -> None:
        path = folder / "visit.buswalk.sqlite"
        self.maker = ExchangeMaker()
        self.recorder: Recorder = open_visit_record(path, is_simulated=False)
        self.recorder.begin(SessionStarted(WALL_TIME, 1.0, is_simulated=False, program="buswalk test"))
        self.recorder.keep(JobStarted(1, "watch", 0.0), 0.0)
        self.stage = FaultsStage()
        for address in (11, 22):
            self.keep(self.maker.answered(address))
        self.stage.open_live(path, found(11), found(22), JobStarted(1, "watch", 0.0))
        self.presenter = self.stage.presenter

    def keep(self, exchange: Exchange) -> None:
        """Record it."""
        self.recorder.keep(ExchangeDone(exchange), exchange.ended_s)

    def happen(self, exchange: Exchange) -> None:
        """Record it, tell the page, and let a second go by."""
        self.keep(exchange)
        self.stage.play(*kept(ExchangeDone(exchange)))
        for _ in range(10):
            self.presenter.tick(exchange.ended_s)


@pytest.fixture
def watching(tmp_path: Path) -> Iterator[Watching]:
    made = Watching(tmp_path)
    yield made
    made.recorder.close()
    made.stage.ask.close()


def test_the_first_fault_comes_into_sight_by_itself(watching: Watching) -> None:
    assert watching.presenter.state.no_exchange == CLEAN_SO_FAR

    watching.happen(watching.maker.silent(22))

    state = watching.presenter.state
    assert state.exchange is not None
    assert (state.exchange.number, state.no_exchange) == (3, "")


def test_a_shown_exchange_stays_while_others_come(watching: Watching) -> None:
    """Who reads bytes is not to lose them under his eyes."""
    watching.happen(watching.maker.silent(22))
    watching.happen(watching.maker.silent(11))

    state = watching.presenter.state
    assert state.exchange is not None
    assert state.exchange.number == 3


def test_of_a_chosen_device_only_its_own_faults_come(watching: Watching) -> None:
    watching.happen(watching.maker.silent(22))
    watching.presenter.choose_device(11)
    watching.happen(watching.maker.silent(22))
    assert watching.presenter.state.exchange is None
    assert watching.presenter.state.no_exchange.startswith("Every exchange with 11 was clean")

    watching.happen(watching.maker.silent(11))

    state = watching.presenter.state
    assert state.exchange is not None
    assert (state.exchange.number, state.no_exchange) == (5, "")
