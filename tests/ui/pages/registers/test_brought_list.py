"""A point list brought in: what it is taken for is said, changed, taken as a list of its own, taken back, exported.

Expected addresses by the data model (Application V1.1b3, 4.4: register 1 is sent as 0); that 40001 is holding
register 0 as sent is a custom, not the standard.
"""

from __future__ import annotations

from buswalk.domain.registers.tables import Table
from buswalk.domain.site.list_text import rows_of_text
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.pages.registers.registers_state import BroughtState
from buswalk.ui.tones import Tone
from tests.fakes.registers_stage import CONTROLLER, read, told
from tests.ui.pages.registers.registers_bench import Page

PLAIN = "address,name,type,access\n40001,Supply fan,uint16,RW\n40003,Flow,float32,R\n"
UNSURE = "address,name,unit,colour\n1,Supply fan,%,red\n3,Flow,l/s,blue\n"
ODD = (
    "address,name,type,access,page\n"
    "1,Supply fan,uint16,RW,7\n3,Flow,float32,R,7\n3,Flow again,float32,R,8\n,No place,uint16,R,8\n"
    "x7,Torn,uint16,R,9\n70000,Beyond,uint16,R,9\n12,Odd,sort of,R,9\n1 200,Grouped,uint16,R,9\n"
)


def brought(text: str, page: Page | None = None) -> Page:
    """Bring in a list."""
    page = page or Page(told())
    page.parts.to_choose = ChosenList("Maker list.csv", rows_of_text(text))
    page.presenter.bench.bring_in()
    return page


def panel(page: Page) -> BroughtState:
    state = page.presenter.state.brought
    assert state is not None
    return state


def correct(page: Page, column: int, meaning: str) -> None:
    """Say what a column is, as its choice words it now."""
    lists = page.presenter.bench.lists
    page.presenter.bench.correct_list(lists.choose_column)(column)
    words = panel(page).meanings.words
    at = next(i for i, one in enumerate(words) if one == meaning or one.startswith(f"{meaning} (now"))
    page.presenter.bench.correct_list(lists.choose_meaning)(at)


def shown_names(page: Page) -> list[str]:
    rows, groups = page.presenter.state.points.rows, page.presenter.state.points.groups
    return [row[0].words for i, row in enumerate(rows) if i not in groups]


def test_what_a_list_was_taken_for_is_said() -> None:
    shown = panel(brought(PLAIN))

    assert shown.title == "Maker list.csv: 2 points"
    assert [[cell.words for cell in row] for row in shown.columns] == [
        ["A", "address", "40001, 40003", "address"],
        ["B", "name", "Supply fan, Flow", "name"],
        ["C", "type", "uint16, float32", "type"],
        ["D", "access", "RW, R", "access"],
    ]
    assert shown.heads.words[shown.heads.chosen] == "row 1: address, name, type, access"
    assert shown.notations.words[shown.notations.chosen] == "reference numbers, 40001 style"
    assert shown.why_notation == "Addresses: the list says so: 2 of 2 are reference numbers."
    assert shown.doubts == ()
    assert (shown.troubles, shown.troubles_tone) == (("Every row could be read.",), Tone.INK2)
    assert shown.points == "2 points; the first, Supply fan, is holding register 0 as sent."
    assert shown.caution.startswith("1 point can be written by this list. Compare some readings")


def test_what_a_list_does_not_prove_is_a_doubt() -> None:
    shown = panel(brought(UNSURE))

    assert shown.columns[3][3].words == "not taken"
    assert shown.why_tone is Tone.DOUBT
    assert shown.why_notation == "Addresses: not certain: it begins at 1, and 0 is not in it."
    assert shown.doubts == (
        "Doubt: no column names the table: holding registers are taken.",
        "Doubt: no column names the type: 16 bits without sign are taken where one register is named.",
    )


def test_another_notation_and_table_read_the_list_anew() -> None:
    """1 counted from 1 is sent as 0; as sent it is 1."""
    page = brought(UNSURE)
    assert panel(page).points.endswith("is holding register 0 as sent.")

    bench = page.presenter.bench
    bench.correct_list(bench.lists.choose_notation)(0)
    bench.correct_list(bench.lists.choose_table)(1)

    shown = panel(page)
    assert shown.points == "2 points; the first, Supply fan, is input register 1 as sent."
    assert shown.why_notation.startswith("Addresses as you chose; the list speaks for counted from 1: ")
    assert shown.doubts[0] == "Doubt: no column names the table: input registers are taken."


def test_the_first_troubles_are_said_with_their_rows_and_the_rest_counted() -> None:
    shown = panel(brought(ODD))

    assert shown.troubles[0] == "5 rows of Maker list.csv left out, 1 remark on the others."
    assert shown.troubles[1].startswith("Row 4: 3 stands in row 3 already")
    assert shown.troubles[2] == "Row 5: no address: left out"
    assert shown.troubles_tone is Tone.DOUBT
    assert shown.troubles[-1] == "And 2 more."


def test_points_are_taken_as_a_list_of_their_own_and_taken_back() -> None:
    page = Page(told())
    page.presenter.shift(2)
    before = shown_names(page)

    brought(PLAIN, page).presenter.bench.take_list()
    assert page.presenter.state.shift == 1
    assert page.presenter.state.brought is None
    assert shown_names(page) == ["Supply fan", "Flow"]
    assert page.row("Flow")[4].words.startswith("2")
    assert page.presenter.state.describe.told.startswith("2 points of Maker list.csv taken. It is not kept yet")
    profiles = page.presenter.state.profiles
    assert profiles.words[profiles.chosen] == "Maker list, not kept yet"
    assert page.presenter.list.library.named("controller-p") == CONTROLLER
    page.presenter.bench.undo()

    assert shown_names(page) == before
    assert page.presenter.state.shift == 2
    assert page.commands.sent == []


def test_a_list_taken_for_raw_addresses_is_taken_back_to_them() -> None:
    page = Page(told())
    page.presenter.choose_profile(2)

    brought(PLAIN, page).presenter.bench.take_list()
    assert not page.presenter.list.is_raw
    page.presenter.bench.undo()

    assert page.presenter.list.is_raw


def test_values_read_under_the_list_before_are_gone() -> None:
    """Names can be the same in both lists, and mean other registers."""
    page = Page(read())
    assert page.presenter.board.story(11, "supply_air") is not None

    brought(PLAIN, page).presenter.bench.take_list()

    assert page.presenter.board.story(11, "supply_air") is None


def test_a_taken_list_is_kept_as_an_own_profile() -> None:
    page = brought(PLAIN)
    page.presenter.bench.take_list()
    assert page.presenter.state.describe.own_name == "own-maker-list"

    page.presenter.bench.keep("own-maker-list")

    (saved,) = page.parts.saved
    assert [(one.table, one.register_address) for one in saved.points] == [
        (Table.HOLDING_REGISTERS, 0),
        (Table.HOLDING_REGISTERS, 2),
    ]


def test_a_taken_list_stays_while_profiles_are_read_anew_and_a_second_gets_a_name_of_its_own() -> None:
    page = brought(PLAIN)
    page.presenter.bench.take_list()

    page.presenter.read_library()
    brought(UNSURE, page).presenter.bench.take_list()

    names = {one.name for one in page.presenter.list.library.profiles}
    assert {"own-maker-list", "own-maker-list-2"} <= names


def test_a_list_that_is_left_changes_nothing() -> None:
    page = Page(told())
    before = shown_names(page)
    page.presenter.show_face(2)
    brought(PLAIN, page)
    assert page.presenter.has_question

    assert page.presenter.leave_question()

    assert (page.presenter.state.brought, shown_names(page)) == (None, before)
    assert page.presenter.state.describe.undo == ""


def test_a_column_is_taken_for_something_else_and_all_that_follows_is_renewed() -> None:
    """41 as sent is register 41; the list calls its factor 'k', which no guess knows."""
    page = brought("Nr;Was;k;Kanal\n40;Vorlauf;0,1;a\n41;Pumpe;1;b\n")
    shown = panel(page)
    assert shown.refusal == "no row of the list gives a point"
    assert shown.doubts[0].startswith("Doubt: no row of headings was found: choose the row that has them")
    assert shown.heads.words == (
        "row 1: Nr, Was, k, Kanal",
        "row 2: 40, Vorlauf, 0,1, a",
        "row 3: 41, Pumpe, 1, b",
        "none: every row is a point",
    )

    correct(page, 0, "address")
    correct(page, 1, "name")
    correct(page, 2, "scale")

    shown = panel(page)
    assert [[cell.words for cell in row] for row in shown.preview] == [
        ["Vorlauf", "holding register 40", "unsigned 16 × 0.1", "R"],
        ["Pumpe", "holding register 41", "unsigned 16", "R"],
    ]
    assert shown.why_notation.startswith("Addresses: not certain: it begins at 40")
    assert shown.refusal == ""


def test_a_thing_stands_in_one_column_only_and_can_be_given_back() -> None:
    page = brought("address hex,name,address\n0x10,Room,99\n")
    assert panel(page).columns[2][3].words == "not taken: address is A"
    assert panel(page).points.endswith("Room, is holding register 16 as sent.")

    page.presenter.bench.correct_list(page.presenter.bench.lists.choose_column)(2)
    assert "address (now A)" in panel(page).meanings.words
    correct(page, 2, "address")

    assert panel(page).columns[0][3].words == "not taken: address is C"
    assert panel(page).points.endswith("Room, is holding register 99 as sent.")
    correct(page, 2, "not taken")
    assert panel(page).doubts == ("Doubt: no column is taken for the address: say which one it is.",)
    assert panel(page).troubles == ("Maker list.csv: no column is taken for the address: say which one it is",)


def test_another_row_or_none_has_the_headings() -> None:
    page = brought("address,name,type\naddress,name,access\n7,Fan,RW\n")
    lists = page.presenter.bench.lists
    assert panel(page).troubles[1].startswith("Row 2: address 'address' cannot be read")

    page.presenter.bench.correct_list(lists.choose_heading)(1)
    assert [one.words for one in lists.points] == ["Fan"]
    assert panel(page).preview[0][3].words == "RW"
    page.presenter.bench.correct_list(lists.choose_heading)(3)

    assert [row[1].words for row in panel(page).columns] == ["A", "B", "C"]
    assert panel(page).refusal


def test_another_sheet_is_read_and_its_cells_are_named() -> None:
    """A cell by the name that every spreadsheet gives it."""
    page = Page(told())
    rows = {"cover": "Unit,7\nRevision,B\n", "map": "address,type\n40001,uint16\nx7,uint16\n"}
    for name, text in rows.items():
        listed = ChosenList("unit.xlsx", rows_of_text(text), "", "/there/unit.xlsx", tuple(rows), name)
        page.parts.sheets[name] = listed
    page.parts.to_choose = page.parts.sheets["cover"]
    page.presenter.bench.bring_in()
    assert panel(page).sheets.words == ("cover", "map")

    page.presenter.bench.choose_sheet(1)

    assert panel(page).title == "unit.xlsx, sheet map: 1 point"
    assert panel(page).troubles[1].startswith("Cell map!A3: address 'x7' cannot be read")
    page.parts.sheets["cover"] = ChosenList("unit.xlsx", problem="unit.xlsx is damaged inside")
    page.presenter.bench.choose_sheet(0)
    assert panel(page).title.startswith("unit.xlsx, sheet map")
    assert page.presenter.state.describe.told == "Not read: unit.xlsx is damaged inside."


def test_what_is_no_list_is_said_and_opens_nothing() -> None:
    page = brought("Dear all\nhere is the map\n")
    assert page.presenter.state.brought is None
    assert page.presenter.state.describe.told.startswith("Not brought in: Maker list.csv: a point list has rows and")

    page.parts.to_choose = ChosenList("x.xlsx", problem="x.xlsx is damaged")
    page.presenter.bench.bring_in()

    assert page.presenter.state.describe.told == "Not brought in: x.xlsx is damaged."


def test_a_list_without_a_point_cannot_be_taken() -> None:
    page = brought("address,name\nx7,Torn\n")
    before = shown_names(page)
    assert panel(page).refusal == "no row of the list gives a point"

    page.presenter.bench.take_list()

    assert shown_names(page) == before


def test_the_shown_points_are_exported_in_the_notation_shown() -> None:
    """Holding register 102 as sent is 103 counted from 1, and 40103."""
    page = Page(told())
    page.presenter.bench.export()
    page.presenter.bench.choose_export_notation(1)

    page.presenter.bench.export()

    (name, reference), (_, from_one) = page.parts.exported
    assert name == "controller-p.csv"
    assert [row[1] for row in reference if row[0] == "CO2 of 21, mirrored"] == ["40103"]
    assert [row[1] for row in from_one if row[0] == "CO2 of 21, mirrored"] == ["103"]
    said = page.presenter.state.describe.told
    assert said == "Export of 7 points, counted from 1: saved as controller-p.csv."
