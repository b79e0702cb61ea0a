"""The sheet of labels before it is printed: which pages, what is said of them, and that the same are printed."""

from __future__ import annotations

from buswalk.bus.messages import Kept
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import PlanKept
from buswalk.ui.pages.switches.label_sheet import SheetState
from buswalk.ui.pages.switches.ways import SwitchedDevice
from buswalk.ui.printing.switch_sheet import sheet_of
from tests.fakes.switches_bench import SwitchesBench

USUAL = SerialSettings.of(9600, "8N1")
BAY_1 = PlannedDevice(1, 11, "bay 1", USUAL, "levers-7-line-end", "box 1")
MANY = tuple(PlannedDevice(place, place + 10, f"air {place}", USUAL, "dials-hex") for place in range(1, 25))


def sheet(bench: SwitchesBench) -> SheetState:
    state = bench.state.sheet
    assert state is not None
    return state


def opened(*devices: PlannedDevice) -> SwitchesBench:
    bench = SwitchesBench()
    bench.presenter.take(Kept(1, PlanKept(devices, 0.0), 0.0))
    bench.presenter.show_sheet()
    return bench


def test_without_a_plan_there_is_no_sheet() -> None:
    bench = SwitchesBench()

    bench.presenter.show_sheet()

    assert bench.state.told == "No device is planned: there are no labels."
    assert bench.state.sheet is None
    assert bench.state.sheet_words == ""


def test_a_label_of_every_planned_device_is_shown() -> None:
    """11 = 1 + 2 + 8: levers 1, 2 and 4."""
    bench = opened(BAY_1)

    state = sheet(bench)
    assert bench.state.sheet_words == "Show 1 label"
    assert state.sentence == "1 label on 1 page of A4; page 1 is shown."
    assert state.spoken == (
        "11, bay 1, box 1, 9600 8N1, 1, 2 and 4 ON, line end off (8), levers-7-line-end, after, power-up",
    )
    assert state.said == ""


def test_devices_without_a_board_are_drawn_on_the_one_chosen_and_this_is_said() -> None:
    bench = opened(BAY_1, PlannedDevice(2, 21, "air"), PlannedDevice(3, 22, "pump", board="levers-9"))

    assert sheet(bench).said == (
        "The plan names no board for 21: it is drawn on levers-8, the one chosen here. "
        "Without a picture: 22; the label says why."
    )


def test_many_addresses_are_not_all_named() -> None:
    bench = opened(*(PlannedDevice(place, place, f"air {place}") for place in range(1, 10)))

    assert sheet(bench).said.startswith("The plan names no board for 1, 2, 3, 4, 5, 6 and 3 more: they are drawn")


def test_pages_are_walked_and_end_at_the_first_and_the_last() -> None:
    bench = opened(*MANY)
    last = sheet(bench).pages - 1
    assert last > 1

    walked = []
    for step in (-1, 1, last, 1):
        bench.presenter.sheet.step(step)
        walked.append(sheet(bench).at)

    assert walked == [0, 1, last, last]
    assert sheet(bench).page.heading.lines == (
        f"Address switches, page {last + 1} of {last + 1}; cut along the dashes",
    )


def test_what_is_printed_is_what_was_shown() -> None:
    bench = opened(*MANY)
    shown = []
    for at in range(sheet(bench).pages):
        bench.presenter.sheet.go_to(at)
        shown.append(sheet(bench).page)

    bench.presenter.main_action()

    assert tuple(shown) == sheet_of(bench.printed[0], bench.state.turn)
    assert sheet(bench).said == "Saved as labels.pdf."
    assert bench.asked == []


def test_a_closed_sheet_leaves_the_switches_as_they_were() -> None:
    bench = opened(BAY_1)
    before = bench.state.block

    bench.presenter.sheet.close()

    assert bench.state.sheet is None
    assert bench.state.block == before


def test_whoever_comes_with_a_device_sees_its_switches_and_not_the_sheet() -> None:
    bench = opened(BAY_1)

    bench.presenter.show_device(SwitchedDevice("bay 1", 11, None, "levers-7-line-end"))

    assert bench.state.sheet is None


def test_a_plan_that_changes_meanwhile_is_shown_at_the_same_page() -> None:
    bench = opened(*MANY)
    bench.presenter.sheet.go_to(1)

    bench.presenter.take(Kept(2, PlanKept(MANY[:-1], 0.0), 0.0))
    state = sheet(bench)
    bench.presenter.take(Kept(3, PlanKept((), 0.0), 0.0))

    assert (state.at, state.sentence[:9]) == (1, "23 labels")
    assert bench.state.sheet is None


def test_whoever_comes_with_a_device_sees_what_explains_it_and_not_the_description() -> None:
    bench = SwitchesBench()
    bench.presenter.describing.open()

    bench.presenter.show_device(SwitchedDevice("bay 2", 14, 56, "levers-7-line-end"))

    assert bench.state.described is None
    assert bench.state.explained.mistakes[0].headline == "Board counts from the other end"
