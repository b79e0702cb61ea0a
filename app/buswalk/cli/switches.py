"""`switches`: from an address to levers and dials and back, what went wrong when they were set, labels to print."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import ChoiceOption, WholeOption
from buswalk.cli.options import add_json_option, addresses_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.switch_events import BoardListed, Mistake, NotPossible, Setting, SheetWritten
from buswalk.cli.switch_words import board_facts, board_lines, explained_lines, setting_lines, shown_of
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.board import Board, ControlKind, Pattern, pattern_text
from buswalk.domain.switches.explaining import Explained, Explanation, explain
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import labels_of
from buswalk.domain.switches.library import BoardLibrary, NoSuchBoard
from buswalk.domain.switches.mistake_words import headlines, why_words
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.notations import notations_of
from buswalk.domain.switches.reading import ReadsAddress, decoded, read_pattern
from buswalk.domain.switches.setting import SettingTable, moves
from buswalk.domain.switches.typed import NotUnderstood, TypedNumber, read_typed_address, read_typed_pattern
from buswalk.domain.switches.wording import decoded_words, not_possible_words, reading_words

WORDS = "set address switches, read them, explain a wrong address, print labels"
TURNS = tuple(str(one.value) for one in Turn)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    parser.add_argument("--board", default="", metavar="NAME", help="a board description; without it all are listed")
    parser.add_argument("--address", default="", metavar="N", help="show how it is set: 37, 0x25 or 0b100101")
    parser.add_argument(
        "--pattern", default="", metavar="P", help="say its address: 101001, 'on off on ...', 0x25, or a digit a dial"
    )
    parser.add_argument("--now", default="", metavar="P", help="how it is set now: says what to move")
    parser.add_argument("--intended", default="", metavar="N", help="where the device was to answer, with --found")
    parser.add_argument(
        "--found", default="", metavar="N", help="where it answers instead: says which mistakes lead there"
    )
    parser.add_argument("--previous", default="", metavar="N", help="where it answered before it was set, if known")
    parser.add_argument("--all", action="store_true", help="show every pair of mistakes that explains it")
    parser.add_argument("--base", type=WholeOption("--base", 0, 255), help="what the device stores and adds, if known")
    parser.add_argument(
        "--turn",
        type=ChoiceOption("--turn", TURNS),
        default="0",
        metavar="{" + ",".join(TURNS) + "}",
        help="how the board hangs, in degrees clockwise",
    )
    sheet = parser.add_argument_group("labels to print and cut")
    sheet.add_argument(
        "--sheet", default="", metavar="FILE.pdf", help="write labels; for --addresses, --address or --plan"
    )
    sheet.add_argument("--addresses", default="", metavar="LIST", help="such as 11,14,21-24, all on --board")
    sheet.add_argument(
        "--plan", default="", metavar="FILE", help="a planned list (.csv, .xlsx); --board for devices that name none"
    )
    add_json_option(parser)


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Do what the options ask for; done if an address, a pattern, an explanation or labels came of it."""
    output = Output(parts.out, is_json=arguments.json)
    library = parts.boards.read()
    parts.err.write("".join(f"{problem}\n" for problem in library.problems))
    board = _board(library, arguments) if arguments.board else None
    _check_together(arguments, board)
    output.started("switches", "")
    if arguments.sheet:
        return _sheet(arguments, parts, library, board, output)
    if board is None:
        return _list(library, output)
    table = SettingTable(board)
    turn = Turn(int(arguments.turn))
    if arguments.intended:
        return _explain(arguments, Ground(table, library.boards, _number(arguments, "previous")), output)
    present = _pattern(board, "--now", arguments.now, board.rest) if arguments.now else None
    if arguments.pattern:
        return _read(table, _pattern(board, "--pattern", arguments.pattern, present or board.rest), turn, output)
    if arguments.address:
        return _set(table, _address(arguments, "address"), present, turn, output)
    output.event(_listed(board, library))
    output.text(*board_facts(board, table, turn))
    return ExitStatus.DONE


def _list(library: BoardLibrary, output: Output) -> ExitStatus:
    for board in library.boards:
        output.event(_listed(board, library))
    output.text(*board_lines(library))
    return ExitStatus.DONE


def _set(table: SettingTable, address: int, present: Pattern | None, turn: Turn, output: Output) -> ExitStatus:
    board = table.board
    pattern = table.pattern(address, present or board.rest)
    if pattern is None:
        sentence = not_possible_words(table, address)
        output.event(NotPossible(board.name, sentence, tuple(map(str, table.nearest(address)))))
        output.text(sentence)
        return ExitStatus.NOT_FOUND
    output.event(_setting(board, address, pattern, present))
    output.text(*setting_lines(board, pattern, present, turn))
    return ExitStatus.DONE


def _read(table: SettingTable, pattern: Pattern, turn: Turn, output: Output) -> ExitStatus:
    board, reading = table.board, read_pattern(table.board, pattern)
    if isinstance(reading, ReadsAddress):
        output.event(_setting(board, reading.server_address, pattern, None))
        output.text(*setting_lines(board, pattern, None, turn))
        return ExitStatus.DONE
    nearest = table.nearest_pattern(pattern)
    near = () if nearest is None else (pattern_text(nearest),)
    output.event(NotPossible(board.name, reading_words(reading), near))
    output.text(*setting_lines(board, pattern, None, turn), reading_words(reading))
    output.text(*(f"nearest pattern with an address: {one}" for one in near))
    return ExitStatus.NOT_FOUND


def _explain(arguments: argparse.Namespace, ground: Ground, output: Output) -> ExitStatus:
    intended, found = _address(arguments, "intended"), _address(arguments, "found")
    if intended == found:
        raise WrongUse(f"--intended and --found are both {found}: there is nothing to explain")
    explained = explain(ground, intended, found)
    if explained.intended_pattern is None:
        sentence = not_possible_words(ground.table, intended)
        output.event(NotPossible(ground.board.name, sentence, tuple(map(str, ground.table.nearest(intended)))))
        output.text(sentence)
        return ExitStatus.NOT_FOUND
    for one, share in zip(explained.explanations, explained.shares, strict=True):
        output.event(_mistake(ground.board, explained, one, share))
    shown = shown_of(explained, is_all=arguments.all)
    output.text(*explained_lines(ground, explained, Turn(int(arguments.turn)), shown))
    return ExitStatus.DONE if explained.explanations else ExitStatus.NOT_FOUND


def _sheet(
    arguments: argparse.Namespace, parts: Parts, library: BoardLibrary, board: Board | None, output: Output
) -> ExitStatus:
    devices = _devices(arguments, parts)
    labels = labels_of(devices, library, board)
    path = Path(arguments.sheet)
    pages = parts.boards.write_sheet(path, labels, Turn(int(arguments.turn)))
    output.event(SheetWritten(str(path), len(labels), pages))
    output.text(
        f"{len(labels)} {'label' if len(labels) == 1 else 'labels'} on {pages} "
        f"{'page' if pages == 1 else 'pages'}: {path}"
    )
    output.text(*(f"{one.server_address} {one.name}: {one.remark}" for one in labels if one.remark))
    return ExitStatus.DONE


def _devices(arguments: argparse.Namespace, parts: Parts) -> tuple[PlannedDevice, ...]:
    if arguments.plan:
        plan = parts.boards.read_plan(Path(arguments.plan))
        parts.err.write("".join(f"{trouble}\n" for trouble in plan.troubles))
        if not plan.devices:
            raise Failed(f"{arguments.plan} names no device with an address", ExitStatus.NOT_FOUND)
        return plan.devices
    listed = addresses_of("--addresses", arguments.addresses) if arguments.addresses else ()
    addresses = listed or (_address(arguments, "address"),)
    return tuple(PlannedDevice(place, one, f"device {one}") for place, one in enumerate(addresses, start=1))


def _board(library: BoardLibrary, arguments: argparse.Namespace) -> Board:
    try:
        board = library.named(arguments.board)
    except NoSuchBoard as reason:
        raise WrongUse(reason.sentence) from reason
    if arguments.base is None:
        return board
    if board.stored_base is None:
        raise WrongUse(f"--base: {board.name} adds no stored base")
    return replace(board, stored_base=arguments.base)


def _check_together(arguments: argparse.Namespace, board: Board | None) -> None:
    asked = [name for name in ("address", "pattern", "intended") if getattr(arguments, name)]
    if bool(arguments.intended) != bool(arguments.found):
        raise WrongUse("--intended and --found go together: where it was to answer, and where it does")
    if len(asked) > 1:
        raise WrongUse(f"--{asked[0]} and --{asked[1]} are two questions: ask one at a time")
    if arguments.sheet:
        if not (arguments.plan or ((arguments.addresses or arguments.address) and board is not None)):
            raise WrongUse("--sheet needs --plan FILE, or --board NAME with --addresses LIST")
    elif arguments.plan or arguments.addresses:
        raise WrongUse("--plan and --addresses are for labels: add --sheet FILE.pdf")
    elif (asked or arguments.now or arguments.previous or arguments.base is not None) and board is None:
        raise WrongUse("say which board it is: --board NAME ('switches' alone lists them)")


def _address(arguments: argparse.Namespace, name: str) -> int:
    text = getattr(arguments, name)
    try:
        number = read_typed_address(text)
    except NotUnderstood as reason:
        raise WrongUse(f"--{name} {reason.sentence}") from reason
    if number not in SERVER_ADDRESSES:
        raise WrongUse(f"--{name} {number} cannot be: servers have 1 to 247")
    return number


def _number(arguments: argparse.Namespace, name: str) -> int | None:
    return _address(arguments, name) if getattr(arguments, name) else None


def _pattern(board: Board, option: str, text: str, present: Pattern) -> Pattern:
    try:
        typed = read_typed_pattern(board, text, present)
    except NotUnderstood as reason:
        raise WrongUse(f"{option} {reason.sentence}") from reason
    if not isinstance(typed, TypedNumber):
        return typed.pattern
    table = SettingTable(board)
    pattern = table.pattern(typed.number, present)
    if pattern is None:
        raise WrongUse(f"{option} {not_possible_words(table, typed.number)}")
    return pattern


def _listed(board: Board, library: BoardLibrary) -> BoardListed:
    possible = SettingTable(board).possible or (0,)
    labels = tuple(one.label for one in board.controls)
    return BoardListed(board.name, board.title, labels, possible[0], possible[-1], board.name in library.own)


def _setting(board: Board, address: int, pattern: Pattern, present: Pattern | None) -> Setting:
    written = notations_of(address)
    on = tuple(
        one.label
        for one, position in zip(board.controls, pattern, strict=True)
        if one.kind is ControlKind.LEVER and position
    )
    to_move = () if present is None else tuple(board.controls[one.index].label for one in moves(present, pattern))
    others = tuple(decoded_words(one) for one in decoded(board, pattern))
    return Setting(board.name, address, pattern_text(pattern), written.hexadecimal, written.binary, on, to_move, others)


def _mistake(board: Board, explained: Explained, one: Explanation, share: float) -> Mistake:
    return Mistake(
        kind=" + ".join(mistake.kind.value for mistake in one.mistakes),
        share=share,
        is_tied=one in explained.best,
        is_open=one.is_open,
        pattern=pattern_text(one.set_pattern),
        should_be="" if one.should_be is None else pattern_text(one.should_be),
        answers_at=explained.found,
        headline=headlines(board, one),
        words=why_words(board, one, explained),
    )
