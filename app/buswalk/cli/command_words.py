"""The words that start the command line: known without importing what the commands need."""

from __future__ import annotations

COMMAND_WORDS = (
    "ports",
    "ask",
    "read",
    "watch",
    "find",
    "listen",
    "quiet",
    "learn",
    "sunspec",
    "record",
    "faults",
    "switches",
    "profile",
    "write",
    "put-back",
    "readdress",
)
HELP_WORDS = ("-h", "--help", "--version")


def is_for_command_line(arguments: list[str]) -> bool:
    """Tell whether a command word or a question for help is given; options alone belong to the window."""
    if any(one in COMMAND_WORDS or one in HELP_WORDS for one in arguments):
        return True
    return bool(arguments) and not arguments[0].startswith("-")
