"""Builds what the bus process is handed: this computer's ports, simulated lines, the record."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from datetime import UTC, datetime

from buswalk import __version__
from buswalk.bus.messages import Hand, PortListed
from buswalk.bus.pace import Pace
from buswalk.bus.parts import CannotOpen, EngineParts, HeldLine
from buswalk.bus.staying_awake import stay_awake
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.fingerprint import KnownType, known_types
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.jobs.asking.write_guard import consents_on
from buswalk.lines import OpenedLine, Simulated, WrongScenario, open_line
from buswalk.shipped_files import profile_folder
from buswalk.storage.data_folders import PROFILE_FOLDER, data_folders
from buswalk.storage.folder_places import this_computer
from buswalk.storage.port_records import RecordWish
from buswalk.storage.record_files import begin_anew, keep_recording_as, open_recorder
from buswalk.wire.port_list import AdapterIdentity, list_ports
from buswalk.wire.system_clock import SystemClock

FASTEST = 1000.0
PROGRAM = f"buswalk {__version__}"


class HandsOnSimulated:
    """The hands and the time of a simulated line, as the bus process uses them."""

    def __init__(self, simulated: Simulated) -> None:
        self._site = simulated.site
        self._paced = simulated.paced

    @property
    def devices(self) -> tuple[str, ...]:
        """Names in the order of the cable."""
        tables = sorted(self._site.scenario.device, key=lambda table: table.place)
        return tuple(table.name for table in tables)

    @property
    def factor(self) -> float:
        """How many times faster than on the wall its time passes; 1 where it jumps."""
        return self._paced.factor if self._paced is not None else 1.0

    @property
    def is_walking(self) -> bool:
        """Whether time passes without a job."""
        return self._paced is not None

    def set_factor(self, factor: float) -> None:
        """Hurry its time.

        Raises:
            ValueError: It cannot be hurried so.
        """
        if self._paced is None:
            raise ValueError("time on this line jumps: it cannot be hurried")
        if not 0 < factor <= FASTEST:
            raise ValueError(f"time passes up to {FASTEST:.0f} times as fast as on the wall, not {factor:g} times")
        self._paced.set_factor(factor)

    def use(self, hand: Hand, at: str) -> str:
        """Do it; return what was done in words.

        Raises:
            KeyError: There is no such device.
        """
        hands = self._site.hands
        match hand:
            case Hand.UNPLUG:
                return hands.unplug(at)
            case Hand.PLUG_IN:
                return hands.plug_in(at)
            case Hand.OPEN_CABLE:
                return hands.open_cable(at)
            case Hand.JOIN_CABLE:
                return hands.join_cable(at)
            case Hand.SWAP_PAIR:
                return hands.swap_pair(at)
            case Hand.POWER_CYCLE:
                return hands.power_cycle(at)
            case Hand.PLANT_ON:
                return hands.plant_on()
            case Hand.PLANT_OFF:
                return hands.plant_off()
            case Hand.ON_BATTERY:
                return hands.on_battery()
            case Hand.ON_CHARGER:
                return hands.on_charger()


@dataclass(frozen=True, slots=True)
class OpensHeldLines:
    """Opens a port text for the bus process."""

    pace: Pace

    def __call__(self, port: str, settings: SerialSettings, options: PortOptions) -> HeldLine:
        """Open it.

        Raises:
            PortError: The port cannot be had.
            CannotOpen: The scenario cannot be used.
        """
        try:
            opened = open_line(port, settings, options, self.pace)
        except WrongScenario as error:
            raise CannotOpen("; ".join(error.problems)) from error
        return held_line(opened)


def bus_parts(pace: Pace, data_folder: str) -> EngineParts:
    """Build all that the bus process works with on this computer."""
    folders = data_folders(data_folder, os.environ)
    around = this_computer()
    return EngineParts(
        open_line=OpensHeldLines(pace),
        list_ports=listed_ports,
        open_recorder=lambda name, adapter, started: open_recorder(folders, RecordWish(name, adapter), started, around),
        look_back=lambda: begin_anew(folders),
        keep_recording_as=lambda recorder, name: keep_recording_as(folders, recorder, name),
        stay_awake=stay_awake,
        line_clock=SystemClock,
        wall_now_s=time.time,
        wall_words=wall_words,
        program=PROGRAM,
        known_types=lambda: read_known_types(data_folder),
    )


def read_known_types(data_folder: str) -> tuple[KnownType, ...]:
    """Return the fingerprints of all profiles; of a file that cannot be read `profile check` says why.

    What reads them strictly is imported only then: the bus process starts without it.
    """
    from buswalk.storage.profile_files import read_profile_library

    own = data_folders(data_folder, os.environ).data / PROFILE_FOLDER
    return known_types(read_profile_library([profile_folder()], own).profiles)


def listed_ports() -> tuple[PortListed, ...]:
    """Return the ports of this computer, in words."""
    return tuple(PortListed(one.port, one.words, adapter_words(one.identity)) for one in list_ports())


def adapter_words(identity: AdapterIdentity) -> str:
    """Return which adapter a port is."""
    if not identity.vendor_id:
        return "not on USB"
    serial_number = f" no. {identity.serial_number}" if identity.serial_number else " without serial number"
    return f"{identity.vendor_id:04X}:{identity.product_id:04X}{serial_number}"


def wall_words(wall_s: float) -> str:
    """Return a time of the computer's clock as ISO 8601 with the offset of its zone."""
    return datetime.fromtimestamp(wall_s, UTC).astimezone().isoformat(timespec="milliseconds")


def held_line(opened: OpenedLine) -> HeldLine:
    """Return an open line with what its record is to know of it. Writing is possible on simulated lines only."""
    simulated = opened.simulated
    return HeldLine(
        port=opened.port,
        adapter=_adapter_of(opened.port, simulated),
        adapter_id=_adapter_id_of(opened.port),
        record_name=simulated.site.scenario.name if simulated is not None else opened.port,
        line=opened.line,
        clock=opened.clock,
        consents=consents_on(opened.line.traits),
        open_again=opened.open_again,
        simulated=HandsOnSimulated(simulated) if simulated is not None else None,
        planned=_planned(simulated) if simulated is not None else (),
    )


def _adapter_of(port: str, simulated: Simulated | None) -> str:
    if simulated is not None:
        return "simulated adapter"
    return next((adapter_words(one.identity) for one in list_ports() if one.port == port), "network or pseudo terminal")


def _adapter_id_of(port: str) -> str:
    """Return what an adapter bears on USB; without a serial number nothing tells it from its like."""
    identity = next((one.identity for one in list_ports() if one.port == port), None)
    if identity is None or not identity.serial_number:
        return ""
    return adapter_words(identity)


def _planned(simulated: Simulated) -> tuple[PlannedDevice, ...]:
    planned = sorted(simulated.site.scenario.planned, key=lambda table: table.place)
    return tuple(
        PlannedDevice(place, table.address, table.name, table.settings, table.board, device_type=table.profile)
        for place, table in enumerate(planned, start=1)
    )
