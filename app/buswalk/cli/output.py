"""Writes what commands say, as text or as one JSON object a line."""

from __future__ import annotations

import errno
import json
from typing import TextIO

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import OutputLost
from buswalk.domain.event_json import SCHEMA, event_json

READER_GONE = (errno.EPIPE, errno.EINVAL)
"""Whoever read our output has ended. Windows says invalid argument (from memory, not tried there)."""


PROGRESS_COLUMNS = 79


def clear_progress(err: TextIO) -> None:
    """Clear what stands on the last line of a terminal, so that a sentence begins there."""
    if err.isatty():
        err.write(f"\r{' ' * PROGRESS_COLUMNS}\r")
        err.flush()


class Output:
    """One command's output."""

    def __init__(self, out: TextIO, *, is_json: bool) -> None:
        self._out = out
        self._is_json = is_json

    @property
    def is_json(self) -> bool:
        """Whether machines read it."""
        return self._is_json

    def started(self, command: str, port: str) -> None:
        """Say once what runs and in which schema."""
        if self._is_json:
            self._line({"event": "started", "schema": SCHEMA, "command": command, "port": port})

    def event(self, event: object) -> None:
        """Write an event for machines; nothing for people."""
        if self._is_json:
            self._line(event_json(event))

    def text(self, *lines: str) -> None:
        """Write lines for people; nothing for machines."""
        if not self._is_json and lines:
            self._write("".join(_as_encoded(line, self._out) + "\n" for line in lines))

    def failed(self, sentence: str, exit_status: int) -> None:
        """Say to machines why it ended; people read it on the error stream."""
        if self._is_json:
            self._line({"event": "failed", "sentence": sentence, "exit_status": exit_status})

    def _line(self, values: object) -> None:
        self._write(json.dumps(values) + "\n")

    def _write(self, text: str) -> None:
        try:
            self._out.write(text)
            self._out.flush()
        except OSError as reason:
            if reason.errno in READER_GONE:
                raise BrokenPipeError from reason
            raise OutputLost(
                f"what was found cannot be written: {(reason.strerror or 'refused by the system').lower()}; "
                "make room there or write to another place",
                ExitStatus.CANNOT_RECORD,
            ) from reason


def _as_encoded(line: str, out: TextIO) -> str:
    """Return the line with signs that the terminal lacks put in plain ones."""
    encoding = getattr(out, "encoding", None) or "utf-8"
    try:
        line.encode(encoding)
    except UnicodeEncodeError:
        return line.replace("−", "-").encode(encoding, errors="replace").decode(encoding)
    return line
