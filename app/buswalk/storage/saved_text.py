"""Writes text or bytes into a file that is not there yet: an export never takes the place of another file."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from buswalk.domain.visit.recorder import RecordProblem


def save_lines(path: Path, lines: Iterable[str]) -> None:
    """Write lines, each with its line end; what was written before a failure stays.

    Raises:
        RecordProblem: The file is there already, or cannot be written.
    """
    _write(path, lambda: _write_lines(path, lines))


def save_bytes(path: Path, data: bytes) -> None:
    """Write bytes.

    Raises:
        RecordProblem: The file is there already, or cannot be written.
    """
    _write(path, lambda: _write_bytes(path, data))


def _write_lines(path: Path, lines: Iterable[str]) -> None:
    with path.open("x", encoding="utf-8", newline="\n") as file:
        file.writelines(f"{line}\n" for line in lines)


def _write_bytes(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)


def _write(path: Path, write: Callable[[], None]) -> None:
    try:
        write()
    except FileExistsError as reason:
        raise RecordProblem(f"{path} is there already: choose another name, or delete it first") from reason
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        raise RecordProblem(f"{path} cannot be written ({why}): choose another place, or make room there") from reason
