"""Register profiles from files: every error with its line, the shipped ones, writing back, the user's own first."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from buswalk.domain.registers.loss_timer import IsOff, LossTimer, NoTimerDescribed, NotTold, RunsFor
from buswalk.domain.registers.notations import Notation
from buswalk.domain.registers.point import Access, Between, BitField, NamedValue, WriteType
from buswalk.domain.registers.profile import AnswersWith, Block, HoldsWords
from buswalk.domain.registers.profile_library import NoSuchProfile
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder
from buswalk.shipped_files import profile_folder
from buswalk.storage.profile_files import ProfileProblem, parse_profile, read_profile, read_profile_library
from buswalk.storage.profile_model import PointTable, ProfileFile, ReadingTable
from buswalk.storage.profile_writing import CannotKeepProfile, profile_text, save_profile

WHERE = Path("hall.toml")
SHIPPED = sorted(profile_folder().glob("*.toml"))
TEN_ERRORS = """\
title = "hall sensor"
adresses = "register_number"
addresses = "reference_number_5"

[reading]
largest_quantity = 126
blocks = [{ table = "holding_registers", first = "40001", last = "40050" }]

[[point]]
name = "Hall"
table = "holding_registers"
at = 40001

[[point]]
name = "level"
table = "holding_registers"
at = 30002

[[point]]
name = "energy"
table = "holding_registers"
at = 40003
type = "uint33"

[[point]]
name = "level_2"
table = "holding_registers"
at = 40005
range = [10, 0]

[[point]]
name = "mode"
table = "holding_registers"
at = 40007
scale = "0,1"

[[point]]
name = "pump"
table = "coils"
at = "00001"

[[point]]
name = "state"
at = 40008

[[point]]
name = "fault"
table = "holding_registers"
at = 40009
no_value = [0x10000]

[[point]]
name = "flow"
table = "holding_registers"
at = 40060

[[point]]
name = "flow"
table = "holding_registers"
at = 40010
"""


def problems_of(text: str) -> list[str]:
    with pytest.raises(ProfileProblem) as told:
        parse_profile(text, WHERE)
    return list(told.value.problems)


def point_text(*lines: str) -> str:
    head = (
        'title = "one"\naddresses = "register_address"\n[[point]]\nname = "one"\ntable = "holding_registers"\nat = 0\n'
    )
    return head + "\n".join(lines)


def test_every_error_of_a_file_is_said_at_once_with_its_line() -> None:
    """Eleven things wrong in one file; each sentence says where, what and what to do."""
    assert problems_of(TEN_ERRORS) == [
        "hall.toml:2: 'adresses' is not known here: did you mean 'addresses'?",
        "hall.toml:6: 'reading.largest_quantity' cannot be 126: it is at most 125",
        "hall.toml:10: 'point.1.name' cannot be 'Hall': write small letters, digits and _, a letter first",
        "hall.toml:17: 30002 names the input registers, the table stated is holding registers: one of both is wrong",
        "hall.toml:23: 'point.3.type' cannot be 'uint33': did you mean 'uint32'?",
        "hall.toml:29: a range goes upward, not from 10 to 0",
        "hall.toml:35: 'point.5.scale' cannot be '0,1': write a number, such as 0.1",
        "hall.toml:37: coils hold bits: write type = 'bit'",
        "hall.toml:42: 'point.7.table' is missing: write it",
        "hall.toml:50: 0x10000 in 'no_value' is wider than the 16 bits of the type",
        "hall.toml:58: 'flow' is the name of line 53 too: change one",
    ]


def test_a_point_outside_of_the_blocks_is_said() -> None:
    text = point_text('[reading]\nblocks = [{ table = "holding_registers", first = 1, last = 9 }]')

    assert problems_of(text) == ["hall.toml:6: one stands in none of the blocks that may be read"]


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (['type = "text"'], "hall.toml:7: a text needs 'registers'"),
        (['type = "float32"', "registers = 3"], "hall.toml:7: type float32 takes 2 registers, not 3"),
        (["scale = 0"], "hall.toml:3: one: a scale of 0 leaves nothing"),
        (["range = [1]"], "hall.toml:7: 'range' has two numbers"),
        (['values = { on = "on" }'], "hall.toml:7: 'on' is no raw value"),
        (['bits = [{ name = "far", first_bit = 16 }]'], "hall.toml:7: bits 'far' end beyond the 16 bits"),
        (["clears_on_read = 1"], "hall.toml:7: 'point.1.clears_on_read' cannot be 1: write true or false"),
        (["unit = 3"], "hall.toml:7: 'point.1.unit' cannot be 3: write a text in quotes"),
        (["decimals = 1.5"], "hall.toml:7: 'point.1.decimals' cannot be 1.5: write a whole number"),
        (['access = "none"'], "hall.toml:7: 'point.1.access' cannot be 'none': write 'read', 'read_write' or 'write'"),
        (["unit = "], "hall.toml:7: "),
    ],
)
def test_single_errors(lines: list[str], says: str) -> None:
    told = problems_of(point_text(*lines))

    assert len(told) == 1
    assert told[0].startswith(says)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (['reaction = "stops"'], "hall.toml:8: a loss timer needs 'seconds' as delivered"),
        (["seconds = 10"], "hall.toml:8: 'loss_timer.reaction' is missing: write it"),
        (['reaction = " "', "seconds = 10"], "hall.toml:8: a loss timer needs a reaction"),
        (['reaction = "stops"', "seconds = -1"], "hall.toml:10: 'loss_timer.seconds' cannot be -1: it is at least 0"),
        (['reaction = "stops"', "seconds = true"], "hall.toml:10: 'loss_timer.seconds' cannot be True: write a number"),
        (
            ['reaction = "stops"', "secs = 10"],
            "hall.toml:10: 'loss_timer.secs' is not known here: did you mean 'seconds'?",
        ),
        (['reaction = "stops"', 'point = "two"'], "hall.toml:10: no point of this file is called 'two'"),
        (['reaction = "stops"', 'point = "one"'], "hall.toml:10: one cannot hold a loss timer: its unit is 'K'"),
    ],
)
def test_single_errors_of_a_loss_timer(lines: list[str], says: str) -> None:
    told = problems_of(point_text('unit = "K"', "[loss_timer]", *lines))

    assert len(told) == 1
    assert told[0].startswith(says)


@pytest.mark.parametrize(
    ("lines", "timer"),
    [
        (["seconds = 10"], LossTimer("stops", RunsFor(10.0))),
        (["seconds = 0"], LossTimer("stops", IsOff())),
        (["seconds = 2.5", 'point = "one"'], LossTimer("stops", RunsFor(2.5), "one")),
        (['point = "one"'], LossTimer("stops", NotTold(), "one")),
    ],
)
def test_a_loss_timer_is_read_and_written_back(lines: list[str], timer: LossTimer) -> None:
    profile = parse_profile(point_text('unit = "s"', "[loss_timer]", 'reaction = "stops"', *lines), WHERE)

    assert profile.loss_timer == timer
    assert parse_profile(profile_text(profile), WHERE).loss_timer == timer


def test_a_timer_whose_point_tells_no_time_any_more_is_kept_without_it() -> None:
    """The point was described anew by its user; the file must still be readable."""
    text = point_text('unit = "s"', "[loss_timer]", 'reaction = "stops"', "seconds = 10", 'point = "one"')
    profile = parse_profile(text, WHERE)
    changed = replace(profile, points=(replace(profile.points[0], unit="K"),))

    assert parse_profile(profile_text(changed), WHERE).loss_timer == LossTimer("stops", RunsFor(10.0))


def test_the_demo_devices_say_what_happens_when_nobody_asks() -> None:
    """The simulated drives have this timer: simulators/scenarios/types/fan_drive.toml and pump_drive.toml."""
    timers = {one.name: one.loss_timer for one in read_profile_library([profile_folder()]).profiles}

    assert timers["fan-drive"] == LossTimer("stops with fault 81", RunsFor(10.0))
    assert timers["pump-drive"] == LossTimer("trips", RunsFor(10.0))
    assert timers["io-controller-p"] == LossTimer("lets its outputs fall back", NotTold(), "loss_time")
    assert timers["heat-meter"] == NoTimerDescribed()


def test_a_file_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(ProfileProblem, match="is not there"):
        read_profile(tmp_path / "none.toml")


def test_a_whole_file_means_what_it_says() -> None:
    """Each key of the format once, the points by hand."""
    profile = parse_profile(
        """
        title = "valve"
        notes = "by hand"
        addresses = "reference_number_6"
        [reading]
        blocks = [{ table = "holding_registers", first = "400001", last = "400010" }]
        largest_quantity = 50
        minimum_gap_s = 0.02
        [fingerprint]
        tells = ["Example"]
        holds = [{ table = "input_registers", at = "300100", words = [1, 2] }]
        [[point]]
        name = "position"
        words = "position"
        table = "holding_registers"
        at = 400003
        type = "float32"
        word_order = "low word first"
        byte_order = "bytes exchanged"
        scale = 0.1
        offset = -40
        unit = "%"
        range = [0, 100.5]
        decimals = 1
        no_value = [0x7FC00000]
        access = "read_write"
        write_type = "eeprom"
        caution = "moves"
        [[point]]
        name = "state"
        table = "holding_registers"
        at = "400001"
        values = { 0 = "off", 0x10 = "on", "-1" = "lost" }
        bits = [{ name = "fault", first_bit = 3, width = 2, values = { 1 = "warm" } }]
        clears_on_read = true
        """,
        WHERE,
    )

    position, state = profile.points
    assert (profile.name, profile.title, profile.notes) == ("hall", "valve", "by hand")
    assert profile.rules.blocks == (Block(Table.HOLDING_REGISTERS, 0, 9),)
    assert (profile.rules.largest_quantity, profile.rules.minimum_gap_s) == (50, 0.02)
    assert profile.fingerprint == (AnswersWith("Example"), HoldsWords(Table.INPUT_REGISTERS, 99, (1, 2)))
    assert position.register_address == 2
    assert position.value_type == ValueType(Layout.FLOAT, 32, WordOrder.LOW_FIRST, ByteOrder.EXCHANGED)
    assert (position.scale, position.offset) == (Decimal("0.1"), Decimal(-40))
    assert position.range == Between(Decimal(0), Decimal("100.5"))
    assert (position.access, position.write_type) == (Access.READ_WRITE, WriteType.EEPROM)
    assert state.named == (NamedValue(0, "off"), NamedValue(16, "on"), NamedValue(-1, "lost"))
    assert state.bit_fields == (BitField("fault", 3, 2, (NamedValue(1, "warm"),)),)
    assert state.clears_on_read


def test_coils_keep_the_zeros_in_front_of_their_reference_number() -> None:
    text = 'title = "x"\naddresses = "reference_number_5"\n[[point]]\nname = "a"\ntable = "coils"\nat = 7\ntype = "bit"'

    assert parse_profile(text, WHERE).points[0].register_address == 6


def test_hex_addresses_may_be_texts_or_toml_numbers() -> None:
    for at in ('"0x13"', '"13h"', "0x13"):
        text = point_text().replace('"register_address"', '"register_address_hex"').replace("at = 0", f"at = {at}")

        assert parse_profile(text, WHERE).points[0].register_address == 0x13


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_profiles_are_whole_and_read_back_as_they_were_written(path: Path) -> None:
    profile = read_profile(path)

    for notation in (Notation.REGISTER_ADDRESS, Notation.REGISTER_ADDRESS_HEX, Notation.REFERENCE_NUMBER_6):
        assert parse_profile(profile_text(profile, notation), path) == profile
    for point in profile.points:
        assert point.access is Access.READ or point.caution or point.write_type is not WriteType.TRIGGER


@pytest.mark.parametrize(("line", "is_whole"), [("decimals = 0\n", True), ("decimals = 1\n", False), ("", False)])
def test_no_decimals_are_meant_only_where_they_are_written(line: str, is_whole: bool) -> None:
    """A float of which a list says nothing keeps the digits that it has."""
    text = (
        'title = "p"\naddresses = "register_address"\n[[point]]\nname = "p"\ntable = "input_registers"\nat = 0\n' + line
    )

    profile = parse_profile(text, WHERE)

    assert profile.points[0].is_shown_whole is is_whole
    assert parse_profile(profile_text(profile, Notation.REGISTER_ADDRESS), WHERE) == profile


def test_the_example_of_the_document_can_be_read() -> None:
    """What the README shows is what the reader takes."""
    text = (profile_folder() / "README.md").read_text(encoding="utf-8")
    example = text.partition("```toml\n")[2].partition("```")[0]

    profile = parse_profile(example, WHERE)

    assert [one.register_address for one in profile.points] == [2, 7, 9, 10]
    for key in (*ProfileFile.model_fields, *PointTable.model_fields, *ReadingTable.model_fields):
        assert key in text


def test_enough_profiles_are_shipped() -> None:
    assert len(SHIPPED) >= 8


def test_the_users_own_file_takes_the_place_of_a_shipped_one(tmp_path: Path) -> None:
    own = tmp_path / "profiles"
    shipped = read_profile(SHIPPED[0])
    save_profile(own, shipped)
    (own / "broken.toml").write_text("title = 3\n", encoding="utf-8")

    library = read_profile_library([profile_folder()], own)

    assert library.own == {shipped.name}
    assert len(library.profiles) == len(SHIPPED)
    assert any("broken.toml:1: 'title' cannot be 3" in one for one in library.problems)
    assert library.named(shipped.title.upper()).name == shipped.name
    with pytest.raises(NoSuchProfile, match="did you mean 'heat-meter'"):
        library.named("heat-metre")


def test_a_name_that_is_no_file_is_refused(tmp_path: Path) -> None:
    profile = parse_profile(point_text(), tmp_path / "a b.toml")

    with pytest.raises(CannotKeepProfile, match="'a b' cannot be"):
        save_profile(tmp_path, profile)


def test_the_schema_names_every_key_of_the_format() -> None:
    schema = ProfileFile.model_json_schema()

    assert set(schema["properties"]) == {"title", "notes", "addresses", "reading", "fingerprint", "loss_timer", "point"}
    assert schema["$defs"]["PointTable"]["properties"]["scale"]["type"] == "number"
    assert schema["$defs"]["PointTable"]["additionalProperties"] is False
