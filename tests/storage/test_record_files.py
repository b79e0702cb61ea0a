"""Which file a session is recorded in: the same day and port go on, a second writer takes the next number."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.recorder import OpenedRecord, RecordProblem
from buswalk.domain.visit.session_events import PlanKept, PortOpened, SessionStarted
from buswalk.storage.data_folders import DataFolders, data_folders
from buswalk.storage.file_lock import is_locked
from buswalk.storage.folder_places import Mount, Surroundings
from buswalk.storage.nothing_recorded import NothingRecorded
from buswalk.storage.port_records import RecordWish, clean_name
from buswalk.storage.record_files import (
    begin_anew,
    keep_recording_as,
    open_recorder,
    open_recorder_at,
)
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import VisitRecorder
from tests.fakes.every_event import DEVICES, SETTINGS, SIMULATED, STARTED, TRAITS, exchange

TTY = RecordWish("/dev/ttyUSB0")
SITE = RecordWish("greenhouse-first-day")
FIRST = "2026-03-05-ttyUSB0"


@pytest.fixture
def folders(tmp_path: Path) -> DataFolders:
    """A data folder of its own."""
    return data_folders(str(tmp_path / "data"), {})


@pytest.fixture
def around(tmp_path: Path) -> Surroundings:
    """A computer with one disk."""
    return Surroundings((Mount(Path("/"), "ext4"),), tmp_path)


def begun(
    folders: DataFolders, around: Surroundings, wish: RecordWish = TTY, started: SessionStarted = STARTED
) -> OpenedRecord:
    opened = open_recorder(folders, wish, started, around)
    opened.recorder.keep(started, 0.0)
    return opened


def killed(opened: OpenedRecord) -> None:
    """Leave a record as the death of its process does: no end of the session, the lock gone with it."""
    assert isinstance(opened.recorder, VisitRecorder)
    opened.recorder.abandon()


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*.sqlite"))


def test_a_record_bears_the_day_and_the_port(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around)

    assert opened.recorder.state.name == FIRST
    assert names(folders.visits) == [f"{FIRST}.buswalk.sqlite"]
    assert opened.notices == ()
    opened.recorder.close()


@pytest.mark.parametrize(
    ("port", "name"),
    [
        ("/dev/ttyUSB0", "ttyUSB0"),
        ("COM3", "COM3"),
        (r"\\.\COM14", "COM14"),
        ("socket://10.0.0.7:502", "socket-10.0.0.7-502"),
        ("/dev/serial/by-id/usb-x", "serial-by-id-usb-x"),
        ("../../etc", "etc"),
        ("...", ""),
        ("Gewächshaus Süd", "Gewächshaus-Süd"),
    ],
)
def test_any_port_makes_a_name_for_a_file(port: str, name: str) -> None:
    assert clean_name(port) == name


def test_the_same_day_and_port_go_on_in_the_same_file(folders: DataFolders, around: Surroundings) -> None:
    first = begun(folders, around)
    first.recorder.keep(ExchangeDone(exchange(1)), 1.0)
    first.recorder.keep(ExchangeDone(exchange(2)), 2.0)
    first.recorder.close()

    second = begun(folders, around)

    assert second.recorder.next_exchange_number == 3
    assert second.recorder.state.exchanges == 2
    assert names(folders.visits) == [f"{FIRST}.buswalk.sqlite"]
    second.recorder.close()


def test_the_planned_list_goes_on_with_its_file(folders: DataFolders, around: Surroundings) -> None:
    devices = (PlannedDevice(1, 37, "heat meter"),)
    first = begun(folders, around)
    first.recorder.keep(PlanKept(devices, 1.0), 1.0)
    first.recorder.close()

    second = begun(folders, around)

    assert (first.planned, second.planned) == ((), devices)
    second.recorder.close()


def test_another_day_begins_another_file(folders: DataFolders, around: Surroundings) -> None:
    begun(folders, around).recorder.close()
    next_day = replace(STARTED, wall_time="2026-03-06T07:00:00.000+01:00")

    opened = begun(folders, around, started=next_day)

    assert opened.recorder.state.name == "2026-03-06-ttyUSB0"
    opened.recorder.close()


def test_a_second_writer_takes_the_next_number_and_says_so(folders: DataFolders, around: Surroundings) -> None:
    first = begun(folders, around)

    second = begun(folders, around)

    assert second.recorder.state.name == f"{FIRST}-2"
    assert second.notices == (
        f"{FIRST}.buswalk.sqlite is being written by another window or command: "
        f"this session is recorded in {FIRST}-2.buswalk.sqlite",
    )
    first.recorder.close()
    second.recorder.close()


def test_a_closed_record_leaves_one_file_behind(folders: DataFolders, around: Surroundings) -> None:
    begun(folders, around).recorder.close()

    assert [path.name for path in folders.visits.iterdir()] == [f"{FIRST}.buswalk.sqlite"]


def on_adapter(folders: DataFolders, around: Surroundings, wish: RecordWish) -> OpenedRecord:
    opened = begun(folders, around, wish)
    opened.recorder.keep(PortOpened(wish.name, wish.adapter, SETTINGS, TRAITS, 0.1), 0.1)
    return opened


def test_an_adapter_under_another_port_name_goes_on_in_its_file(folders: DataFolders, around: Surroundings) -> None:
    on_adapter(folders, around, RecordWish("/dev/ttyUSB0", "no. 7")).recorder.close()

    opened = begun(folders, around, RecordWish("/dev/ttyUSB1", "no. 7"))

    assert opened.recorder.state.name == FIRST
    opened.recorder.close()


def test_another_adapter_under_the_same_port_name_gets_its_own_file(folders: DataFolders, around: Surroundings) -> None:
    on_adapter(folders, around, RecordWish("/dev/ttyUSB0", "no. 7")).recorder.close()

    opened = begun(folders, around, RecordWish("/dev/ttyUSB0", "no. 8"))

    assert opened.recorder.state.name == f"{FIRST}-2"
    assert "another adapter" in opened.notices[0]
    opened.recorder.close()


def test_records_of_simulated_lines_are_kept_apart(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around, SITE, SIMULATED)

    assert opened.recorder.state.is_simulated
    assert names(folders.demo) == ["unsaved-greenhouse-first-day.buswalk.sqlite"]
    assert names(folders.visits) == []
    opened.recorder.close()


def test_the_next_start_clears_what_was_not_saved(folders: DataFolders, around: Surroundings) -> None:
    begun(folders, around, SITE, SIMULATED).recorder.close()
    begun(folders, around).recorder.close()

    sentences = begin_anew(folders)

    assert sentences == ()
    assert list(folders.demo.iterdir()) == []
    assert names(folders.visits) == [f"{FIRST}.buswalk.sqlite"]


def test_what_was_saved_under_a_name_stays_and_goes_on(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around, SITE, SIMULATED)
    opened.recorder.keep(ExchangeDone(exchange(1)), 1.0)

    keep_recording_as(folders, opened.recorder, "Practice one")
    opened.recorder.keep(ExchangeDone(exchange(2)), 2.0)
    opened.recorder.close()
    begin_anew(folders)

    assert opened.recorder.state.name == "Practice-one"
    assert names(folders.demo) == ["Practice-one.buswalk.sqlite"]
    reader = open_record(folders.demo / "Practice-one.buswalk.sqlite")
    assert reader.facts().exchanges == 2
    assert reader.problems() == ()
    reader.close()


@pytest.mark.parametrize("name", ["", "..", "unsaved-mine", "taken"])
def test_a_name_that_cannot_be_is_refused_and_recording_goes_on(
    folders: DataFolders, around: Surroundings, name: str
) -> None:
    opened = begun(folders, around, SITE, SIMULATED)
    (folders.demo / "taken.buswalk.sqlite").write_bytes(b"")

    with pytest.raises(RecordProblem) as problem:
        keep_recording_as(folders, opened.recorder, name)

    assert "name" in problem.value.sentence
    assert opened.recorder.keep(ExchangeDone(exchange(1)), 1.0) == 2
    opened.recorder.close()


def test_real_records_need_no_saving(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around)

    with pytest.raises(RecordProblem, match="kept anyway"):
        keep_recording_as(folders, opened.recorder, "x")

    opened.recorder.close()


def test_simulated_traffic_never_gets_into_a_real_record(folders: DataFolders, around: Surroundings) -> None:
    real = begun(folders, around)
    real.recorder.close()
    path = folders.visits / f"{FIRST}.buswalk.sqlite"

    with pytest.raises(RecordProblem, match=r"is the record of a real line: .* or name another file with --record"):
        open_recorder_at(path, SIMULATED, around)


def test_a_named_file_on_a_network_is_refused_with_what_to_do(tmp_path: Path) -> None:
    around = Surroundings((Mount(Path("/"), "ext4"), Mount(tmp_path, "nfs4")), Path("/home/someone"))

    with pytest.raises(RecordProblem, match=r"is on a network.* name a file on a disk of this computer with --record"):
        open_recorder_at(tmp_path / "hall.buswalk.sqlite", STARTED, around)

    assert list(tmp_path.iterdir()) == []


def test_a_named_file_goes_on_with_its_planned_list(tmp_path: Path, around: Surroundings) -> None:
    first = open_recorder_at(tmp_path / "hall.buswalk.sqlite", STARTED, around)
    first.recorder.keep(STARTED, 0.0)
    first.recorder.keep(PlanKept(DEVICES, 1.0), 1.0)
    first.recorder.close()

    again = open_recorder_at(tmp_path / "hall.buswalk.sqlite", STARTED, around)
    again.recorder.close()

    assert (first.planned, again.planned) == ((), DEVICES)


def test_a_session_that_was_killed_is_said_by_the_next_start(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around)
    opened.recorder.keep(ExchangeDone(exchange(1)), 1.0)
    killed(opened)

    sentences = begin_anew(folders)

    assert sentences == (
        "the session that began on 2026-03-05 at 08:12 did not end in order: the program or the computer was ended; "
        f"what was recorded until then is in {FIRST}.buswalk.sqlite (1 exchange)",
    )


def test_a_session_that_is_still_running_was_not_killed(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around)

    sentences = begin_anew(folders)

    assert sentences == ()
    opened.recorder.close()


def test_a_killed_simulated_session_is_not_cleared_away_unseen(folders: DataFolders, around: Surroundings) -> None:
    killed(begun(folders, around, SITE, SIMULATED))

    first = begin_anew(folders)
    again = begun(folders, around, SITE, SIMULATED)
    again.recorder.close()
    second = begin_anew(folders)

    assert len(first) == 1
    assert second == ()
    assert names(folders.demo) == []


def test_only_the_last_written_record_is_looked_back_at(folders: DataFolders, around: Surroundings) -> None:
    killed(begun(folders, around))
    begun(folders, around, RecordWish("COM3")).recorder.close()

    assert begin_anew(folders) == ()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"no database at all, but long enough to look like one" * 9, "damaged, or no record"),
        (b"SQLite format 3\x00", "damaged"),
    ],
)
def test_a_file_that_is_no_record_is_left_as_it_is(
    folders: DataFolders, around: Surroundings, content: bytes, words: str
) -> None:
    folders.visits.mkdir(parents=True)
    path = folders.visits / f"{FIRST}.buswalk.sqlite"
    path.write_bytes(content)

    opened = begun(folders, around)

    assert opened.recorder.state.name == f"{FIRST}-2"
    assert words in opened.notices[0]
    assert path.read_bytes() == content
    opened.recorder.close()


@pytest.mark.parametrize("kind", ["nfs4", "cifs", "fuse.sshfs", "smb3"])
def test_a_folder_on_a_network_is_refused(folders: DataFolders, kind: str) -> None:
    around = Surroundings((Mount(Path("/"), "ext4"), Mount(folders.data.parent, kind)), Path("/home/someone"))

    opened = open_recorder(folders, TTY, STARTED, around)

    assert "is on a network" in opened.recorder.state.problem
    assert "--data-folder" in opened.recorder.state.problem
    assert not folders.data.exists()


def test_a_disk_mounted_on_a_network_folder_is_a_disk(folders: DataFolders, tmp_path: Path) -> None:
    mounts = (Mount(Path("/"), "nfs"), Mount(tmp_path, "nfs"), Mount(tmp_path, "ext4"))

    opened = open_recorder(folders, TTY, STARTED, Surroundings(mounts, Path("/home/someone")))

    assert opened.recorder.state.problem == ""
    opened.recorder.close()


@pytest.mark.parametrize("name", ["My Cloud", "Company Drive", "CloudStorage", "Mobile Documents", "Sync"])
def test_a_folder_that_is_copied_elsewhere_is_refused(tmp_path: Path, around: Surroundings, name: str) -> None:
    folders = data_folders(str(tmp_path / name / "visits of mine"), {})

    opened = open_recorder(folders, TTY, STARTED, around)

    assert f"'{name}'" in opened.recorder.state.problem
    assert opened.recorder.keep(STARTED, 0.0) == 0


@pytest.mark.parametrize("name", ["driven", "Documents", "synchronous motors", "drives"])
def test_ordinary_folders_are_taken(tmp_path: Path, around: Surroundings, name: str) -> None:
    opened = begun(data_folders(str(tmp_path / name), {}), around)

    assert opened.recorder.state.problem == ""
    opened.recorder.close()


def test_where_nothing_is_recorded_exchanges_are_numbered_all_the_same() -> None:
    recorder = NothingRecorded("the disk is full", is_simulated=False, first_number=8)

    rows = [recorder.keep(ExchangeDone(exchange(number)), 1.0) for number in (8, 9)]

    assert rows == [0, 0]
    assert recorder.next_exchange_number == 10
    assert (recorder.state.name, recorder.state.problem) == ("", "the disk is full")


def test_the_lock_is_held_while_a_record_is_written(folders: DataFolders, around: Surroundings) -> None:
    opened = begun(folders, around)
    path = folders.visits / f"{FIRST}.buswalk.sqlite"
    held = is_locked(path)

    opened.recorder.close()

    assert (held, is_locked(path)) == (True, False)


def test_a_data_folder_is_chosen_by_option_before_variable(tmp_path: Path) -> None:
    by_option = data_folders(str(tmp_path / "a"), {"BUSWALK_DATA_FOLDER": str(tmp_path / "b")})
    by_variable = data_folders("", {"BUSWALK_DATA_FOLDER": str(tmp_path / "b")})

    assert (by_option.data, by_variable.data) == (tmp_path / "a", tmp_path / "b")
    assert by_option.preferences_file == tmp_path / "a" / "preferences.toml"
    assert data_folders("", {}).data.name == "buswalk"
