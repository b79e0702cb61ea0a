"""Choosing and opening ports, and the hands on a demo line: what is said and sent."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import (
    ClosePort,
    Done,
    Hand,
    HandsOffered,
    ListPorts,
    OpenPort,
    PortListed,
    PortsListed,
    RecordTold,
    Refused,
    SaveRecordAs,
    SetFactor,
    StreamItem,
    UseHand,
)
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import (
    MarkMade,
    MarkSource,
    PlanKept,
    PortFailed,
)
from buswalk.ui.pages.line.port_desk import PortForm
from tests.fakes.told_line import USUAL, copper_opened, demo_opened, kept
from tests.ui.pages.line.line_bench import Bench

PORTS = PortsListed(
    (
        PortListed("COM1", "serial port", "not on USB"),
        PortListed("COM5", "an adapter", "0403:6001 no. A1"),
    )
)

# Ports


def chooser(*items: StreamItem) -> Bench:
    """A bench whose pane of ports is shown."""
    bench = Bench(*items)
    bench.page.choose_port()
    bench.take(PORTS)
    return bench


def test_ports_are_listed_at_once_and_then_every_two_seconds() -> None:
    bench = chooser()

    for _ in range(41):
        bench.page.tick(0.0)

    assert len(bench.commands.of(ListPorts)) == 3


def test_ports_stand_by_adapter_and_the_demo_line_last() -> None:
    ports = chooser().page.state.ports

    assert ports is not None
    assert [row[1].words for row in ports.rows] == ["COM5", "COM1", "demo:greenhouse-first-day"]


def test_choosing_a_row_writes_its_port_and_f5_opens_it() -> None:
    bench = chooser()
    bench.page.choose_row(0)
    ports = bench.page.state.ports
    assert ports is not None
    assert (ports.open_words, ports.open_refused, ports.chosen) == ("Open COM5", "", 0)

    bench.page.main_action()

    assert bench.commands.of(OpenPort) == [OpenPort("COM5", USUAL, PortOptions())]


def test_a_written_port_with_expert_settings_is_opened_so() -> None:
    bench = chooser()
    options = PortOptions(direction=Direction.RTS, rts=False)
    bench.page.write_form(PortForm("rfc2217://box:2217", "19,2k", "8E1", options, "2,5", shows_expert=True))

    bench.page.open_port()

    opened = bench.commands.of(OpenPort)[0]
    assert (opened.port, str(opened.settings)) == ("rfc2217://box:2217", "19200 8E1")
    assert opened.options == PortOptions(Direction.RTS, True, False, False, 2.5)  # noqa: FBT003


@pytest.mark.parametrize(
    ("form", "said"),
    [
        (PortForm(""), "no port is chosen: choose one or write its name"),
        (PortForm("COM5", "fast"), "speed 'fast' is no number: write such as 9600"),
        (PortForm("COM5", "12"), "12 baud is outside 50 to 4000000"),
        (PortForm("COM5", connect_s="soon"), "a network port may take more than 0 and up to 60 s to answer"),
    ],
)
def test_what_cannot_be_opened_says_why(form: PortForm, said: str) -> None:
    bench = chooser()
    bench.page.write_form(form)

    bench.page.open_port()

    ports = bench.page.state.ports
    assert ports is not None
    assert ports.open_refused == said
    assert bench.commands.of(OpenPort) == []


def test_the_pane_closes_when_a_port_is_ours() -> None:
    bench = chooser()

    bench.take(*copper_opened())

    assert bench.page.state.ports is None


def test_a_port_that_could_not_be_had_is_marked_in_the_list() -> None:
    bench = chooser(*kept(PortFailed("COM5", "COM5 is in use by another program: close that one", 0.0)))

    ports = bench.page.state.ports

    assert ports is not None
    assert [row[3].words for row in ports.rows] == ["could not be opened", "", ""]


def test_closing_gives_the_port_back() -> None:
    bench = Bench(*copper_opened())

    bench.page.port_button()

    assert bench.commands.sent == [ClosePort()]


# Hands


def demo() -> Bench:
    """A bench on the demo line with its hands."""
    planned = (PlannedDevice(1, 24, "air, bay 2 south", USUAL),)
    return Bench(*demo_opened(), HandsOffered(("fan, bay 1", "air, bay 2 south")), *kept(PlanKept(planned, 0.0)))


def test_hands_are_offered_by_planned_address_name_and_place() -> None:
    hands = demo().page.state.hands

    assert hands is not None
    assert hands.places == ("fan, bay 1, place 1", "24, air, bay 2 south, place 2")
    assert hands.done == "nothing: all plugged in, fan off"
    assert hands.factor_index == 1


def test_copper_has_no_hands() -> None:
    assert Bench(*copper_opened()).page.state.hands is None


def test_a_hand_acts_at_the_chosen_place() -> None:
    bench = demo()
    bench.page.hands.choose(1)

    bench.page.hands.use(Hand.UNPLUG)
    mark = MarkMade("air, bay 2 south is unplugged from the pair", MarkSource.HAND, 3.0)
    bench.take(*kept(mark), Done(1))

    assert bench.commands.sent == [UseHand(Hand.UNPLUG, "air, bay 2 south")]
    hands = bench.page.state.hands
    assert hands is not None
    assert hands.done == "air, bay 2 south is unplugged from the pair"


def test_the_fan_is_switched_on_and_off() -> None:
    bench = demo()

    bench.page.hands.switch_fan()
    bench.take(Done(1))
    bench.page.hands.switch_fan()

    assert bench.commands.sent == [UseHand(Hand.PLANT_ON), UseHand(Hand.PLANT_OFF)]


def test_the_laptop_is_taken_off_its_charger_and_put_back() -> None:
    bench = demo()

    bench.page.hands.switch_battery()
    bench.take(Done(1))
    hands = bench.page.state.hands
    bench.page.hands.switch_battery()

    assert hands is not None
    assert hands.battery_words == "On charger"
    assert bench.commands.sent == [UseHand(Hand.ON_BATTERY), UseHand(Hand.ON_CHARGER)]


def test_time_of_a_demo_line_can_be_hurried() -> None:
    bench = demo()

    bench.page.hands.set_factor(2)
    bench.take(Done(1))

    hands = bench.page.state.hands
    assert hands is not None
    assert bench.commands.sent == [SetFactor(100.0)]
    assert (hands.factor_index, hands.time_words) == (
        2,
        "Runs 100 times as fast as a clock on the wall. Times and durations on all pages are line time.",
    )


# The record of a demo line


def recorded_demo() -> Bench:
    """A bench on a demo line whose record the next start replaces."""
    state = RecordState("unsaved-greenhouse-first-day", "/demo/unsaved-greenhouse-first-day", 12, is_simulated=True)
    return Bench(*demo_opened(), RecordTold(state))


def test_the_record_of_a_demo_line_is_kept_under_its_line_and_day() -> None:
    """Unless it is kept, the next start replaces it: a simulated record must not pass for evidence."""
    bench = recorded_demo()
    assert bench.page.state.demo_record.words == "The next start replaces this record."

    bench.page.demo_record.keep()
    (sent,) = bench.commands.of(SaveRecordAs)
    bench.take(Done(len(bench.commands.sent)))

    assert sent.name.startswith("greenhouse-first-day-20")
    assert bench.page.state.demo_record.words == f"Kept as {sent.name}."
    assert bench.page.state.demo_record.refused == "it is kept already"


def test_why_a_record_was_not_kept_is_said_and_it_can_be_tried_again() -> None:
    bench = recorded_demo()
    bench.page.demo_record.keep()

    bench.take(Refused(len(bench.commands.sent), "the disk is full: make room"))

    assert bench.page.state.demo_record.words == "the disk is full: make room"
    assert bench.page.state.demo_record.refused == ""


def test_where_nothing_is_recorded_there_is_nothing_to_keep() -> None:
    bench = Bench(*demo_opened())

    bench.page.demo_record.keep()

    assert bench.commands.of(SaveRecordAs) == []
    assert bench.page.state.demo_record.refused == "nothing is recorded"
