"""What the page Plan says and sends."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.bus.messages import Done, KeepPlan, Refused, StartSearch, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.search.events import Doubt
from buswalk.domain.site.list_text import rows_of_text
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobStarted, PlanKept
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.plan.list_files import PlanFiles
from buswalk.ui.pages.plan.plan_editor import PlanColumn
from buswalk.ui.pages.plan.plan_state import CheckSign
from buswalk.ui.pages.plan.presenter import PlanPresenter
from buswalk.ui.tones import Tone
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.sent_commands import SentCommands
from tests.fakes.told_line import USUAL, copper_opened, demo_opened, found, kept

FAST = SerialSettings.of(19200, "8E1")
DEVICES = (
    PlannedDevice(1, 11, "controller, bay 1", USUAL, "P, 8 levers", "box 1"),
    PlannedDevice(2, 14, "controller, bay 2", USUAL),
    PlannedDevice(3, 31, "fan, bay 1", FAST),
)


class Bench:
    """A presenter with everything it talks to."""

    def __init__(self, *items: StreamItem) -> None:
        self.commands = SentCommands()
        self.to_choose: ChosenList | None = None
        self.saved: list[tuple[str, list[list[str]]]] = []
        self.switched: list[PlannedDevice] = []
        self.page = PlanPresenter(self.commands, PlanFiles(lambda: self.to_choose, self._save), self._show_switches)
        self.take(*items)

    def _save(self, name: str, rows: Sequence[Sequence[str]]) -> str:
        self.saved.append((name, [list(row) for row in rows]))
        return f"Saved as {name}."

    def _show_switches(self, device: PlannedDevice) -> None:
        self.switched.append(device)

    def take(self, *items: StreamItem) -> None:
        """Hand the presenter a piece of the stream."""
        for item in items:
            self.page.take(item)

    def chosen(self, text: str, source: str = "plan.csv") -> None:
        """Let the user choose a file with this text."""
        self.to_choose = ChosenList(source, rows_of_text(text))
        self.page.bring_in()

    @property
    def now(self) -> list[str]:
        """The last column."""
        return [row[-1].words for row in self.page.state.rows]


def planned(*devices: PlannedDevice) -> Bench:
    """A bench on copper whose list is kept."""
    bench = Bench(*copper_opened(), *kept(PlanKept(devices, 0.0)))
    assert bench.commands.sent == []
    return bench


def test_an_empty_page_says_that_nothing_is_planned() -> None:
    bench = Bench()

    assert bench.page.state.is_empty
    assert bench.page.state.sentence == "Nothing is planned yet."
    assert bench.page.note.words == ""


def test_the_list_of_the_line_is_shown_in_cable_order() -> None:
    state = planned(*DEVICES).page.state

    assert state.title == "Planned devices: 3"
    assert [cell.words for cell in state.rows[0]] == [
        "1", "11", "controller, bay 1", "9600 8N1", "P, 8 levers", "box 1", "not asked yet",
    ]  # fmt: skip
    assert state.sentence == "3 planned, none asked yet."


def test_what_is_found_is_compared_at_once() -> None:
    bench = planned(*DEVICES)
    maker = ExchangeMaker(settings=FAST)

    bench.take(*kept(found(11), found(56), found(14, USUAL, Doubt.SECOND_ANSWER), ExchangeDone(maker.silent(31))))

    assert bench.now == ["as planned", "second answer", "silent"]
    assert bench.page.state.sentence == "3 planned: 1 as planned, 1 in doubt, 1 silent. 1 answers, not in plan."
    assert bench.page.note.words == "2 of 3"


def test_a_device_at_another_setting_is_said_with_it() -> None:
    bench = planned(*DEVICES)

    bench.take(*kept(found(31, SerialSettings.of(9600, "8N2"))))

    assert bench.now[2] == "at 9600 no parity"


def test_each_edit_is_kept() -> None:
    bench = planned(*DEVICES)

    bench.page.edit(1, PlanColumn.ADDRESS, "15")

    assert [one.server_address for one in bench.commands.of(KeepPlan)[-1].devices] == [11, 15, 31]
    assert bench.page.state.undo_words == "edit of place 2"


def test_an_edit_that_changes_nothing_is_not_sent() -> None:
    bench = planned(*DEVICES)

    bench.page.edit(1, PlanColumn.SETTING, "9600 8n1 ")

    assert bench.commands.sent == []


def test_own_edits_coming_back_do_not_undo_newer_ones() -> None:
    """The stream lags behind the fingers: the first list comes back after the second was sent."""
    bench = planned(*DEVICES)
    bench.page.edit(0, PlanColumn.NAME, "one")
    first = bench.commands.of(KeepPlan)[-1].devices
    bench.page.edit(0, PlanColumn.NAME, "two")

    bench.take(*kept(PlanKept(first, 1.0)), Done(1))

    assert bench.page.state.rows[0][2].words == "two"


def test_a_doubled_address_is_said_with_its_places() -> None:
    bench = planned(*DEVICES)

    bench.page.edit(2, PlanColumn.ADDRESS, "11")

    first = bench.page.state.checks[0]
    assert (first.sign, first.headline) == (CheckSign.CAUTION, "Address 11 stands twice")
    assert first.words == "Places 1 and 3: give each another one."
    assert [row[1].tone for row in bench.page.state.rows] == [Tone.DOUBT, Tone.INK, Tone.DOUBT]


def test_a_plan_that_holds_says_so() -> None:
    checks = planned(DEVICES[0], DEVICES[1]).page.state.checks

    assert [(one.sign, one.headline) for one in checks] == [
        (CheckSign.HOLDS, "No address twice, none outside 1 to 247"),
        (CheckSign.HOLDS, "One setting on the pair: 9600 8N1"),
    ]


def test_mixed_and_missing_settings_are_cautions() -> None:
    checks = planned(*DEVICES, PlannedDevice(4, 45, "probe")).page.state.checks

    assert [one.headline for one in checks] == [
        "1 device without a setting",
        "2 settings on one pair",
        "No address twice, none outside 1 to 247",
    ]


def test_more_devices_than_the_standard_always_allows_are_a_caution() -> None:
    """Serial Line V1.02, 3.4.1: 32 devices without repeater are always allowed, more depends on unit loads."""
    devices = tuple(PlannedDevice(place, place, f"d{place}", USUAL) for place in range(1, 34))

    checks = planned(*devices).page.state.checks

    assert checks[0].headline == "33 devices on one pair"


def test_a_row_without_an_address_is_kept_on_the_page_and_said() -> None:
    bench = planned(*DEVICES)
    bench.page.choose(0)
    bench.page.insert()
    bench.page.edit(1, PlanColumn.NAME, "new probe")

    state = bench.page.state

    assert [one.place for one in bench.commands.of(KeepPlan)[-1].devices] == [1, 3, 4]
    assert state.rows[1][6].words == "no address"
    assert state.checks[0].headline == "1 row without an address"
    assert state.sentence == "4 planned: 3 not asked yet, 1 without an address."


def test_pasting_puts_rows_behind_the_chosen_one_and_says_what_was_odd() -> None:
    bench = planned(*DEVICES)

    bench.page.paste("Addr\tName\tSpeed\tFraming\n45\tsoil probe\t4.800\t8N1\n300\tmeter\t9600\t8E1\n")

    assert [row[1].words for row in bench.page.state.rows] == ["11", "45", "300", "14", "31"]
    assert bench.page.state.troubles == ("pasted:3: address 300 cannot be: devices have 1 to 247",)
    assert bench.page.state.undo_words == "paste of 2 rows"


def test_pasting_what_is_no_list_changes_nothing_and_says_why() -> None:
    bench = planned(*DEVICES)

    bench.page.paste("Dear colleague, see you on Monday")

    assert len(bench.page.state.rows) == 3
    assert bench.page.state.troubles == (
        "pasted:1: no column is headed address, only 'Dear colleague', 'see you on Monday': head one of them address; "
        "no row was taken",
    )


def test_a_file_is_shown_before_anything_is_taken() -> None:
    bench = planned(*DEVICES)

    bench.chosen('address,name,setting\n11,"controller, bay 1",9600 8N1\n14,pump,9600 8N1\n60,meter,9600 8N1\n')
    preview = bench.page.state.preview

    assert preview is not None
    assert preview.title == "plan.csv: 3 devices"
    assert preview.sentence == "Nothing is taken yet. 1 planned device of now would go."
    assert [row[-1].words for row in preview.rows] == ["changed", "changed", "new"]
    assert bench.commands.sent == []


def test_taking_the_shown_list_replaces_and_can_be_undone() -> None:
    bench = planned(*DEVICES)
    bench.chosen("address,name\n60,meter\n")

    bench.page.main_action()

    assert [row[1].words for row in bench.page.state.rows] == ["60"]
    bench.page.undo()
    assert [row[1].words for row in bench.page.state.rows] == ["11", "14", "31"]
    assert [len(one.devices) for one in bench.commands.of(KeepPlan)] == [1, 3]


def test_leaving_the_shown_list_takes_nothing() -> None:
    bench = planned(*DEVICES)
    bench.chosen("address,name\n60,meter\n")

    bench.page.leave_brought_in()

    assert bench.page.state.preview is None
    assert len(bench.page.state.rows) == 3


def test_adding_the_shown_list_puts_it_at_the_end() -> None:
    bench = planned(*DEVICES)
    bench.page.choose(0)
    bench.chosen("address,name\n60,meter\n")

    bench.page.add_brought_in()

    assert [row[1].words for row in bench.page.state.rows] == ["11", "14", "31", "60"]


def test_a_file_that_cannot_be_read_is_one_sentence() -> None:
    bench = planned(*DEVICES)
    bench.to_choose = ChosenList("plan.xlsx", (), "plan.xlsx is damaged or no spreadsheet: save it again as .csv")

    bench.page.bring_in()

    assert bench.page.state.troubles == ("plan.xlsx is damaged or no spreadsheet: save it again as .csv",)
    assert bench.page.state.preview is None


def test_without_a_port_the_list_stays_and_is_kept_when_one_opens() -> None:
    bench = Bench()
    bench.page.insert()
    bench.page.edit(0, PlanColumn.ADDRESS, "14")
    bench.take(Refused(1, "no port is open: open one first"), Refused(2, "no port is open: open one first"))
    band = bench.page.state.band
    assert band is not None
    assert band.headline == "This list is not in a record yet"

    bench.take(*copper_opened())

    assert bench.commands.of(KeepPlan)[-1].devices == (PlannedDevice(1, 14, "device 14"),)


def test_the_list_of_a_demo_line_is_not_carried_to_copper_and_back() -> None:
    bench = Bench(*copper_opened(), *kept(PlanKept(DEVICES, 0.0)))
    bench.take(*demo_opened(), *kept(PlanKept((PlannedDevice(1, 60, "meter"),), 0.0)))
    assert [row[1].words for row in bench.page.state.rows] == ["60"]

    bench.take(*copper_opened())

    assert [row[1].words for row in bench.page.state.rows] == ["11", "14", "31"]
    assert bench.commands.of(KeepPlan)[-1].devices == DEVICES


def test_checking_the_plan_asks_what_is_planned_and_no_more() -> None:
    bench = planned(*DEVICES)

    bench.page.main_action()

    plan = bench.commands.of(StartSearch)[-1].plan
    assert plan.addresses == (11, 14, 31)
    assert [str(one) for one in plan.settings] == ["9600 8N2", "19200 8E1"]
    assert plan.planned == {11, 14, 31}


def test_while_a_job_runs_the_plan_is_not_checked_and_the_reason_is_said() -> None:
    bench = planned(*DEVICES)
    bench.take(*kept(JobStarted(1, "ping", 1.0)))

    bench.page.main_action()

    assert bench.commands.sent == []
    assert bench.page.state.main_refused == "a job is running (ping): stop it first with Esc"


def test_what_answers_unplanned_can_be_taken_into_the_plan() -> None:
    bench = planned(*DEVICES)
    bench.take(*kept(found(56), found(1, SerialSettings.of(4800, "8N2"))))
    strangers = bench.page.state.strangers
    assert strangers is not None
    assert strangers.headline == "2 answer, not in plan"

    bench.page.take_strangers()

    assert [row[1].words for row in bench.page.state.rows] == ["11", "14", "31", "1", "56"]
    assert bench.page.state.rows[3][3].words == "4800 8N1"
    assert bench.now[3:] == ["as planned", "as planned"]


def test_one_place_is_told_in_detail() -> None:
    bench = planned(*DEVICES)
    maker = ExchangeMaker(now_s=10.0)
    bench.page.choose(1)
    bench.take(*kept(ExchangeDone(maker.made(14, NoReply(0.3)))))

    place = bench.page.state.place

    assert place is not None
    assert (place.title, place.name, place.address, place.answers) == ("Place 2", "controller, bay 2", "14", "silent")
    assert ("Asked without an answer", "1 time") in [(one.caption, one.value) for one in place.facts]
    assert ("Last asked", "09:41:10") in [(one.caption, one.value) for one in place.facts]


def test_export_writes_what_is_shown() -> None:
    bench = planned(*DEVICES)

    bench.page.export()

    name, rows = bench.saved[0]
    assert name == "planned-list.csv"
    assert rows[0] == ["place", "address", "device", "setting", "board", "where", "now"]
    assert rows[3] == ["3", "31", "fan, bay 1", "19200 8E1", "", "", "not asked yet"]
    assert bench.page.state.told == "Saved as planned-list.csv."


def test_what_was_exported_can_be_brought_in_again() -> None:
    bench = planned(*DEVICES)
    bench.page.export()
    text = "\n".join("\t".join(row) for row in bench.saved[0][1])

    bench.chosen(text)
    bench.page.take_brought_in()

    assert bench.page.state.rows[2][3].words == "19200 8E1"
    assert bench.page.state.troubles == ("plan.csv:1: column 'now' was not taken: a planned list has no such column",)


def test_three_hundred_rows_are_shown_and_nothing_is_lost() -> None:
    bench = planned()

    bench.page.paste("address\tname\n" + "".join(f"{i % 247 + 1}\tdevice {i}\n" for i in range(300)))

    assert len(bench.page.state.rows) == 300
    assert len(bench.commands.of(KeepPlan)[-1].devices) == 300
    assert "300 devices, but one pair has 247 addresses" in bench.page.state.troubles[0]


def test_many_doubled_addresses_are_told_together() -> None:
    devices = tuple(PlannedDevice(place, (place - 1) % 5 + 1, f"d{place}", USUAL) for place in range(1, 11))

    checks = planned(*devices).page.state.checks

    assert [one.headline for one in checks[:3]] == [
        "Address 1 stands twice",
        "Address 2 stands twice",
        "3 more addresses stand more than once",
    ]
    assert checks[2].words == "3 to 5: give each another one."
