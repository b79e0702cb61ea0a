"""The words that start the command line, kept apart from the commands: both lists are the same."""

from __future__ import annotations

import pytest

from buswalk.cli.command_line import COMMANDS
from buswalk.cli.command_words import COMMAND_WORDS, is_for_command_line


def test_every_command_has_its_word() -> None:
    assert tuple(row.word for row in COMMANDS) == COMMAND_WORDS


@pytest.mark.parametrize(
    ("arguments", "is_command"),
    [
        ([], False),
        (["--port", "COM7"], False),
        (["find", "--port", "COM7"], True),
        (["--json", "find"], True),
        (["--help"], True),
        (["fnid"], True),
    ],
)
def test_options_alone_belong_to_the_window(arguments: list[str], *, is_command: bool) -> None:
    assert is_for_command_line(arguments) is is_command
