"""Which earlier records tell a session what was changed and not put back: those of its port or its adapter."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import OldRead, WriteBegun
from buswalk.domain.registers.writing.intended import IntendedWrite, RawPlace
from buswalk.domain.visit.recorder import OpenedRecord
from buswalk.domain.visit.session_events import PortOpened
from buswalk.storage.data_folders import DataFolders, data_folders
from buswalk.storage.folder_places import Mount, Surroundings
from buswalk.storage.port_records import LAST_RECORDS, RecordWish
from buswalk.storage.record_files import open_recorder
from buswalk.storage.visit_record.recorder import ENDING, VisitRecorder
from tests.fakes.every_event import SETTINGS, STARTED, TRAITS


@pytest.fixture
def folders(tmp_path: Path) -> DataFolders:
    """A data folder of its own."""
    return data_folders(str(tmp_path / "data"), {})


def session(folders: DataFolders, day: int, port: str = "/dev/ttyUSB0", adapter: str = "") -> OpenedRecord:
    """Begin a session on a day of March."""
    started = replace(STARTED, wall_time=f"2026-03-{day:02d}T08:00:00.000+01:00")
    around = Surroundings((Mount(Path("/"), "ext4"),), folders.data.parent)
    opened = open_recorder(folders, RecordWish(port, adapter), started, around)
    opened.recorder.keep(started, 0.0)
    if adapter:
        opened.recorder.keep(PortOpened(port, adapter, SETTINGS, TRAITS, 0.0), 0.0)
    return opened


def left_changed(opened: OpenedRecord, register: int) -> None:
    """Write to a register and leave it so; the process dies."""
    intended = IntendedWrite(37, SETTINGS, RawPlace(Table.HOLDING_REGISTERS, register), (230,))
    opened.recorder.keep(WriteBegun(1, intended, OldRead((215,), 1), "test", 1.0), 1.0)
    assert isinstance(opened.recorder, VisitRecorder)
    opened.recorder.abandon()


def registers(opened: OpenedRecord) -> list[int]:
    """Where something is left changed, as a session that begins is told."""
    opened.recorder.close()
    return [one.intended.block.first for one in opened.earlier.writes.not_put_back()]


def test_the_last_records_of_a_port_are_told_and_others_are_not(folders: DataFolders) -> None:
    left_changed(session(folders, 3), 3)
    left_changed(session(folders, 4, "/dev/ttyUSB1"), 4)
    left_changed(session(folders, 5), 5)
    left_changed(session(folders, 5), 6)

    opened = session(folders, 6)

    assert registers(opened) == [3, 5, 6]
    assert opened.earlier.of_visit.writes == ()
    assert [one.words for one in opened.earlier.sessions][-1] == f"session 2 of 2026-03-05-ttyUSB0{ENDING}"


def test_a_visit_that_goes_on_knows_which_writes_are_its_own(folders: DataFolders) -> None:
    left_changed(session(folders, 4), 4)
    left_changed(session(folders, 5), 5)

    opened = session(folders, 5)

    assert registers(opened) == [4, 5]
    assert [one.begun.intended.block.first for one in opened.earlier.of_visit.writes] == [5]


def test_an_adapter_is_known_under_another_port_name_and_a_port_name_by_its_adapter(folders: DataFolders) -> None:
    left_changed(session(folders, 3, "COM3", "no. A1"), 3)
    left_changed(session(folders, 4, "COM7", "no. B2"), 4)

    assert registers(session(folders, 5, "COM7", "no. A1")) == [3]


def test_only_the_last_records_are_looked_through(folders: DataFolders) -> None:
    for day in range(1, LAST_RECORDS + 3):
        left_changed(session(folders, day), day)

    assert registers(session(folders, 20)) == list(range(3, LAST_RECORDS + 3))


def test_a_record_that_cannot_be_read_is_said(folders: DataFolders) -> None:
    left_changed(session(folders, 3), 3)
    torn = folders.visits / f"2026-03-04-ttyUSB0{ENDING}"
    torn.write_bytes(b"torn" * 300)

    opened = session(folders, 5)

    assert registers(opened) == [3]
    assert opened.earlier.not_read == (torn.name,)
