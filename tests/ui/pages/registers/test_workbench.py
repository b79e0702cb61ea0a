"""Looks at a display, the list shifted as a whole, changes of the list taken back and kept."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import StartWatch, StreamItem
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import InputRegistersRead, ReadInputRegisters
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.domain.registers.tables import Table
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.ui.pages.registers.describe_desk import PointForm
from buswalk.ui.tones import Tone
from tests.fakes.every_event import exchange
from tests.fakes.registers_stage import told
from tests.fakes.told_line import kept
from tests.ui.pages.registers.registers_bench import Page

ENDED = JobEnded(1, "watch", JobEndKind.FINISHED, "", 13.0)


def holding(number: int, first: int, *words: int, at_s: float = 12.5) -> ExchangeDone:
    """Return the reply of 11 to a read of holding registers."""
    done = exchange(number, NormalReply(b"\x0b", HoldingRegistersRead(first, words)), at_s, 11)
    return ExchangeDone(replace(done, request=ReadHoldingRegisters(first, len(words))))


def inputs(number: int, first: int, *words: int, at_s: float = 12.5) -> ExchangeDone:
    """Return the reply of 11 to a read of input registers."""
    done = exchange(number, NormalReply(b"\x0b", InputRegistersRead(first, words)), at_s, 11)
    return ExchangeDone(replace(done, request=ReadInputRegisters(first, len(words))))


def look(page: Page, text: str, *events: ExchangeDone) -> None:
    """Type what is shown, and let the device answer so."""
    page.presenter.bench.look(text)
    items: list[StreamItem] = [*kept(JobStarted(1, "watch", 12.0), *events, ENDED)]
    page.take(items)


def places(page: Page) -> list[str]:
    return [row[0].words for row in page.presenter.state.finder.rows]


def test_a_look_reads_the_device_once_and_finds_what_means_the_value() -> None:
    """214 at a tenth is 21.4; the other registers mean nothing near."""
    page = Page(told())

    look(page, "21.4", inputs(50, 0, 214, 7777, 9999))

    assert len(page.commands.of(StartWatch)) == 1
    assert "Input register 0" in places(page)
    assert page.presenter.state.finder.told.startswith("1 look (21.4) at 3 registers: ")


def test_a_second_look_leaves_what_followed() -> None:
    """Registers 0 and 2 both hold 214; only 0 follows the display to 23.0."""
    page = Page(told())
    look(page, "21.4", inputs(50, 0, 214, 7777, 214))
    assert {"Input register 0", "Input register 2"} <= set(places(page))

    look(page, "23.0", inputs(51, 0, 230, 7777, 214))

    assert set(places(page)) == {"Input register 0"}


def test_a_text_that_is_no_number_reads_nothing() -> None:
    page = Page(told())

    page.presenter.bench.look("warm")

    assert page.commands.sent == []
    assert page.presenter.state.finder.told.startswith("'warm' is no number as a display shows it")
    assert page.presenter.state.finder.tone is Tone.DOUBT


def test_the_list_shifted_by_one_is_proposed_with_its_evidence() -> None:
    """The valve stands at holding register 1, the list says 0; the shown value fits only there."""
    page = Page(told())
    page.focus("Mixing valve")

    look(page, "4.500", holding(50, 0, 60000, 4500, 61000))

    finder = page.presenter.state.finder
    assert "shifted by +1" in finder.shift
    assert "1 of 1 shown values fit" in finder.shift
    assert finder.shift_button == "Shift the list by +1"
    page.presenter.bench.shift_as_found()
    assert page.row("Mixing valve")[4].words == "1 / 0x0001"


def test_two_pairs_give_the_scale_with_its_nearest_tidy_factor() -> None:
    """2000 is 2.000 V and 8000 is 8.000 V: a thousandth, no offset."""
    page = Page(told())
    page.focus("Mixing valve")
    look(page, "2.000", holding(50, 0, 2000))

    look(page, "8.000", holding(51, 0, 8000))

    assert "× 0.001 + 0" in page.presenter.state.finder.scale
    assert "0.001 a step" in page.presenter.state.finder.scale


def test_a_meaning_is_taken_into_the_list_and_taken_back() -> None:
    page = Page(told())
    look(page, "21.4", inputs(50, 9, 214))

    page.presenter.bench.take_meaning("Flow, bay 1")
    row = page.row("Flow, bay 1")
    page.presenter.bench.undo()

    assert row[4].words == "9 / 0x0009"
    assert "Flow, bay 1" not in [row[0].words for row in page.presenter.state.points.rows]
    assert page.commands.of(StartWatch) == page.commands.sent


def test_without_a_profile_a_list_of_ones_own_begins() -> None:
    page = Page(told())
    page.presenter.choose_profile(2)
    look(page, "21.4", inputs(50, 9, 214))

    page.presenter.bench.take_meaning("")
    page.presenter.bench.keep("own-11")

    (saved,) = page.parts.saved
    assert (saved.name, saved.points[0].table, saved.points[0].register_address) == (
        "own-11",
        Table.INPUT_REGISTERS,
        9,
    )


def form(page: Page, **changes: object) -> PointForm:
    shown = page.presenter.state.describe
    plain = PointForm(shown.words, shown.types.chosen, shown.scale, shown.offset, shown.unit, shown.decimals)
    return replace(plain, **changes)  # type: ignore[arg-type]


def test_a_description_is_changed_taken_back_and_kept() -> None:
    page = Page(told())
    page.focus("Mixing valve")

    page.presenter.bench.change(form(page, words="Valve", scale="0,01", unit="%"))
    assert page.presenter.state.describe.undo == "Mixing valve changed"
    page.presenter.bench.keep("own-controller")
    page.presenter.bench.undo()

    (saved,) = page.parts.saved
    valve = saved.point("mixing_valve")
    assert (valve.words, str(valve.scale), valve.unit, saved.name) == ("Valve", "0.01", "%", "own-controller")
    assert page.row("Mixing valve")[4].words == "0 / 0x0000"
    assert page.commands.sent == []


def test_what_cannot_be_is_not_changed_and_said() -> None:
    page = Page(told())
    page.focus("Mixing valve")

    for change, said in (({"scale": "0"}, "scale of 0"), ({"offset": "x"}, "is no number"), ({"words": " "}, "a name")):
        page.presenter.bench.change(form(page, **change))
        assert said in page.presenter.state.describe.told
        assert page.presenter.state.describe.undo == ""
