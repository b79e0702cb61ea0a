"""What the head line says, read as the user reads it."""

from __future__ import annotations

from buswalk.bus.messages import (
    Batch,
    Kept,
    OpenPort,
    RecordTold,
    StartListening,
    StartPing,
    StartSearch,
)
from buswalk.bus.write_messages import WritingTold
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, SettingsApplied
from buswalk.domain.search.events import LivingLine, SearchPlan, SearchProgress, Verdict
from buswalk.domain.search.ping import PingPlan
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
)
from buswalk.ui.shell.head_presenter import HeadPresenter, short_port
from buswalk.ui.shell.head_state import HeadSign
from buswalk.ui.tones import Tone
from tests.fakes.exchanges import ExchangeMaker

SETTINGS = SerialSettings.of(9600, "8N1")
TRAITS = LineTraits(
    carries_speed=True,
    carries_framing=True,
    spends_wire_time=True,
    mark_reporting=MarkReporting.PER_BYTE,
    echo=Echo.NOT_HEARD,
    latency_s=0.001,
    latency_source=LatencySource.ASKED,
    settings_change_s=0.01,
    is_simulated=False,
)
BEGAN = SessionStarted("2024-03-05T09:41:00+01:00", factor=1.0, is_simulated=False, program="buswalk")
DEMO_BEGAN = SessionStarted("2024-03-05T09:41:00+01:00", factor=10.0, is_simulated=True, program="buswalk")


def played(*events: object) -> HeadPresenter:
    presenter = HeadPresenter()
    for row, event in enumerate(events, start=1):
        presenter.take(Kept(row, event, 0.0))
    return presenter


def opened(port: str = "COM5") -> PortOpened:
    return PortOpened(port, "adapter", SETTINGS, TRAITS, 0.0)


def test_before_a_port_is_open_nobody_holds_the_line() -> None:
    state = HeadPresenter().state

    assert state.port.words == "none open"
    assert state.held_by.words == "nobody: no port"
    assert (state.job.words, state.can_stop) == ("No job", False)
    assert (state.writing.words, state.writing.sign) == ("locked", HeadSign.LOCK)


def test_an_open_port_is_told_with_its_settings_and_since_when() -> None:
    state = played(BEGAN, opened()).state

    assert state.port.words == "COM5 · 9600 8N1"
    assert (state.held_by.words, state.held_by.sign) == ("this laptop, since 09:41", HeadSign.SQUARE)


def test_the_port_cell_follows_a_search_that_changes_settings_and_tells_its_wait() -> None:
    presenter = HeadPresenter()
    presenter.asked_for(StartSearch(SearchPlan((1,), {SETTINGS: 1.0}, wait_s=0.06)))
    for event in (BEGAN, opened(), SettingsApplied(SerialSettings.of(4800, "8N1"), 1.0)):
        presenter.take(Kept(1, event, 0.0))

    assert presenter.state.port.words == "COM5 · 4800 8N1 · wait 60 ms"
    assert presenter.state.port.forms[-1] == "COM5"


def test_a_demo_line_says_so_with_its_speed() -> None:
    presenter = played(DEMO_BEGAN, opened("demo:greenhouse-first-day"))

    presenter.take_batch(Batch(0.0, 10.0, is_walking=True, items=()))
    ten_times = presenter.state.port.words
    presenter.take_batch(Batch(0.0, 1.0, is_walking=True, items=()))
    real = presenter.state.port.words
    presenter.take_batch(Batch(0.0, 1.0, is_walking=False, items=()))
    jumping = presenter.state.port.words

    assert (ten_times, real, jumping) == ("demo line, 10 times", "demo line, real speed", "demo line, time jumps")


def test_the_record_of_a_demo_line_is_called_so() -> None:
    """The next start replaces it: it must never pass for a visit."""
    presenter = HeadPresenter()

    presenter.take(RecordTold(RecordState("unsaved-greenhouse-first-day", "x", 412, is_simulated=True)))

    assert presenter.state.record.words == "demo record · 412 saved"


def test_a_lost_port_is_a_fault_until_it_returns() -> None:
    presenter = played(BEGAN, opened(), PortFailed("COM5", "gone", 5.0))

    lost = presenter.state
    presenter.take(Kept(1, PortReturned("COM6", 41.0, 46.0), 46.0))
    back = presenter.state

    assert (lost.port.words, lost.port.sign, lost.port.tone) == ("COM5 gone · 9600 8N1", HeadSign.CROSS, Tone.FAULT)
    assert lost.held_by.words == "nobody: no port"
    assert back.port.words == "COM6 · 9600 8N1"


def test_a_job_whose_port_is_lost_waits() -> None:
    presenter = played(BEGAN, opened(), JobStarted(1, "search", 2.0), PortFailed("COM5", "gone", 5.0))

    presenter.tick(28.0)

    assert presenter.state.job.time_words == "waiting 0:23"


def test_another_client_is_told_in_its_own_colour() -> None:
    state = played(BEGAN, opened(), LivingLine(Verdict.TRAFFIC, "")).state

    assert (state.held_by.words, state.held_by.sign, state.held_by.tone) == (
        "another client",
        HeadSign.SLANT,
        Tone.FOREIGN,
    )


def test_while_listening_nobody_is_said_to_hold_the_line() -> None:
    presenter = played(BEGAN, opened())
    presenter.asked_for(StartListening(10.0, SETTINGS))
    presenter.take(Kept(1, JobStarted(1, "listen", 0.0), 0.0))

    presenter.tick(4.0)

    assert presenter.state.held_by.words == "listening only"
    assert presenter.state.job.words == "Listen at 9600 8N1"
    assert presenter.state.job.time_words == "0:06 left of 0:10"


def test_a_search_tells_what_is_left_as_soon_as_it_can_be_told() -> None:
    presenter = played(BEGAN, opened(), JobStarted(1, "search", 0.0))

    presenter.tick(10.0)
    before = presenter.state.job
    presenter.take(Kept(1, SearchProgress(250, 1000, SETTINGS, 300.0), 100.0))
    presenter.tick(100.0)
    after = presenter.state.job

    assert (before.words, before.time_words, before.share) == ("Search at 9600 8N1", "0:10 so far", None)
    assert (after.time_words, after.share) == ("5:00 left of 6:40", 0.25)
    assert presenter.state.can_stop


def test_a_ping_names_whom_it_asks() -> None:
    presenter = HeadPresenter()
    presenter.asked_for(StartPing(PingPlan(22, SETTINGS)))
    presenter.take(Kept(1, JobStarted(1, "ping", 0.0), 0.0))

    assert presenter.state.job.words == "Ping 22"


def test_an_ended_job_is_gone() -> None:
    state = played(JobStarted(1, "search", 0.0), JobEnded(1, "search", JobEndKind.STOPPED, "", 2.0)).state

    assert (state.job.words, state.can_stop) == ("No job", False)


def test_the_record_counts_what_is_kept_between_two_tellings() -> None:
    presenter = HeadPresenter()
    maker = ExchangeMaker()
    presenter.take(RecordTold(RecordState("2024-03-05-COM5", "x", 3212, is_simulated=False)))

    for row in (1, 2):
        presenter.take(Kept(row, ExchangeDone(maker.answered(21)), 0.0))

    assert presenter.state.record.words == "2024-03-05-COM5 · 3\u202f214 saved"
    assert presenter.state.record.forms[1:] == ("COM5 · 3\u202f214 saved", "3\u202f214 saved")


def test_what_is_not_kept_is_not_counted_as_saved() -> None:
    presenter = HeadPresenter()
    presenter.take(RecordTold(RecordState("a", "a", 7, is_simulated=False)))

    presenter.take(Kept(0, ExchangeDone(ExchangeMaker().answered(21)), 0.0))

    assert presenter.state.record.words == "a · 7 saved"


def test_a_failing_record_is_a_fault() -> None:
    presenter = HeadPresenter()

    presenter.take(RecordTold(RecordState("a", "a", 7, is_simulated=False, problem="the disk is full")))

    assert (presenter.state.record.words, presenter.state.record.sign) == ("nothing is saved", HeadSign.CROSS)


def test_a_port_given_back_is_nobodys() -> None:
    state = played(BEGAN, opened(), PortClosed("COM5", 3.0)).state

    assert (state.port.words, state.held_by.words) == ("none open", "nobody: no port")


def test_ports_are_named_without_what_all_of_their_kind_share() -> None:
    assert short_port("/dev/ttyUSB0") == "ttyUSB0"
    assert short_port("rfc2217://10.0.0.7:4001") == "10.0.0.7:4001"
    assert short_port("COM5") == "COM5"
    assert short_port("sim:/some/where/hall.toml") == "hall.toml"


def test_a_port_on_its_way_is_named_before_it_is_open() -> None:
    presenter = HeadPresenter()

    presenter.asked_for(OpenPort("COM5", SETTINGS))

    assert presenter.state.port.words == "COM5"
    assert presenter.state.held_by.words == "nobody: no port"


def test_while_writing_is_open_the_head_line_counts_down_in_the_colour_of_doubt() -> None:
    presenter = played(BEGAN, opened())

    presenter.take(WritingTold(is_open=True, reason="test of the heating", left_s=252.9))
    writing = presenter.state.writing

    assert (writing.words, writing.sign, writing.tone) == ("open 4:12", HeadSign.OPEN_LOCK, Tone.DOUBT)


def test_locked_again_or_in_a_new_session_writing_is_said_to_be_locked() -> None:
    told = WritingTold(is_open=True, reason="test of the heating", left_s=9.0)
    locked, begun = played(BEGAN, opened()), played(BEGAN, opened())
    locked.take(told)
    begun.take(told)

    locked.take(WritingTold(is_open=False, reason="", left_s=0.0))
    begun.take(Kept(3, BEGAN, 0.0))

    assert locked.state.writing.words == begun.state.writing.words == "locked"
