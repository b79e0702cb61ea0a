"""How long a watch from the page waits: by what was seen of each device, or as was chosen; the card says which."""

from __future__ import annotations

from buswalk.bus.messages import StartWatch
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply
from buswalk.domain.visit.session_events import JobStarted
from buswalk.domain.watching.waits import Waits
from buswalk.ui.pages.faults.faults_state import FigureLine, SideFace
from buswalk.ui.pages.faults.presenter import FaultsPresenter
from buswalk.ui.pages.faults.watch_desk import BY_TURNAROUND, WAITS
from buswalk.ui.tones import Tone
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.told_line import copper_opened, found, kept
from tests.ui.pages.faults.faults_stage import FaultsStage

RULE = "twice the longest turnaround seen, at least 0.5 s, at most 5 s"


def searched(*exchanges: object) -> FaultsStage:
    stage = FaultsStage()
    stage.play(*copper_opened(), *kept(found(11), found(22), *exchanges))
    stage.presenter.choose_side(list(SideFace).index(SideFace.WATCH))
    return stage


def waits_line(presenter: FaultsPresenter) -> FigureLine:
    return next(one for one in presenter.state.watch.lines if one.caption == "Waits")


def started(stage: FaultsStage) -> dict[int, tuple[float, Waits]]:
    stage.presenter.main_action()
    (command,) = stage.commands.sent
    assert isinstance(command, StartWatch)
    return {one.server_address: (one.wait_s, one.waits) for one in command.plan.devices}


def test_a_device_seen_slow_is_waited_for_twice_as_long() -> None:
    stage = searched(ExchangeDone(ExchangeMaker().answered(22, 0.6)))

    assert waits_line(stage.presenter).words == f"1200 ms for 22, 500 ms for the others: {RULE}"
    assert started(stage) == {11: (0.5, Waits.BY_TURNAROUND), 22: (1.2, Waits.BY_TURNAROUND)}


def test_a_late_reply_counts_as_seen() -> None:
    """It came 1.5 s after its request had begun."""
    silent = ExchangeMaker().silent(22)
    began_s = 0.01
    late = LateReply(22, (silent.number,), b"", began_s + 1.5, Credit.CREDITED)

    assert started(searched(ExchangeDone(silent), late))[22] == (3.0, Waits.BY_TURNAROUND)


def test_a_doubtful_late_reply_tells_nothing() -> None:
    silent = ExchangeMaker().silent(22)
    late = LateReply(22, (silent.number,), b"", 2.0, Credit.DOUBTFUL)

    assert started(searched(ExchangeDone(silent), late))[22] == (0.5, Waits.BY_TURNAROUND)


def test_a_wait_of_ones_own_is_kept_for_all_and_said_to_be_so() -> None:
    stage = searched(ExchangeDone(ExchangeMaker().answered(22, 0.6)))
    stage.presenter.choose_wait(list(WAITS).index("300 ms"))

    line = waits_line(stage.presenter)

    assert line.words == "300 ms for each, as chosen: what comes later counts as late. Slower than that was 22"
    assert line.tone is Tone.DOUBT
    assert started(stage) == {11: (0.3, Waits.AS_TOLD), 22: (0.3, Waits.AS_TOLD)}


def test_a_change_while_it_watches_says_when_it_holds() -> None:
    stage = searched()
    stage.presenter.main_action()
    stage.play(*kept(JobStarted(3, "watch", 1.0)))
    assert not any(one.caption == "Changed" for one in stage.presenter.state.watch.lines)

    stage.presenter.choose_wait(list(WAITS).index("300 ms"))
    assert stage.presenter.state.watch.lines[0].caption == "Changed"

    stage.presenter.choose_wait(list(WAITS).index(BY_TURNAROUND))
    assert not any(one.caption == "Changed" for one in stage.presenter.state.watch.lines)
