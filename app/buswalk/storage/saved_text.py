"""Writes text into a file that is not there yet: an export never takes the place of another file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from buswalk.domain.visit.recorder import RecordProblem


def save_lines(path: Path, lines: Iterable[str]) -> None:
    """Write lines, each with its line end; what was written before a failure stays.

    Raises:
        RecordProblem: The file is there already, or cannot be written.
    """
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.writelines(f"{line}\n" for line in lines)
    except FileExistsError as reason:
        raise RecordProblem(f"{path} is there already: choose another name, or delete it first") from reason
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        raise RecordProblem(f"{path} cannot be written ({why}): choose another place, or make room there") from reason
