"""`profile import` and `profile export`: point lists of makers and planners to profiles, and back.

What a list means as a whole is guessed, said with its reasons, and can be told instead.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import ChoiceOption
from buswalk.cli.options import add_json_option
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.profile_events import ListImported
from buswalk.cli.reply_words import count_words
from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.point_list.columns import PointColumn
from buswalk.domain.registers.point_list.mapping import GuessedMapping, ListMapping, NoPointList, guessed_mapping
from buswalk.domain.registers.point_list.reading import ReadPoints, read_points
from buswalk.domain.registers.point_list.writing import rows_of_points
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.domain.site.list_text import SourceRow

NOTATIONS = {
    "from-0": ListNotation.AS_SENT,
    "from-1": ListNotation.FROM_ONE,
    "reference": ListNotation.REFERENCE,
}
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
        help=f"what a column holds: {', '.join(one.value for one in PointColumn)}; may be given several times",
    )
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
    rows = parts.profiles.read_list(path)
    guessed = _guessed(path, rows)
    mapping = _told(guessed, arguments)
    read = read_points(path.name, rows, mapping)
    kept = ""
    if arguments.name and read.points:
        profile = RegisterProfile(arguments.name, arguments.title or path.stem, read.points)
        kept = parts.profiles.keep(profile)
    output.started("profile import", "")
    output.event(_event(path, guessed, mapping, read, kept))
    output.text(*_lines(guessed, mapping, read, kept))
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


def _guessed(path: Path, rows: tuple[SourceRow, ...]) -> GuessedMapping:
    try:
        return guessed_mapping(rows)
    except NoPointList as reason:
        raise WrongUse(f"{path.name}: {reason}") from reason


def _told(guessed: GuessedMapping, arguments: argparse.Namespace) -> ListMapping:
    """Return the guessed mapping with what the user says instead.

    Raises:
        WrongUse: A column is named that is not there.
    """
    mapping = guessed.mapping
    if arguments.notation:
        mapping = replace(mapping, notation=NOTATIONS[arguments.notation])
    if arguments.table:
        mapping = replace(mapping, table=Table(arguments.table))
    columns = dict(mapping.columns)
    for one in arguments.column:
        thing, _, heading = one.partition("=")
        known = [column for column in PointColumn if column.value == thing.strip()]
        at = [place for place, text in enumerate(guessed.headings) if text.strip() == heading.strip()]
        if not known or not at:
            what = "heading" if known else "thing"
            raise WrongUse(
                f"--column '{one}' names no {what} of this list: write THING=HEADING, with a heading of "
                f"{', '.join(text for text in guessed.headings if text)}"
            )
        columns = {column: place for column, place in columns.items() if place != at[0]}
        columns[known[0]] = at[0]
    return replace(mapping, columns=columns)


def _lines(guessed: GuessedMapping, mapping: ListMapping, read: ReadPoints, kept: str) -> list[str]:
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


def _event(path: Path, guessed: GuessedMapping, mapping: ListMapping, read: ReadPoints, kept: str) -> ListImported:
    return ListImported(
        file=str(path),
        notation=mapping.notation.name.lower(),
        columns=tuple(f"{column.value}={guessed.headings[at]}" for column, at in mapping.columns.items()),
        not_taken=guessed.not_taken,
        doubts=guessed.doubts,
        troubles=tuple(str(one) for one in read.troubles),
        points=len(read.points),
        kept=kept,
    )
