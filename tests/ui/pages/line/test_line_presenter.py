"""What the page Line says and sends."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.bus.messages import (
    HandsOffered,
    MakeMark,
    StartEchoTest,
    StartListening,
)
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.modbus.frame_splitter import Frame, split
from buswalk.domain.search.events import ListenedFirst, Verdict
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import (
    EchoTested,
    JobEnded,
    JobEndKind,
    JobStarted,
    PlanKept,
    PortClosed,
    PortFailed,
    PortReturned,
    TraitsLearnt,
)
from buswalk.ui.address_states import AddressState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.line.adapter_words import AdapterSwitches, SwitchSeen
from buswalk.ui.tones import Tone
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.told_line import TRAITS, USUAL, copper_opened, demo_opened, found, kept
from tests.ui.pages.line.line_bench import Bench

PLANNED = (
    PlannedDevice(1, 11, "controller, bay 1", USUAL, "", "box 1"),
    PlannedDevice(2, 14, "controller, bay 2", USUAL, "", "box 1"),
    PlannedDevice(3, 31, "fan, bay 1", SerialSettings.of(19200, "8E1"), "", "box 2"),
)
TRAFFIC = bytes.fromhex("3C 03 00 00 00 0A C1 20")
"""Read holding registers 0 to 9 of address 60; its CRC is checked where it is used."""


def test_without_a_port_f5_shows_where_ports_are_chosen() -> None:
    bench = Bench()
    assert bench.page.state.sentence == "No port is open. Opening one sends nothing."

    bench.page.main_action()

    assert bench.page.state.ports is not None


def test_the_first_start_says_what_this_is_and_f5_searches() -> None:
    bench = Bench(*demo_opened(), HandsOffered(("controller",)), *kept(PlanKept(PLANNED, 0.0)))

    state = bench.page.state
    bench.page.main_action()

    assert state.sentence == (
        "This is the built-in demo line: a greenhouse on its first day. Open a real port with Ctrl+O."
    )
    assert (state.main.words, state.main.key, state.is_main_solid) == ("Search", "F5", True)
    assert state.cable.words == "3 devices planned, none asked yet. Numbers are the planned addresses."
    assert bench.searches == 1


def test_on_copper_f5_listens_ten_seconds_at_the_port_s_setting() -> None:
    bench = Bench(*copper_opened())
    assert bench.page.state.sentence == "COM5 is ours since 09:41:00. Listen before anything is asked."

    bench.page.main_action()

    assert bench.commands.sent == [StartListening(10.0, USUAL)]


def test_while_a_job_runs_buttons_say_why_they_wait() -> None:
    bench = Bench(*copper_opened(), *kept(JobStarted(1, "search", 1.0)))

    bench.page.main_action()
    bench.page.test_echo()

    assert bench.commands.sent == []
    assert bench.page.state.main.refused == "a job is running (search): stop it first with Esc"


# Listening


def test_listening_counts_its_time_and_says_that_nothing_is_sent() -> None:
    bench = Bench(*copper_opened(), *kept(JobStarted(1, "listen", 2.0), at_s=2.0))
    bench.page.tick(6.0)
    arrival = Arrival(b"\x01\x02", (), 5.0, 5.0)
    bench.take(*kept(Heard(arrival), at_s=5.0))

    state = bench.page.state

    assert state.heard.headline == "Listening at 9600 8N1: 2 bytes so far"
    assert state.heard.words == "4 s so far. Nothing is sent."
    assert state.sentence == "Listening at 9600 8N1: 2 bytes so far."


def test_listening_that_was_begun_here_says_how_long_it_takes() -> None:
    bench = Bench(*copper_opened())
    bench.page.listen()
    bench.take(*kept(JobStarted(1, "listen", 2.0), at_s=2.0))
    bench.page.tick(6.0)

    assert bench.page.state.heard.words == "4 s of 10 s. Nothing is sent."


def listened(verdict: Verdict, count: int = 0, frames: tuple[Frame, ...] = ()) -> Bench:
    """A bench that has listened for ten seconds."""
    ended = ListeningEnded(USUAL, 10.0, verdict, count, frames)
    return Bench(
        *copper_opened(),
        *kept(JobStarted(1, "listen", 2.0)),
        *kept(ended, JobEnded(1, "listen", JobEndKind.FINISHED, "", 12.0), at_s=12.0),
    )


def test_silence_is_a_client_with_a_long_period_at_most() -> None:
    heard = listened(Verdict.SILENT).page.state.heard

    assert heard.headline == "Silent for 10 s"
    assert heard.words.startswith("No client with a period under 10 s, at 9600 8N1.")
    assert heard.aside == "heard at 09:41:12"
    assert "nobody" not in heard.words


def test_traffic_is_another_client() -> None:
    frames = tuple(piece for piece in split(TRAFFIC * 3) if isinstance(piece, Frame))
    assert len(frames) == 3

    state = listened(Verdict.TRAFFIC, 24, frames).page.state

    assert (state.heard.headline, state.heard.tone) == ("Another client is alive", Tone.FOREIGN)
    assert state.heard.words.startswith("3 whole frames in 10 s, addresses 60. Asking now can spoil its exchanges")
    assert (state.sentence, state.tone) == ("Another client is alive.", Tone.FOREIGN)


def test_babble_says_what_it_may_be() -> None:
    heard = listened(Verdict.BABBLE, 348).page.state.heard

    assert heard.headline == "Bytes that make no frame"
    assert heard.words.startswith("348 bytes in 10 s, and none make a frame at 9600 8N1.")


def test_a_held_line_says_what_to_do() -> None:
    state = listened(Verdict.HELD, 1).page.state

    assert (state.heard.headline, state.tone) == ("The line is held", Tone.FAULT)
    assert "Unplug one device after the other" in state.heard.words


def test_listening_of_a_search_counts_too() -> None:
    bench = Bench(*copper_opened(), *kept(ListenedFirst(USUAL, 10.0, Verdict.SILENT, 0), at_s=11.0))

    assert bench.page.state.heard.headline == "Silent for 10 s"


def test_foreign_frames_between_ours_are_perhaps_a_client() -> None:
    frame = Arrival(TRAFFIC, (), 20.0, 20.0)
    bench = Bench(*copper_opened(), *kept(StrayArrival(frame)))
    for _ in range(3):
        bench.page.tick(21.0)

    state = bench.page.state

    assert state.heard.headline == "Perhaps: 1 foreign frame"
    assert "The first came at 09:41:20." in state.heard.words


# The adapter


def test_what_the_adapter_can_tell_is_said_with_its_source() -> None:
    bench = Bench(*copper_opened())

    assert bench.told("Echo") == ("not known yet", "a test tells")
    assert bench.told("Hands bytes over") == ("within 1 ms", "as the system says")
    assert bench.told("Parity and framing errors") == ("told for each byte", "strict checks possible")
    assert bench.told("Sets") == ("speed and framing", "a change takes 20 ms")
    assert bench.told("Direction") == ("by itself", "the adapter's own doing")


def test_what_a_network_port_cannot_tell_is_said_too() -> None:
    socket = LineTraits(
        carries_speed=False,
        carries_framing=False,
        spends_wire_time=False,
        mark_reporting=MarkReporting.NOT_AVAILABLE,
        echo=Echo.NOT_KNOWN,
        latency_s=0.02,
        latency_source=LatencySource.ASSUMED,
        settings_change_s=0.0,
        is_simulated=False,
    )

    bench = Bench(*copper_opened("socket://10.0.0.5:502", socket))

    assert bench.told("Sets") == ("neither", "speed, framing: at the far side")
    assert bench.told("Parity and framing errors") == ("not told", "damage shows by the CRC only")
    assert bench.told("Hands bytes over") == ("within 20 ms", "assumed until replies tell")


@pytest.mark.parametrize(("lump", "words"), [(1, "one by one"), (9, "up to 9 at a time")])
def test_how_many_bytes_came_at_once_is_learnt_from_replies(lump: int, words: str) -> None:
    """Within a lump no time is known: what stands between its bytes cannot be told."""
    bench = Bench(*copper_opened())
    data = bytes(9)
    arrivals = tuple(Arrival(data[at : at + lump], (), 1.0, 1.1) for at in range(0, len(data), lump))

    bench.take(*kept(ExchangeDone(replace(ExchangeMaker().answered(21), arrivals=arrivals))))

    assert bench.told("Hands bytes over")[1].endswith(words)


def test_the_echo_test_is_asked_for_and_its_answer_said() -> None:
    bench = Bench(*copper_opened())
    bench.page.test_echo()
    assert bench.commands.sent == [StartEchoTest()]
    quiet = replace(TRAITS, echo=Echo.NOT_HEARD)

    bench.take(
        *kept(TraitsLearnt(quiet, 3.0), EchoTested(is_heard=False, sentence="address 255 stayed silent", at_s=3.0))
    )

    assert bench.told("Echo") == ("none", "address 255 stayed silent")


def test_switches_of_the_adapter_are_noted_as_a_mark() -> None:
    bench = Bench(*copper_opened())

    bench.page.note_switches(AdapterSwitches(SwitchSeen.ON, SwitchSeen.OFF))

    assert bench.commands.sent == [MakeMark("adapter switches as seen: bias on, terminator off")]
    assert bench.page.state.cable.client_end == "bias on, terminator off"


# Outcomes


def test_the_table_has_the_fourteen_kinds_and_nothing_is_said_before_the_first_exchange() -> None:
    outcomes = Bench(*copper_opened()).page.state.outcomes

    assert outcomes.head == "Nothing asked yet"
    assert len(outcomes.rows) == 14
    assert {row[1].words for row in outcomes.rows} == {"0"}


def test_shares_carry_their_exact_limits() -> None:
    """Counts and limits of the drawn example: 3 of 414 refused, 6 of 414 without a reply, none damaged."""
    bench = Bench(*copper_opened())
    maker = ExchangeMaker()
    exchanges = [maker.answered(11) for _ in range(405)]
    exchanges += [maker.refused(11) for _ in range(3)]
    exchanges += [maker.silent(24, 0.01) for _ in range(6)]
    bench.take(*kept(*(ExchangeDone(one) for one in exchanges)))
    bench.page.tick(maker.now_s)

    outcomes = bench.page.state.outcomes
    shown = {row[0].words: (row[1].words, row[2].words) for row in outcomes.rows}

    assert outcomes.head == "Last 60 s, 414 asked"
    assert shown["answered"] == ("405", "")
    assert shown["refused"] == ("3", "0.72 %, up to 1.9 %")
    assert shown["no reply"] == ("6", "1.4 %, up to 2.9 %")
    assert shown["damaged"] == ("0", "below 0.73 %")


def test_what_is_older_than_a_minute_of_line_time_is_forgotten() -> None:
    bench = Bench(*copper_opened())
    maker = ExchangeMaker()
    bench.take(*kept(ExchangeDone(maker.answered(11))))

    bench.page.tick(maker.now_s + 61.0)

    assert bench.page.state.outcomes.head == "Nothing in the last 60 s"


def test_silence_that_a_search_expects_is_no_failure() -> None:
    bench = Bench(*copper_opened(), *kept(JobStarted(1, "search", 0.0)))
    maker = ExchangeMaker()
    bench.take(*kept(ExchangeDone(maker.silent(99, 0.06)), ExchangeDone(maker.answered(11))))
    bench.page.tick(1.0)

    shown = {row[0].words: (row[1].words, row[2].words) for row in bench.page.state.outcomes.rows}

    assert shown["no reply"][0] == "0"
    assert shown["silent, as expected"] == ("1", "not counted as a trial")


# The cable


def test_the_cable_shows_planned_devices_and_what_is_known_of_them() -> None:
    bench = Bench(*copper_opened(), *kept(PlanKept(PLANNED, 0.0), found(11), found(56)))
    maker = ExchangeMaker(settings=SerialSettings.of(19200, "8E1"))
    bench.take(*kept(ExchangeDone(maker.silent(31))))

    cable = bench.page.state.cable

    assert [(one.number, one.state) for one in cable.points] == [
        (11, AddressState.ANSWERED),
        (14, AddressState.TO_ASK),
        (31, AddressState.PLANNED_SILENT),
    ]
    assert [(one.number, one.state) for one in cable.strangers] == [(56, AddressState.NOT_IN_PLAN)]
    assert [(one.words, one.first, one.last) for one in cable.groups] == [("box 1", 0, 1), ("box 2", 2, 2)]
    assert cable.words == "Silent: 31."
    assert bench.page.state.sentence == "2 answer: 1 as planned, 1 not in plan. 1 planned is silent. 1 not asked yet."


def test_when_the_line_was_taken_and_given_back_is_said() -> None:
    bench = Bench(*copper_opened())
    assert bench.page.state.cable.aside == "taken at 09:41:00"

    bench.take(*kept(PortClosed("COM5", 754.0)))

    assert bench.page.state.cable.aside == "taken at 09:41:00, given back at 09:53:34, after 12:34"
    assert bench.page.state.sentence == "COM5 was given back at 09:53:34: it was held for 12:34."


def test_a_lost_port_is_waited_for_and_its_return_is_said() -> None:
    bench = Bench(*copper_opened(), *kept(PortFailed("COM5", "the adapter is gone", 10.0)))
    assert bench.page.state.sentence == "Waiting for the port. What was recorded stays here to read."

    bench.take(*kept(PortReturned("COM7", 41.0, 51.0)))
    bench.page.tick(55.0)

    assert bench.page.state.sentence.startswith("Back after 0:41. ")


def test_every_kind_of_the_table_has_its_shape() -> None:
    rows = Bench(*copper_opened()).page.state.outcomes.rows

    assert [row[0].shape for row in rows] == list(OutcomeKind)[:14]
