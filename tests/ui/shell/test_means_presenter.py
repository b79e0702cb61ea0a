"""What the band says when means fail: what happened and when, what is safe, what to do."""

from __future__ import annotations

from buswalk.bus.messages import Kept, OpenPort, RecordTold, Refused
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, PortFailed, PortReturned
from buswalk.ui.live.feed import ProcessSaid
from buswalk.ui.shell.means_presenter import CLOSE, OTHER_PORT, MeansPresenter
from buswalk.ui.tones import Tone
from tests.fakes.played_feed import RememberedCommands
from tests.ui.shell.test_head_presenter import BEGAN, SETTINGS, opened

OPEN = OpenPort("COM5", SETTINGS)
GONE = PortFailed("COM5", "COM5 is gone: it was pulled out", 1988.0)


class Asked:
    """A presenter with what it asks for."""

    def __init__(self) -> None:
        self.commands = RememberedCommands()
        self.chosen = 0
        self.presenter = MeansPresenter(self.commands, self._choose)
        self.presenter.asked_for(OPEN)

    def _choose(self) -> None:
        self.chosen += 1

    def play(self, *events: object) -> None:
        for event in events:
            self.presenter.take(Kept(1, event, 0.0))


def test_all_well_says_nothing() -> None:
    asked = Asked()

    asked.play(BEGAN, opened())

    assert asked.presenter.band is None
    assert not asked.presenter.main_action()


def test_a_vanished_adapter_is_told_with_its_time_and_what_goes_on() -> None:
    asked = Asked()
    asked.play(BEGAN, opened(), JobStarted(1, "search", 0.0))

    asked.play(GONE)

    band = asked.presenter.band
    assert band is not None
    assert (band.tone, band.headline) == (Tone.FAULT, "The adapter on COM5 is gone since 10:14:08")
    assert band.words == (
        "Plug it in again, in any socket: the search goes on by itself with the same settings. "
        "All that was shown is saved."
    )
    assert [one.name for one in band.actions] == [OTHER_PORT]


def test_it_ends_by_itself_when_the_port_returns() -> None:
    asked = Asked()
    asked.play(BEGAN, opened(), GONE)

    asked.play(PortReturned("COM6", 41.0, 2029.0))

    assert asked.presenter.band is None


def test_without_a_job_f5_looks_again() -> None:
    asked = Asked()
    asked.play(BEGAN, opened(), GONE)

    is_done = asked.presenter.main_action()

    assert is_done
    assert asked.commands.sent == [OPEN]


def test_a_port_in_use_says_the_sentence_of_its_opening_once() -> None:
    asked = Asked()
    sentence = "COM5 is in use by another program: close it there, then look again"

    asked.play(BEGAN, PortFailed("COM5", sentence, 0.0))
    asked.presenter.take(Refused(1, sentence))

    band = asked.presenter.band
    assert band is not None
    assert band.headline == "COM5 could not be opened"
    assert band.words == sentence + "."
    asked.play(PortReturned("COM5", 1.0, 1.0))
    assert asked.presenter.band is None


def test_the_other_way_is_to_choose_another_port() -> None:
    asked = Asked()
    asked.play(BEGAN, opened(), GONE)

    asked.presenter.pressed(OTHER_PORT)

    assert asked.chosen == 1


def test_a_record_that_fails_is_told_since_when_and_why() -> None:
    asked = Asked()
    asked.play(BEGAN, opened())
    asked.presenter.tick(1988.0)

    asked.presenter.take(RecordTold(RecordState("a", "a", 7, is_simulated=False, problem="the disk is full")))

    band = asked.presenter.band
    assert band is not None
    assert (band.headline, band.words) == ("Nothing is saved since 10:14:08", "The disk is full.")


def test_with_a_failing_record_nothing_is_said_to_be_saved() -> None:
    asked = Asked()
    asked.presenter.take(RecordTold(RecordState("a", "a", 7, is_simulated=False, problem="the disk is full")))

    asked.play(BEGAN, opened(), GONE)

    band = asked.presenter.band
    assert band is not None
    assert "saved" not in band.words


def test_a_refused_command_is_told_until_it_is_closed_or_the_next_is_given() -> None:
    asked = Asked()
    refused = Refused(3, "a job is running (search): stop it first")

    asked.presenter.take(refused)
    told = asked.presenter.band
    asked.presenter.pressed(CLOSE)
    closed = asked.presenter.band
    asked.presenter.take(refused)
    asked.presenter.asked_for(OPEN)
    overtaken = asked.presenter.band

    assert told is not None
    assert (told.headline, told.words) == ("That was not done", "A job is running (search): stop it first.")
    assert closed is None
    assert overtaken is None


def test_a_process_that_was_started_again_is_told_and_one_that_is_given_up_stays() -> None:
    asked = Asked()

    asked.presenter.take_process(ProcessSaid("it was started again", is_over=False))
    again = asked.presenter.band
    asked.presenter.take_process(ProcessSaid("it died too often", is_over=True))
    asked.presenter.pressed(CLOSE)
    over = asked.presenter.band

    assert again is not None
    assert (again.tone, again.words) == (Tone.DOUBT, "It was started again.")
    assert over is not None
    assert (over.tone, over.headline) == (Tone.FAULT, "Nothing can be asked any more")


def test_a_job_that_failed_is_told_and_one_that_was_stopped_is_not() -> None:
    asked = Asked()

    asked.play(JobEnded(1, "search", JobEndKind.STOPPED, "stopped by the user", 2.0))
    stopped = asked.presenter.band
    asked.play(JobEnded(2, "search", JobEndKind.FAILED, "the port refuses this speed", 3.0))
    failed = asked.presenter.band

    assert stopped is None
    assert failed is not None
    assert (failed.headline, failed.words) == ("The search has ended early", "The port refuses this speed.")


def test_what_the_last_start_left_to_say_is_said_one_after_the_other() -> None:
    asked = Asked()

    asked.presenter.say_at_start(("the window was closed by force", "the preferences were damaged"))
    first = asked.presenter.band
    asked.presenter.pressed(CLOSE)
    second = asked.presenter.band

    assert first is not None
    assert second is not None
    assert (first.headline, second.headline) == ("the window was closed by force", "the preferences were damaged")


def test_who_is_asked_by_nobody_any_more_is_said_until_it_is_closed_or_taken_back() -> None:
    asked = Asked()
    asked.play(BEGAN, opened())

    asked.presenter.say_left_alone("31 stops after 10 s", "Ask on.")
    band = asked.presenter.band
    asked.presenter.pressed(CLOSE)
    closed = asked.presenter.band
    asked.presenter.say_left_alone("31 stops after 10 s", "Ask on.")
    asked.presenter.say_left_alone("", "")

    assert band is not None
    assert (band.tone, band.headline, band.words) == (Tone.DOUBT, "31 stops after 10 s", "Ask on.")
    assert closed is None and asked.presenter.band is None


def test_a_lost_port_is_said_before_who_is_left_alone_and_closing_a_refusal_leaves_it() -> None:
    asked = Asked()
    asked.presenter.say_left_alone("31 stops after 10 s", "Ask on.")
    asked.presenter.take(Refused(1, "a job is running"))

    asked.presenter.pressed(CLOSE)

    band = asked.presenter.band
    assert band is not None and band.headline == "31 stops after 10 s"
