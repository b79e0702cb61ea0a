"""What a command's exit status means; the same for all commands."""

from __future__ import annotations

from enum import IntEnum


class ExitStatus(IntEnum):
    """Exit statuses."""

    DONE = 0
    """Found, passed or answered; an exception reply is an answer."""
    NOT_FOUND = 1
    """Looked and not found, silent, failed, or a living line that may not be probed."""
    WRONG_USE = 2
    NO_LINE = 3
    CANNOT_RECORD = 4
    INTERRUPTED = 130
