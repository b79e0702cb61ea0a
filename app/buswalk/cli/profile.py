"""`profile`: list and show register profiles, check files of one's own, print the schema of the format."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.options import add_json_option
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.profile_events import ProfileChecked
from buswalk.cli.profile_lists import add_export_options, add_import_options, run_export, run_import
from buswalk.cli.profile_words import listed, point_listed, profile_facts, profile_lines

WORDS = "list, show and check register profiles: what a device type holds"


@dataclass(frozen=True, slots=True)
class _Act:
    words: str
    add_options: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace, Parts], ExitStatus]


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add what can be done with profiles, each with its options."""
    acts = parser.add_subparsers(dest="act", required=True, metavar="{" + ",".join(_ACTS) + "}")
    for word, act in _ACTS.items():
        act.add_options(acts.add_parser(word, help=act.words, description=act.words, allow_abbrev=False))


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Do it."""
    return _ACTS[arguments.act].run(arguments, parts)


def _list(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    output = Output(parts.out, is_json=arguments.json)
    library = parts.profiles.read()
    parts.err.write("".join(f"{problem}\n" for problem in library.problems))
    output.started("profile list", "")
    for one in library.profiles:
        output.event(listed(one, library))
    output.text(*profile_lines(library))
    return ExitStatus.DONE


def _show(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    output = Output(parts.out, is_json=arguments.json)
    profile = parts.profiles.named(arguments.name)
    output.started("profile show", "")
    output.event(listed(profile, parts.profiles.read()))
    for point in profile.points:
        output.event(point_listed(profile, point))
    output.text(*profile_facts(profile))
    return ExitStatus.DONE


def _check(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Say everything that is wrong in each file; done if nothing is."""
    output = Output(parts.out, is_json=arguments.json)
    output.started("profile check", "")
    checked = [_checked(parts, file) for file in arguments.files]
    for one in checked:
        output.event(one)
        output.text(*(one.problems or (f"{one.file}: nothing is wrong, {_points(one.points)}",)))
    return ExitStatus.NOT_FOUND if any(one.problems for one in checked) else ExitStatus.DONE


def _checked(parts: Parts, file: str) -> ProfileChecked:
    try:
        return ProfileChecked(file, len(parts.profiles.check(Path(file)).points), ())
    except WrongUse as reason:
        return ProfileChecked(file, 0, reason.sentences)


def _points(count: int) -> str:
    return "1 point" if count == 1 else f"{count} points"


def _schema(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    del arguments
    Output(parts.out, is_json=False).text(parts.profiles.schema_text())
    return ExitStatus.DONE


def _add_name(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", metavar="NAME", help="a profile, or a file that ends in .toml")
    add_json_option(parser)


def _add_files(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", metavar="FILE", nargs="+", help="files that end in .toml")
    add_json_option(parser)


def _add_nothing(parser: argparse.ArgumentParser) -> None:
    """The schema is JSON as it stands."""


_ACTS = {
    "list": _Act("list the profiles that are known", add_json_option, _list),
    "show": _Act("show what a device type holds, each register in every notation", _add_name, _show),
    "import": _Act("make a profile of a point list, as a spreadsheet or as text", add_import_options, run_import),
    "export": _Act("write a profile as a point list", add_export_options, run_export),
    "check": _Act("say everything that is wrong in files of one's own, with file and line", _add_files, _check),
    "schema": _Act("print the JSON schema of the file format", _add_nothing, _schema),
}
