"""What the page Trend is handed of profiles, devices, files and processes, and the watch that its choice becomes."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from buswalk.bus.messages import Batch, Kept, StartWatch
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.found_moved import all_moved
from buswalk.domain.registers.profile_library import NoSuchProfile, ProfileLibrary
from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.domain.search.events import Found
from buswalk.domain.trend.export_table import ExportTable
from buswalk.domain.visit.session_events import PlanKept, SessionStarted
from buswalk.domain.watching.plan import PointsRead, WatchedDevice, WatchPlan, watched
from buswalk.domain.watching.waits import Waits
from buswalk.record_in_use import Analyses
from buswalk.shipped_files import profile_folder
from buswalk.storage.data_folders import PROFILE_FOLDER, data_folders
from buswalk.ui.file_choice import choose_to_open, choose_to_save
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.trend.ways import KnownDevice, ReadFile, TrendWays

LOGS = "Values of a hand instrument (*.csv *.txt)"
EXPORTS = "Picture (*.png);;Values (*.csv);;Workbook (*.xlsx)"
RECORDS = "Records of visits (*.buswalk.sqlite)"
PERIOD_S = 1.0
LARGEST_LOG_BYTES = 50_000_000


class TrendDesk:
    """Knows which devices answer, and starts the watch of the points that were chosen."""

    def __init__(self, analysis: Analyses, data_folder: str) -> None:
        self._analysis = analysis
        self._data_folder = data_folder
        self._found: dict[int, Found] = {}
        self._names: dict[int, str] = {}

    def take(self, batch: Batch) -> None:
        """Look at a batch for what answers and what it is called."""
        for item in batch.items:
            match item:
                case Kept(event=SessionStarted()):
                    self._found.clear()
                case Kept(event=Found() as found):
                    self._found[found.server_address] = found
                case Kept(event=PlacesLooked() as looked):
                    now = all_moved(self._found.values(), looked)
                    self._found = {one.server_address: one for one in now}
                case Kept(event=PlanKept(devices)):
                    self._names = {one.server_address: one.name for one in devices}
                case _:
                    pass

    def ways(self, commands: Commands, mark: Callable[[], None], beside: Callable[[], str] = lambda: "") -> TrendWays:
        """Return what the page asks for."""
        return TrendWays(
            start=lambda choice: self._start(commands, choice),
            devices=self._devices,
            library=self._library,
            calculate=self._analysis.calculate,
            ask=self._analysis.ask,
            choose_record=lambda: choose_to_open("Open a record", RECORDS),
            mark=mark,
            choose_list=choose_log,
            choose_export=lambda suggested: choose_to_save("Export", suggested, EXPORTS),
            save_table=self._save,
            beside=beside,
        )

    def _devices(self) -> tuple[KnownDevice, ...]:
        return tuple(
            KnownDevice(address, found.settings, self._names.get(address, ""), found.identity.profiles)
            for address, found in sorted(self._found.items())
        )

    def _library(self) -> ProfileLibrary:
        from buswalk.storage.profile_files import read_profile_library

        own = data_folders(self._data_folder, os.environ).data / PROFILE_FOLDER
        return read_profile_library([profile_folder()], own)

    def _start(self, commands: Commands, choice: WatchedChoice) -> str:
        library = self._library()
        try:
            devices = tuple(self._watched(one, library) for one in choice.devices)
        except NoSuchProfile as reason:
            return f"Not watched: {reason.sentence}."
        except ValueError as reason:
            return f"Not watched: {reason}."
        commands.send(StartWatch(WatchPlan(devices, period_s=PERIOD_S, retries=choice.retries)))
        return "The line is listened to first: another client must be known before it is disturbed."

    def _watched(self, chosen: ChosenDevice, library: ProfileLibrary) -> WatchedDevice:
        """Return a device with its points; asked at 0 while it is absent, or as it was found."""
        profile = library.named(chosen.profile)
        found = self._found.get(chosen.server_address)
        is_there = found is not None and found.settings == chosen.settings
        base = (
            watched(found)
            if is_there and found is not None
            else WatchedDevice(chosen.server_address, chosen.settings, ReadHoldingRegisters(0, 1))
        )
        gap_s = max(base.minimum_gap_s, profile.rules.minimum_gap_s)
        return WatchedDevice(
            base.server_address,
            base.settings,
            base.request,
            base.wait_s,
            gap_s,
            PointsRead(profile, chosen.points, chosen.periods),
            chosen.period_s,
            waits=Waits.BY_TURNAROUND,
        )

    def _save(self, path: str, table: ExportTable, told: Callable[[str], None]) -> None:
        from buswalk.storage.trend_files import SaveTrend

        def take(sentence: object) -> None:
            told(f"{str(sentence)[0].upper()}{str(sentence)[1:]}.")

        self._analysis.calculate(SaveTrend(path, table), take, lambda reason: told(f"Not saved: {reason}."))


def choose_log() -> ReadFile | None:
    """Let the user choose a hand instrument's file and read it; what is no UTF-8 is read as the usual Western code."""
    path = choose_to_open("Bring in a hand instrument's list", LOGS)
    if not path:
        return None
    file = Path(path)
    try:
        if file.stat().st_size > LARGEST_LOG_BYTES:
            return ReadFile(file.name, problem=f"{file.name} is over {LARGEST_LOG_BYTES // 1_000_000} MB: cut it first")
        data = file.read_bytes()
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        return ReadFile(file.name, problem=f"{file.name} cannot be read ({why})")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    return ReadFile(file.name, tuple(text.splitlines()))
