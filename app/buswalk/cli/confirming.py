"""What commands that change something have in common: the reason, listening first, and confirming by name.

What is confirmed is the value itself, typed: a key that is pressed out of habit confirms nothing.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.timer_telling import TimerTelling
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.search.events import Verdict
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.listening import listen_with

LISTEN_S = 10.0
NOTHING = "nothing was written"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a person must have typed: the value, and a word or two for each thing that is confirmed apart."""

    value: str
    apart: tuple[str, ...] = ()


def add_confirming_options(parser: argparse.ArgumentParser, what: str) -> None:
    """Add the reason, what confirms, and listening first; `what` is typed to confirm."""
    group = parser.add_argument_group("before anything is written")
    group.add_argument("--reason", required=True, help="why, in a few words; it is kept in the record")
    group.add_argument(
        "--confirm",
        metavar="WORDS",
        help=f"{what}, once more; not given: it is asked for at the terminal, and without one nothing is written",
    )
    group.add_argument(
        "--confirm-apart",
        metavar="WORDS",
        action="append",
        default=[],
        help="a second confirmation, in the words that the refusal names; may be repeated",
    )
    group.add_argument("--alone", action="store_true", help="nobody else asks on this line: do not listen first")
    group.add_argument(
        "--live-line",
        action="store_true",
        help="go on though another client is alive: its exchanges may be spoilt, and it may write over what you wrote",
    )


def require_living_allowed(asker: Asker, arguments: argparse.Namespace, output: Output, timers: TimerTelling) -> None:
    """Listen first, and end where somebody else is alive on the line.

    Raises:
        Failed: Somebody is, and that was not allowed.
    """
    if arguments.alone:
        return
    output.text(f"listening for {LISTEN_S:.0f} s first (--alone skips it)")
    for event in listen_with(asker, LISTEN_S):
        if not isinstance(event, ListeningEnded) or event.verdict is Verdict.SILENT:
            continue
        timers.say_before_asking()
        if not arguments.live_line:
            raise Failed(
                "nothing was written: something else is sending on this line, and may write over it or be disturbed; "
                "--live-line goes on all the same",
                ExitStatus.NOT_FOUND,
            )


def require_confirmed(wanted: Wanted, arguments: argparse.Namespace, parts: Parts) -> None:
    """Have everything typed that confirms, in options or at the terminal.

    Raises:
        WrongUse: Something is missing or differs; nothing was written.
    """
    missing = [one for one in wanted.apart if one not in arguments.confirm_apart]
    if arguments.confirm is not None:
        _require_same(wanted.value, arguments.confirm)
        if missing:
            raise WrongUse(f"{NOTHING}: this needs a second confirmation, {_options('--confirm-apart', missing)}")
    elif not parts.person.is_there:
        options = f"{_options('--confirm', [wanted.value])} {_options('--confirm-apart', missing)}".rstrip()
        raise WrongUse(f"{NOTHING}: nobody is at the terminal to confirm; write {options}")
    else:
        for words in (*missing, wanted.value):
            typed = parts.person.answer(f"type '{words}' to go on, anything else leaves all as it is: ")
            _require_same(words, typed.strip())


def _require_same(wanted: str, typed: str) -> None:
    if typed != wanted:
        raise WrongUse(f"{NOTHING}: '{typed}' was typed to confirm, and it would be '{wanted}'")


def _options(option: str, words: list[str]) -> str:
    return " ".join(f"{option} '{one}'" for one in words)
