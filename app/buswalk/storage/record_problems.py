"""What SQLite and the file system raise, turned into one sentence: what, where, what to do."""

from __future__ import annotations

import errno
import sqlite3
from enum import Enum
from pathlib import Path
from typing import TypeAlias

from buswalk.domain.visit.recorder import RecordProblem

GOES_ON = "work goes on, but nothing more is recorded"


class Trouble(Enum):
    """What is wrong with a file, as far as one can do something about it."""

    FULL = "full"
    FORBIDDEN = "forbidden"
    DAMAGED = "damaged"
    NO_RECORD = "no_record"
    IN_USE = "in_use"
    AWAY = "away"
    NEWER = "newer"
    OTHER_KIND_OF_LINE = "other_kind_of_line"
    UNSAFE_PLACE = "unsafe_place"
    DISK_FAILS = "disk_fails"
    OTHER = "other"


class FileProblem(RecordProblem):
    """A file that cannot be used.

    Attributes:
        trouble: Why, so that who opens it can take another one.
    """

    def __init__(self, sentence: str, trouble: Trouble) -> None:
        super().__init__(sentence)
        self.trouble = trouble


_OF_CODES = {
    "SQLITE_FULL": Trouble.FULL,
    "SQLITE_READONLY": Trouble.FORBIDDEN,
    "SQLITE_PERM": Trouble.FORBIDDEN,
    "SQLITE_CANTOPEN": Trouble.FORBIDDEN,
    "SQLITE_AUTH": Trouble.FORBIDDEN,
    "SQLITE_CORRUPT": Trouble.DAMAGED,
    "SQLITE_NOTADB": Trouble.NO_RECORD,
    "SQLITE_BUSY": Trouble.IN_USE,
    "SQLITE_LOCKED": Trouble.IN_USE,
    "SQLITE_IOERR": Trouble.DISK_FAILS,
}
_OF_NUMBERS = {
    errno.ENOSPC: Trouble.FULL,
    errno.EDQUOT: Trouble.FULL,
    errno.EACCES: Trouble.FORBIDDEN,
    errno.EPERM: Trouble.FORBIDDEN,
    errno.EROFS: Trouble.FORBIDDEN,
    errno.ENOENT: Trouble.AWAY,
    errno.ENOTDIR: Trouble.AWAY,
    errno.EIO: Trouble.DISK_FAILS,
}


FileError: TypeAlias = sqlite3.Error | UnicodeDecodeError | OSError
SQLITE_ERRORS = (sqlite3.Error, UnicodeDecodeError)
"""What SQLite raises; the second where the names of tables are damaged, as it cannot even say so (measured)."""


def trouble_of(error: FileError) -> Trouble:
    """Return what an error of SQLite or of the system means for a file."""
    if isinstance(error, UnicodeDecodeError):
        return Trouble.DAMAGED
    if isinstance(error, OSError):
        return _OF_NUMBERS.get(error.errno or 0, Trouble.OTHER)
    name = getattr(error, "sqlite_errorname", "")
    return next((trouble for code, trouble in _OF_CODES.items() if name.startswith(code)), Trouble.OTHER)


def cannot_write(path: Path, error: FileError) -> FileProblem:
    """Return why a record cannot be written (any more)."""
    trouble = trouble_of(error)
    match trouble:
        case Trouble.FULL:
            sentence = f"the disk that holds {path} is full: {GOES_ON}; make room, then open the port again"
        case Trouble.FORBIDDEN:
            sentence = (
                f"{path} cannot be written: {GOES_ON}; get the right to write there, or choose another folder with "
                "--data-folder"
            )
        case Trouble.DAMAGED:
            sentence = f"{path} is damaged: {GOES_ON}; copy it to a safe place, then open the port again"
        case Trouble.IN_USE:
            sentence = f"{path} is held by another program: {GOES_ON}; close it there, then open the port again"
        case Trouble.AWAY:
            sentence = f"{path} is gone, moved or deleted: {GOES_ON}; open the port again to begin a new file"
        case Trouble.DISK_FAILS:
            sentence = (
                f"the disk that holds {path} fails ({error}): {GOES_ON}; see that it is still plugged in, or choose "
                "another folder with --data-folder"
            )
        case Trouble.NO_RECORD:
            sentence = not_a_record(path).sentence
        case _:
            sentence = f"{path} cannot be written ({error}): {GOES_ON}; choose another folder with --data-folder"
    return FileProblem(sentence, trouble)


def cannot_record_in(path: Path, problem: FileProblem) -> RecordProblem:
    """Return the problem of a file that the user named, for one who does not begin without it."""
    match problem.trouble:
        case Trouble.FULL:
            words = f"the disk that holds {path} is full: make room"
        case Trouble.FORBIDDEN:
            words = f"{path} cannot be written: get the right to write there"
        case Trouble.AWAY:
            words = f"the folder of {path} is not there: make it"
        case Trouble.DAMAGED:
            words = f"{path} is damaged: copy it to a safe place"
        case Trouble.IN_USE:
            words = f"{path} is being written by another window or command: end that one first"
        case Trouble.NO_RECORD:
            words = f"{path} is no record of buswalk and is left as it is: check the name"
        case Trouble.NEWER:
            words = f"{path} was written by a newer version of this program: update it"
        case Trouble.UNSAFE_PLACE:
            return RecordProblem(
                f"{path} is on a network, or in a folder that another program copies elsewhere, where records get "
                "damaged: name a file on a disk of this computer with --record"
            )
        case Trouble.OTHER_KIND_OF_LINE:
            words = problem.sentence
        case _:
            words = f"{path} cannot be written ({problem.__cause__}): see that its disk is plugged in"
    return RecordProblem(f"{words}, or name another file with --record")


def cannot_read(path: Path, error: FileError) -> FileProblem:
    """Return why a record cannot be read."""
    trouble = trouble_of(error)
    match trouble:
        case Trouble.DAMAGED:
            sentence = f"{path} is damaged: copy it to a safe place; what can be read, 'record export' still writes"
        case Trouble.NO_RECORD:
            sentence = not_a_record(path).sentence
        case Trouble.IN_USE:
            sentence = f"{path} is held by another program: close it there, then try again"
        case Trouble.AWAY:
            sentence = f"{path} is not there: check the name"
        case Trouble.FORBIDDEN:
            sentence = f"{path} cannot be opened: check the name, and that you may read it"
        case _:
            sentence = f"{path} cannot be read ({error}): see that its disk is plugged in, or copy it to another one"
    return FileProblem(sentence, trouble)


def not_a_record(path: Path) -> FileProblem:
    """Return the problem of a file of another kind."""
    sentence = f"{path} is no record of buswalk: choose a file ending in .buswalk.sqlite"
    return FileProblem(sentence, Trouble.NO_RECORD)


def newer_record(path: Path, schema: int, known: int) -> FileProblem:
    """Return the problem of a file that this version does not understand."""
    return FileProblem(
        f"{path} was written by a newer version of this program (schema {schema}, known here is {known}): update it",
        Trouble.NEWER,
    )


def damaged_record(path: Path) -> FileProblem:
    """Return the problem of a record whose tables or rows are not what they must be."""
    return cannot_read(path, _damage())


def record_in_use(path: Path) -> FileProblem:
    """Return the problem of a record that another window or command writes."""
    return FileProblem(f"{path} is being written by another window or command: end that one first", Trouble.IN_USE)


def other_kind_of_line(path: Path, *, is_simulated: bool) -> FileProblem:
    """Return the problem of a real record that is to take simulated traffic, or the other way round."""
    kind, other = ("simulated", "real") if is_simulated else ("real", "simulated")
    sentence = f"{path} is the record of a {kind} line: it takes nothing of a {other} one"
    return FileProblem(sentence, Trouble.OTHER_KIND_OF_LINE)


def _damage() -> sqlite3.Error:
    error = sqlite3.DatabaseError("rows are not what they must be")
    error.sqlite_errorname = "SQLITE_CORRUPT"
    return error
