"""Which file a session is recorded in: one a day and port or adapter; simulated lines apart, and not for ever."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

from buswalk.domain.record_reader import NotEnded, RecordedSession
from buswalk.domain.visit.recorder import UNSAVED, OpenedRecord, Recorder, RecordProblem
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.storage.data_folders import DataFolders
from buswalk.storage.file_lock import FileLock, Locked, is_locked
from buswalk.storage.folder_places import Surroundings, require_own_disk
from buswalk.storage.nothing_recorded import NothingRecorded
from buswalk.storage.port_records import (
    RecordWish,
    adapters_of,
    clean_name,
    is_of_another_adapter,
    last_records_of,
    opened_record,
    records_in,
)
from buswalk.storage.record_problems import FileProblem, Trouble, cannot_record_in, cannot_write
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import ENDING, VisitRecorder, open_visit_record

MOST_FILES_A_DAY = 99
_ANOTHER_FILE_HELPS = (
    Trouble.IN_USE,
    Trouble.DAMAGED,
    Trouble.NO_RECORD,
    Trouble.NEWER,
    Trouble.OTHER_KIND_OF_LINE,
)


def open_recorder(
    folders: DataFolders, wish: RecordWish, started: SessionStarted, around: Surroundings
) -> OpenedRecord:
    """Return a recorder for a session that begins; where nothing can be recorded, one that says why.

    The session itself is begun by keeping its `SessionStarted`.
    """
    folder = folders.demo if started.is_simulated else folders.visits
    try:
        require_own_disk(folder, around)
        _make(folder)
        return _opened(folder, _stem(folder, wish, started), wish, started)
    except RecordProblem as problem:
        return OpenedRecord(NothingRecorded(problem.sentence, is_simulated=started.is_simulated), ())


def open_recorder_at(path: Path, started: SessionStarted, around: Surroundings) -> OpenedRecord:
    """Return a recorder into the one file that the user named, made or gone on in.

    Raises:
        RecordProblem: It cannot be; the sentence is for one who does not begin without a record.
    """
    try:
        require_own_disk(path.parent, around)
        recorder = open_visit_record(path, is_simulated=started.is_simulated)
    except FileProblem as problem:
        raise cannot_record_in(path, problem) from problem
    return opened_record(recorder, (), path, ())


def keep_recording_as(folders: DataFolders, recorder: Recorder, name: str) -> None:
    """Save the record of a simulated line under a name and go on there: the next start does not replace it.

    Raises:
        RecordProblem: It is none of a simulated line, or the name cannot be, or is taken.
    """
    if not isinstance(recorder, VisitRecorder) or not recorder.state.is_simulated:
        raise RecordProblem("only the record of a simulated line is saved under a name: others are kept anyway")
    cleaned = clean_name(name)
    if not cleaned or cleaned.startswith(UNSAVED):
        raise RecordProblem(f"'{name}' is no name for a record: write letters and digits, such as practice-1")
    before = recorder.path
    recorder.go_on_as(folders.demo / f"{cleaned}{ENDING}")
    if before.name.startswith(UNSAVED):
        _remove_record(before)


def begin_anew(folders: DataFolders) -> tuple[str, ...]:
    """Look back at the start of the program: say what did not end in order, and clear unsaved simulated records.

    An unsaved record whose session was killed stays until a start after which it ended in order.
    """
    sentences = tuple(_look_back(folders))
    for path in records_in(folders.demo):
        if path.name.startswith(UNSAVED) and not _last_was_killed(path):
            _remove_record(path)
    return sentences


# Which file


def _stem(folder: Path, wish: RecordWish, started: SessionStarted) -> str:
    name = clean_name(wish.name) or "line"
    if started.is_simulated:
        return f"{UNSAVED}{name}"
    day = started.wall_time[:10]
    if wish.adapter:
        for path in records_in(folder):
            if path.name.startswith(day) and wish.adapter in adapters_of(path):
                return path.name.removesuffix(ENDING)
    return f"{day}-{name}"


def _opened(folder: Path, stem: str, wish: RecordWish, started: SessionStarted) -> OpenedRecord:
    """Open the first file of a name that can be gone on in; what was passed over is said."""
    reasons: list[str] = []
    for number in range(1, MOST_FILES_A_DAY + 1):
        path = folder / (f"{stem}{ENDING}" if number == 1 else f"{stem}-{number}{ENDING}")
        if is_of_another_adapter(path, wish):
            reasons.append(f"{path.name} is the record of another adapter")
            continue
        try:
            recorder = open_visit_record(path, is_simulated=started.is_simulated)
        except FileProblem as problem:
            if problem.trouble not in _ANOTHER_FILE_HELPS:
                raise
            reasons.append(_passed_over(path, problem.trouble))
            continue
        notices = tuple(f"{one}: this session is recorded in {path.name}" for one in reasons)
        return opened_record(recorder, notices, path, last_records_of(folder, wish, path))
    raise RecordProblem(f"{folder} has {MOST_FILES_A_DAY} files called {stem}: move some of them elsewhere")


def _passed_over(path: Path, trouble: Trouble) -> str:
    match trouble:
        case Trouble.IN_USE:
            return f"{path.name} is being written by another window or command"
        case Trouble.NEWER:
            return f"{path.name} was written by a newer version of this program and is left as it is"
        case Trouble.OTHER_KIND_OF_LINE:
            return f"{path.name} is the record of another kind of line"
        case _:
            return f"{path.name} is damaged, or no record; it is left as it is"


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as reason:
        raise cannot_write(folder, reason) from reason


# Looking back


def _look_back(folders: DataFolders) -> Iterator[str]:
    """Look at the record that was written last, whichever it is; older ones were looked at by earlier starts."""
    paths = [*records_in(folders.visits), *records_in(folders.demo)]
    if not paths:
        return
    newest = max(paths, key=_written_at_s)
    session = _last_session(newest)
    if session is None or not isinstance(session.end, NotEnded) or is_locked(newest):
        return
    began = datetime.fromisoformat(session.started.wall_time)
    exchanges = "1 exchange" if session.exchanges == 1 else f"{session.exchanges} exchanges"
    yield (
        f"the session that began on {began:%Y-%m-%d} at {began:%H:%M} did not end in order: the program or the "
        f"computer was ended; what was recorded until then is in {newest.name} ({exchanges})"
    )


def _written_at_s(path: Path) -> float:
    """Return when a record was last written: the log beside it is newer than the file itself."""
    times = [one.stat().st_mtime for one in (path, path.with_name(path.name + "-wal")) if one.exists()]
    return max(times, default=0.0)


def _last_session(path: Path) -> RecordedSession | None:
    try:
        with closing(open_record(path)) as reader:
            sessions = reader.facts().sessions
    except RecordProblem:
        return None
    return sessions[-1] if sessions else None


def _last_was_killed(path: Path) -> bool:
    session = _last_session(path)
    return session is not None and isinstance(session.end, NotEnded)


def _remove_record(path: Path) -> None:
    """Delete a record that nobody writes; where that cannot be, it stays."""
    lock = FileLock(path)
    try:
        lock.take()
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
    except (Locked, OSError):
        return
    finally:
        lock.give_back()
