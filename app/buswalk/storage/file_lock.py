"""A lock on a file that ends with the process, whatever becomes of it: one writer a record."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import IO

ENDING = ".lock"


class Locked(Exception):
    """Another program holds the lock."""


class FileLock:
    """The lock beside one file; its own small file, as the system would drop locks on a file that SQLite has open."""

    def __init__(self, path: Path) -> None:
        self._path = path.with_name(path.name + ENDING)
        self._file: IO[bytes] | None = None

    def take(self) -> None:
        """Take it.

        Raises:
            Locked: Another program, or another part of this one, holds it.
            OSError: Its file cannot be made.
        """
        while self._file is None:
            file = self._path.open("a+b")
            try:
                _lock(file)
            except OSError as reason:
                file.close()
                raise Locked(str(self._path)) from reason
            if _is_still_at(file, self._path):
                self._file = file
            else:
                file.close()

    def give_back(self) -> None:
        """Give it back; twice does nothing."""
        if self._file is None:
            return
        file, self._file = self._file, None
        with suppress(OSError):
            # Windows deletes no open file: there it stays, empty.
            self._path.unlink(missing_ok=True)
        file.close()


def is_locked(path: Path) -> bool:
    """Tell whether somebody holds the lock beside a file; True too where that cannot be found out."""
    if not path.with_name(path.name + ENDING).exists():
        return False
    lock = FileLock(path)
    try:
        lock.take()
    except (Locked, OSError):
        return True
    lock.give_back()
    return False


def _is_still_at(file: IO[bytes], path: Path) -> bool:
    """Tell whether the locked file is not one that its owner has just deleted."""
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except OSError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _lock(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(file: IO[bytes]) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
