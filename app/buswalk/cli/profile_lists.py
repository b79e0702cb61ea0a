"""`profile import` and `profile export`: point lists of makers and planners to profiles, and back.

What a list means as a whole is guessed, said with its reasons, and can be told instead.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import ChoiceOption, WholeOption
from buswalk.cli.options import add_json_option
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.profile_events import ListImported
from buswalk.cli.reply_words import count_words
from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.point_list.columns import PointColumn
from buswalk.domain.registers.point_list.list_rows import ListRows
from buswalk.domain.registers.point_list.mapping import (
    GUESSED_ROW,
    GuessedMapping,
    NoPointList,
    ToldMapping,
    told_mapping,
)
from buswalk.domain.registers.point_list.reading import ReadPoints, read_points
from buswalk.domain.registers.point_list.writing import rows_of_points
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.tables import Table

NOTATIONS = {
    "from-0": ListNotation.AS_SENT,
    "from-1": ListNotation.FROM_ONE,
    "reference": ListNotation.REFERENCE,
}
NOT_TAKEN = "nothing"
LAST_ROW = 1_000_000
NOTATION_HELP = "from-0 as sent, from-1 as the data model counts, or reference for 40001 style"


def add_import_options(parser: argparse.ArgumentParser) -> None:
    """Add the options of `profile import`."""
    parser.add_argument("file", metavar="FILE", help="a point list: .xlsx, .csv, .tsv or .txt")
    parser.add_argument("--name", help="keep it under this name; without it the list is read and shown only")
    parser.add_argument("--title", default="", help="what people call the type; the name of the file if not given")
    notation = ChoiceOption("--notation", tuple(NOTATIONS))
    parser.add_argument("--notation", type=notation, help=f"{NOTATION_HELP}; guessed if not given")
    table = ChoiceOption("--table", tuple(one.value for one in Table))
    parser.add_argument("--table", type=table, help="of rows that name none; holding_registers if not given")
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="THING=HEADING",
        help=f"what a column holds: {', '.join(one.value for one in PointColumn)}, or '{NOT_TAKEN}'; may be given "
        "several times",
    )
    parser.add_argument(
        "--head-line",
        metavar="ROW",
        type=WholeOption("--head-line", 0, LAST_ROW),
        default=GUESSED_ROW,
        help="row with the headings, as an editor counts it; 0: there is none, and columns are called A, B, C",
    )
    parser.add_argument("--sheet", default="", metavar="NAME", help="of a workbook; the first with a point list else")
    add_json_option(parser)


def add_export_options(parser: argparse.ArgumentParser) -> None:
    """Add the options of `profile export`."""
    parser.add_argument("profile", metavar="NAME", help="a profile, or a file that ends in .toml")
    parser.add_argument("file", metavar="FILE", help="a new file: .xlsx or .csv")
    notation = ChoiceOption("--notation", tuple(NOTATIONS))
    parser.add_argument("--notation", type=notation, default="reference", help=f"{NOTATION_HELP} (if not given)")
    add_json_option(parser)


def run_import(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Read a list; done if it gives points and no row was left out."""
    output = Output(parts.out, is_json=arguments.json)
    path = Path(arguments.file)
    listed = parts.profiles.read_list(path, arguments.sheet)
    guessed = _mapped(listed, arguments)
    read = read_points(path.name, listed.rows, guessed.mapping, listed.sheet)
    kept = ""
    if arguments.name and read.points:
        profile = RegisterProfile(arguments.name, arguments.title or path.stem, read.points)
        kept = parts.profiles.keep(profile)
    output.started("profile import", "")
    output.event(_event(path, listed, guessed, read, kept))
    output.text(*_sheet_lines(listed), *_lines(guessed, read, kept))
    left_out = any(one.is_left_out for one in read.troubles)
    return ExitStatus.DONE if read.points and not left_out else ExitStatus.NOT_FOUND


def run_export(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Write a profile as a list."""
    output = Output(parts.out, is_json=arguments.json)
    profile = parts.profiles.named(arguments.profile)
    parts.profiles.write_list(Path(arguments.file), rows_of_points(profile.points, NOTATIONS[arguments.notation]))
    output.started("profile export", "")
    output.text(f"{count_words(len(profile.points), 'point')} of {profile.name} written to {arguments.file}")
    return ExitStatus.DONE


def _mapped(listed: ListRows, arguments: argparse.Namespace) -> GuessedMapping:
    """Return what the list means with what the user says instead of what is guessed.

    Raises:
        WrongUse: It is no point list, or a column is named that is not there.
    """
    told = ToldMapping(
        arguments.head_line,
        notations=(NOTATIONS[arguments.notation],) if arguments.notation else (),
        table=Table(arguments.table) if arguments.table else Table.HOLDING_REGISTERS,
    )
    try:
        guessed = told_mapping(listed.rows, told)
        columns = tuple(_told_column(one, guessed.headings) for one in arguments.column)
        return told_mapping(listed.rows, replace(told, columns=columns)) if columns else guessed
    except NoPointList as reason:
        of_sheet = f"sheet '{listed.sheet}', " if listed.sheet else ""
        hint = "; --head-line and --column say what they are" if arguments.head_line == GUESSED_ROW else ""
        raise WrongUse(f"{listed.source}: {of_sheet}{reason}{hint}") from reason


def _told_column(said: str, headings: tuple[str, ...]) -> tuple[int, PointColumn | None]:
    thing, _, heading = said.partition("=")
    known: list[PointColumn | None] = [one for one in PointColumn if one.value == thing.strip()]
    known += [None] if thing.strip() == NOT_TAKEN else []
    at = [place for place, text in enumerate(headings) if text.strip() == heading.strip()]
    if not known or not at:
        what = "heading" if known else "thing"
        raise WrongUse(
            f"--column '{said}' names no {what} of this list: write THING=HEADING, with a heading of "
            f"{', '.join(text for text in headings if text)}"
        )
    return at[0], known[0]


def _sheet_lines(listed: ListRows) -> list[str]:
    others = [one for one in listed.sheets if one != listed.sheet]
    return [f"sheet: {listed.sheet}; not taken: {', '.join(others)}"] if others else []


def _lines(guessed: GuessedMapping, read: ReadPoints, kept: str) -> list[str]:
    mapping = guessed.mapping
    by_place = sorted(mapping.columns.items(), key=lambda one: one[1])
    headings = ", ".join(f"{column.value} = {guessed.headings[at]!r}" for column, at in by_place)
    lines = [f"columns: {headings}", f"addresses: {mapping.notation.value}"]
    if guessed.not_taken:
        lines.append(f"not taken: {', '.join(guessed.not_taken)}")
    lines += [f"doubt: {one}" for one in guessed.doubts]
    lines += [str(one) for one in read.troubles]
    lines.append(count_words(len(read.points), "point"))
    lines.append(f"kept as {kept}" if kept else "nothing kept: --name keeps it as a profile of yours")
    return lines


def _event(path: Path, listed: ListRows, guessed: GuessedMapping, read: ReadPoints, kept: str) -> ListImported:
    mapping = guessed.mapping
    return ListImported(
        file=str(path),
        sheet=listed.sheet,
        head_line=mapping.heading_row,
        notation=mapping.notation.name.lower(),
        columns=tuple(f"{column.value}={guessed.headings[at]}" for column, at in mapping.columns.items()),
        not_taken=guessed.not_taken,
        doubts=guessed.doubts,
        troubles=tuple(str(one) for one in read.troubles),
        points=len(read.points),
        kept=kept,
    )
