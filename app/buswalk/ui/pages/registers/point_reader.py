"""What F5 and Enter read of the list that is shown, how often, and why not; the reading desk sends it. Plain Python."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.watching.plan import WatchedDevice
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.pages.registers.point_pane import PointPane
from buswalk.ui.pages.registers.read_plans import PERIODS_S, readable_names, watched_device
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.pages.registers.shown_list import ShownList

JOB_RUNS = "A job is running: what is read now is read by it. Pause it first to read one point."


class PointReader:
    """Begins what is to be read of the device that is shown, and pauses it.

    Attributes:
        period: Place of the period chosen; the first reads once.
        told: What is to be said of the last key; empty where nothing is.
    """

    def __init__(self, shown: ShownList, pane: PointPane, reading: ReadingDesk, search: Callable[[], None]) -> None:
        self._list = shown
        self._pane = pane
        self._reading = reading
        self._search = search
        self._asked_to_clear = ""
        self.period = 0
        self.told = ""

    def choose_period(self, index: int) -> None:
        """Read once, or again and again; what runs already is begun anew."""
        self.period = index
        if self._list.device is not None and self._reading.reads(self._list.device.server_address):
            self._start_all()

    def focus_moves(self) -> None:
        """Another point is focused: what clears it is to be said twice again."""
        self._asked_to_clear = ""

    def main_action(self) -> None:
        """F5: read, pause, or ask nothing where another client lives."""
        device = self._list.device
        self.told = ""
        if self._reading.living_line:
            self._reading.leave_alone()
        elif self._reading.is_watching and device is not None and self._reading.reads(device.server_address):
            self._reading.stop()
        elif device is None:
            self._search()
        elif not self.refusal():
            self._start_all()

    def read_point(self) -> None:
        """Enter: read the focused point alone, once; what reading clears only when that was said twice."""
        point, device = self._pane.point(self._list.device), self._list.device
        if point is None or device is None or device.server_address == BROADCAST_ADDRESS or not point.can_be_read:
            return
        if self._reading.jobs.running:
            self.told = JOB_RUNS
        elif point.clears_on_read and self._asked_to_clear != point.name:
            self._asked_to_clear = point.name
            self.told = f"Reading clears {point.words or point.name}: Enter once more reads it."
        else:
            self.told = self._asked_to_clear = ""
            self._start(device, (point.name,), 0.0)

    def read_all_once(self) -> str:
        """Read all that is listed once, for a look; return why not."""
        refusal = self.refusal()
        device = self._list.device
        if not refusal and device is not None:
            self._start(device, readable_names(self._list.profile()), 0.0)
        return refusal

    def refusal(self) -> str:
        """Return why nothing can be read now; empty where it can."""
        device = self._list.device
        if device is None:
            return "no device is known: search the line first"
        if device.server_address == BROADCAST_ADDRESS:
            return "address 0 is never read: all devices would answer at once"
        if self._reading.jobs.running and not self._reading.is_watching:
            return f"a job is running ({self._reading.jobs.running}): stop it first, Esc"
        if not self._reading.jobs.has_port:
            return "no port is open: open one first, Ctrl+O"
        if not readable_names(self._list.profile()):
            return "the list has no point that can be read"
        return ""

    def _start_all(self) -> None:
        device, names = self._list.device, readable_names(self._list.profile())
        if device is not None and names:
            self._start(device, names, PERIODS_S[self.period])

    def _start(self, device: KnownDevice, names: tuple[str, ...], period_s: float) -> None:
        self._reading.start(self._watched(device, names), period_s, self._list.library)

    def _watched(self, device: KnownDevice, names: tuple[str, ...]) -> WatchedDevice:
        longest_s = self._reading.longest_turnaround_s(device.server_address)
        return watched_device(device, self._list.profile(), names, longest_s)
