"""Whole lists: headings of the trade, doubled addresses, wrong columns, 300 rows, pasted text. One sentence each."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.list_text import SourceRow, rows_of_text
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.site.planned_list import (
    DraftDevice,
    ReadList,
    TroubleKind,
    devices_of,
    draft_of,
    read_draft,
    read_list,
    tidy,
)

QUICK = settings(deadline=None, max_examples=100)


def read(text: str) -> ReadList:
    """Read a text as a file of that name."""
    return read_list("plan.csv", rows_of_text(text))


def words(result: ReadList) -> list[str]:
    """Return the sentences as shown."""
    return [str(one) for one in result.troubles]


def test_a_list_as_the_trade_writes_it_is_taken_whole() -> None:
    result = read(
        "Place;Modbus address;Device;Baud rate;Parity;Stop bits;Location\n"
        "1;11;controller, bay 1;9600;none;1;box 1\n"
        "2;31;fan, bay 1;19200;even;1;box 2\n"
    )

    assert words(result) == []
    assert devices_of(result.drafts) == (
        PlannedDevice(1, 11, "controller, bay 1", SerialSettings.of(9600, "8N1"), "", "box 1"),
        PlannedDevice(2, 31, "fan, bay 1", SerialSettings.of(19200, "8E1"), "", "box 2"),
    )


def test_rows_come_into_the_order_of_the_cable() -> None:
    result = read("place,address,name\n3,23,c\n1,11,a\n2,21,b\n")

    assert [draft.address for draft in result.drafts] == ["11", "21", "23"]


def test_decimal_commas_of_a_spreadsheet_change_nothing() -> None:
    result = read("Pos;Addr;Name;Speed;Framing\n1,0;14,0;controller;9.600,0;8N1\n2,5;15,0;probe;4800,0;8N1\n")

    assert words(result) == []
    assert [draft.address for draft in result.drafts] == ["14", "15"]
    assert [draft.setting for draft in result.drafts] == ["9600 8N1", "4800 8N1"]


def test_a_doubled_address_is_said_with_both_rows_and_both_are_kept() -> None:
    result = read("address,name\n14,controller\n15,probe\n14,air\n")

    assert words(result) == [
        "plan.csv:4: address 14 stands in row 2 (controller) already: give one of the two another address"
    ]
    assert [draft.name for draft in result.drafts] == ["controller", "probe", "air"]


def test_a_row_that_cannot_be_used_is_kept_as_written() -> None:
    result = read("address,name,setting\n300,air,9600 8N1\nbay,probe,9600\n12,meter,4800 8N1\n")

    assert words(result) == [
        "plan.csv:2: address 300 cannot be: devices have 1 to 247",
        "plan.csv:3: address 'bay' is no number: write one, 1 to 247",
        "plan.csv:3: setting '9600' has no framing: write such as 9600 8N1 or 9600 8E1",
    ]
    assert result.drafts[0] == DraftDevice("300", "air", "9600 8N1")
    assert result.drafts[1] == DraftDevice("bay", "probe", "9600")
    assert [one.server_address for one in devices_of(result.drafts)] == [12]


def test_a_list_without_an_address_column_says_what_to_do_and_takes_nothing() -> None:
    result = read("Tag,Room,IP address\nx,1,10.0.0.1\n")

    assert words(result) == [
        "plan.csv:1: no column is headed address, only 'Tag', 'Room', 'IP address': head one of them address; "
        "no row was taken"
    ]
    assert result.drafts == ()


def test_columns_that_mean_nothing_are_named() -> None:
    result = read("address,name,Price,Addr.\n11,air,12.50,3\n")

    assert words(result) == [
        "plan.csv:1: column 'Price' was not taken: a planned list has no such column",
        "plan.csv:1: column 'Addr.' was not taken: the one left of it holds the same",
    ]


def test_a_row_with_more_cells_than_the_heading_is_said() -> None:
    result = read("address,name,where\n11,air,bay 1, south, box 2\n")

    assert words(result) == [
        "plan.csv:2: has 5 cells, the heading 3: put text that holds a separator in quotes",
    ]
    assert len(result.drafts) == 1


def test_a_title_above_the_heading_is_passed_over() -> None:
    result = read("Planned list of bay 2\n\nAddress;Device\n14;controller\n")

    assert words(result) == ["plan.csv:1: what stands above the heading in row 3 was not taken"]
    assert result.drafts == (DraftDevice("14", "controller", "takes any"),)


def test_rows_pasted_without_a_heading_are_read_in_our_order() -> None:
    result = read("7\t14\tcontroller\t9600 8N1\tP, 8 levers\tbox 4\n8\t23\tair\t9600 8N1\t2 hex dials\tbox 5")

    assert words(result) == [
        "plan.csv:1: no heading: columns were taken as place, address, device, setting, board, where"
    ]
    assert result.drafts[0] == DraftDevice("14", "controller", "9600 8N1", "P, 8 levers", "box 4")


def test_a_place_in_words_is_where_it_hangs() -> None:
    result = read("place,address,name\nbay 2 south,14,controller\n")

    assert result.drafts == (DraftDevice("14", "controller", "takes any", "", "bay 2 south"),)


def test_a_place_taken_twice_is_said() -> None:
    result = read("place,address\n1,11\n1,12\n")

    assert words(result) == ["plan.csv:3: place 1 stands in row 2 too: this one was put behind it"]


def test_three_hundred_rows_are_kept_and_said_to_be_too_many_for_one_pair() -> None:
    text = "address,name\n" + "".join(f"{i % 247 + 1},device {i}\n" for i in range(300))

    result = read(text)

    assert len(result.drafts) == 300
    assert len(devices_of(result.drafts)) == 300
    assert words(result)[0] == ("plan.csv: 300 devices, but one pair has 247 addresses: some belong on another")
    assert len(result.troubles) == 1 + 53


def test_a_list_beyond_reason_is_cut_and_said() -> None:
    text = "address,name\n" + "11,x\n" * 2500

    result = read(text)

    assert len(result.drafts) == 1999
    assert "plan.csv:2001: only 2000 rows are taken: cut the list" in words(result)


def test_a_framing_spoilt_by_a_spreadsheet_is_mended_and_said() -> None:
    result = read("address;speed;framing\n31;19200;8,00E+01\n")

    assert words(result) == [
        "plan.csv:2: framing '8,00E+01' was read as 8E1: spreadsheets turn that into a number",
    ]
    assert result.drafts[0].setting == "19200 8E1"


def test_an_empty_list_says_so() -> None:
    result = read("\n  \n;;;\n")

    assert words(result) == ["plan.csv: nothing is written in it: no row was taken"]


def test_line_numbers_are_those_of_the_file() -> None:
    """A quoted cell may hold a line break; an editor still counts lines."""
    result = read('address,name\n\n11,"air\nbay 1"\n400,probe\n')

    assert words(result) == ["plan.csv:5: address 400 cannot be: devices have 1 to 247"]
    assert result.drafts[0].name == "air bay 1"


def test_a_byte_order_mark_and_a_told_separator_do_not_hide_the_heading() -> None:
    rows = rows_of_text("\ufeffsep=|\r\naddress|name\r\n11|air; bay 1, south\r\n")

    assert rows == (SourceRow(2, ("address", "name")), SourceRow(3, ("11", "air; bay 1, south")))


def test_a_quote_that_never_ends_loses_no_row() -> None:
    rows = rows_of_text('address,name\n11,"air\n12,probe\n')

    assert sum("12" in cell for row in rows for cell in row.cells) == 1


def test_a_device_without_a_name_is_called_by_its_address() -> None:
    read_one = read_draft(DraftDevice("14"), 1)

    assert read_one.device == PlannedDevice(1, 14, "device 14")


SAFE = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=12)
SETTINGS = st.none() | st.builds(
    SerialSettings.of, st.sampled_from([4800, 9600, 19200]), st.sampled_from(["8N1", "8N2", "8E1", "8O1"])
)


@given(st.lists(st.tuples(st.integers(1, 247), SAFE, SETTINGS, SAFE), min_size=1, max_size=12))
@QUICK
def test_a_plan_written_as_a_table_is_read_back_the_same(
    rows: list[tuple[int, str, SerialSettings | None, str]],
) -> None:
    devices = tuple(
        PlannedDevice(place, address, name, chosen, "", where)
        for place, (address, name, chosen, where) in enumerate(rows, start=1)
    )
    table = [SourceRow(1, ("place", "address", "device", "setting", "board", "where"))]
    for device in devices:
        draft = draft_of(device)
        cells = (str(device.place), draft.address, draft.name, draft.setting, draft.board, draft.where)
        table.append(SourceRow(device.place + 1, cells))

    result = read_list("plan.csv", table)

    assert devices_of(result.drafts) == devices


@given(st.lists(st.lists(st.text(max_size=8), max_size=8), max_size=30))
@QUICK
def test_any_rows_are_kept_or_said(rows: list[list[str]]) -> None:
    """Nothing vanishes without a word: each row is a draft, or one sentence tells what was not taken."""
    table = [SourceRow(number, tuple(cells)) for number, cells in enumerate(rows, start=1)]

    result = read_list("plan.csv", table)

    filled = [row for row in table if not row.is_empty]
    assert len(result.drafts) == len(filled) or result.troubles


@given(st.text(max_size=200))
@QUICK
def test_any_text_makes_rows(text: str) -> None:
    rows = rows_of_text(text)

    assert all(not row.is_empty for row in rows)


@given(SAFE, SAFE, SAFE)
@QUICK
def test_tidying_twice_changes_nothing_more(address: str, name: str, setting: str) -> None:
    once = tidy(DraftDevice(address, name, setting))

    assert tidy(once) == once


def test_kinds_tell_what_became_of_a_row() -> None:
    result = read("address,name,Price\n300,a,1\n12,b,2\n")

    assert [one.kind for one in result.troubles] == [TroubleKind.NOTED, TroubleKind.OPEN]


def test_a_column_headed_type_tells_which_profile_describes_the_device() -> None:
    """By it the loss timer of a device is known before the line is asked."""
    rows = rows_of_text("address;device;profile\n31;fan, bay 1;fan-drive\n41;weather station;\n")

    read = read_list("plan.csv", rows)

    assert [one.device_type for one in devices_of(read.drafts)] == ["fan-drive", ""]
    assert [draft_of(one).device_type for one in devices_of(read.drafts)] == ["fan-drive", ""]
    assert read.troubles == ()
