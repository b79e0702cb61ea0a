"""What the bus process is handed: ways to open lines, list ports and keep a record; built by `main`."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Protocol

from buswalk.bus.messages import Hand, PortListed
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.fingerprint import KnownType
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.recorder import OpenedRecord, Recorder
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.jobs.asking.write_guard import Consents


class SimulatedControls(Protocol):
    """What only a simulated line has: hands, and a time that can be hurried."""

    @property
    def devices(self) -> tuple[str, ...]:
        """Names in the order of the cable."""

    @property
    def factor(self) -> float:
        """How many times faster than on the wall its time passes."""

    @property
    def is_walking(self) -> bool:
        """Whether time passes without a job."""

    def set_factor(self, factor: float) -> None:
        """Hurry its time. Raises ValueError for a factor that cannot be."""

    def use(self, hand: Hand, at: str) -> str:
        """Do it; return what was done in words. Raises KeyError for a device that is not there."""


@dataclass(frozen=True, slots=True)
class HeldLine:
    """A line that is ours.

    Attributes:
        adapter: Which adapter it is, in words.
        adapter_id: What tells this very adapter from others under any port name; empty where nothing does.
        record_name: After what its record is named: the port or the site.
        open_again: Opens the same port after it was lost, its clock going on; raises `PortError` while it is away.
        planned: The planned list that comes with a simulated site.
    """

    port: str
    adapter: str
    adapter_id: str
    record_name: str
    line: Line
    clock: Clock
    consents: Consents
    open_again: Callable[[SerialSettings], Line]
    simulated: SimulatedControls | None = None
    planned: tuple[PlannedDevice, ...] = ()


class CannotOpen(Exception):
    """A port text that leads to no line: a scenario that cannot be used.

    Attributes:
        sentence: What, where, what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def no_types() -> tuple[KnownType, ...]:
    """Recognise nothing."""
    return ()


@dataclass(frozen=True, slots=True)
class EngineParts:
    """All of it.

    Attributes:
        open_line: Raises PortError or CannotOpen.
        open_recorder: Given the name of the record, what tells this adapter from others (empty where nothing does)
            and the session that begins; never raises: where nothing can be recorded, its state says why.
        look_back: Called once at the start; returns a sentence for each thing that did not end in order before.
        keep_recording_as: Saves the record of a simulated line under a name; raises RecordProblem.
        stay_awake: While entered, the computer does not go to sleep by itself, where the system allows.
        line_clock: A clock for sessions without a port.
        wall_now_s: Seconds since 1970 by the computer's clock.
        wall_words: Turns them into ISO 8601 with the offset of the zone.
        known_types: Fingerprints of the profiles that are known when a search begins.
    """

    open_line: Callable[[str, SerialSettings, PortOptions], HeldLine]
    list_ports: Callable[[], tuple[PortListed, ...]]
    open_recorder: Callable[[str, str, SessionStarted], OpenedRecord]
    look_back: Callable[[], tuple[str, ...]]
    keep_recording_as: Callable[[Recorder, str], None]
    stay_awake: Callable[[], AbstractContextManager[None]]
    line_clock: Callable[[], Clock]
    wall_now_s: Callable[[], float]
    wall_words: Callable[[float], str]
    program: str
    known_types: Callable[[], tuple[KnownType, ...]] = no_types
