"""A serial port as a `Line`. pyserial opens and sets it; the exchange path touches no property of it.

Every change of a property makes pyserial set the whole port anew, which costs time, can spoil bytes on their way, and
clears the error marks: so there is one reconfiguration an `apply`, and the marks are set with it.
"""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.protocols import Clock
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.empty_looks import EmptyLooks
from buswalk.wire.port_errors import FOREIGN_ERRORS, LOST_ERRORS, ListsNames, is_gone, lost, settings_refused
from buswalk.wire.sending_times import SendingTimes
from buswalk.wire.serial_device import OpensSerial, RefusedSettings, SerialDevice
from buswalk.wire.serial_opening import listed_names as _listed_names
from buswalk.wire.serial_opening import open_device

START_UNCERTAINTY_S = 0.002
"""An adapter may start to send this much after the write: one USB frame and the driver's queue (judgement)."""
SETTINGS_CHANGE_S = 0.002
"""Cost of new settings until the first change has been measured (judgement)."""
LONGEST_DISCARD_S = 0.1
"""Somebody who never stops sending must not hold us here."""
FIRST_SETTINGS = SerialSettings.of(9600, "8N1")


class SerialLine:
    """An open serial port."""

    def __init__(
        self, port: str, device: SerialDevice, clock: Clock, direction: Direction, listed: ListsNames = _listed_names
    ) -> None:
        self._port = port
        self._device = device
        self._clock = clock
        self._toggles_rts = direction is Direction.RTS
        self._listed = listed
        self._settings = FIRST_SETTINGS
        self._is_set = False
        self._is_closed = False
        self._marks = MarkReporting.NOT_AVAILABLE
        self._settings_change_s = SETTINGS_CHANGE_S
        self._sending = SendingTimes(START_UNCERTAINTY_S)
        self._looks = EmptyLooks(clock, device.wait)

    @property
    def traits(self) -> LineTraits:
        """What this port carries and reports; a pseudo terminal spends no wire time and carries no framing."""
        nature = self._device.nature
        is_real = not nature.is_pseudo_terminal
        return LineTraits(
            carries_speed=True,
            carries_framing=is_real,
            spends_wire_time=is_real,
            mark_reporting=self._marks,
            echo=Echo.NOT_KNOWN if is_real else Echo.NOT_HEARD,
            latency_s=nature.latency_s,
            latency_source=nature.latency_source,
            settings_change_s=self._settings_change_s,
            is_simulated=False,
        )

    @property
    def settings(self) -> SerialSettings:
        """The settings last applied."""
        return self._settings

    def apply(self, settings: SerialSettings) -> None:
        """Set the port anew, once; nothing if nothing changes.

        Raises:
            PortError: The settings are refused, and the port is then at no settings that can be relied on: the next
                `apply` sets it whatever is asked. Or the port is gone.
        """
        if self._is_set and settings == self._settings:
            return
        self._require_open()
        began_s = self._clock.now_s()
        self._is_set = False
        try:
            self._marks = self._device.set_up(settings)
        except RefusedSettings as reason:
            raise settings_refused(self._port, f"{settings} (it sets {reason.words})") from reason
        except FOREIGN_ERRORS as reason:
            if is_gone(self._port, reason, self._listed):
                raise lost(self._port, reason, self._listed) from reason
            raise settings_refused(self._port, str(settings)) from reason
        self._is_set = True
        self._settings = settings
        self._settings_change_s = self._clock.now_s() - began_s

    def write(self, data: bytes) -> Sent:
        """Hand bytes to the system; say when their last bit will have ended.

        Where RTS switches the direction (an expert setting) it returns only when all has been sent, for the driver
        of the pair must be switched off then and not when somebody next looks.
        """
        if not data:
            raise ValueError("nothing to send")
        self._require_open()
        before_s = self._clock.now_s()
        try:
            if self._toggles_rts:
                self._device.drive(True)  # noqa: FBT003 - the level of one wire
            self._device.write(data)
            after_s = self._clock.now_s()
            sent = self._computed(before_s, after_s, len(data))
            if self._toggles_rts:
                self._release(sent.end_not_before_s)
        except LOST_ERRORS as reason:
            raise lost(self._port, reason, self._listed) from reason
        return sent

    def _computed(self, before_s: float, after_s: float, byte_count: int) -> Sent:
        """Return when these bytes are on the line; on a pseudo terminal they are through when the call returns."""
        if self._device.nature.is_pseudo_terminal:
            return Sent(before_s, after_s, after_s)
        return self._sending.sent(before_s, after_s, byte_count * self._settings.character_s)

    def _release(self, end_s: float) -> None:
        """Switch the driver of the pair off: not before the system is done, nor before the last bit can have ended."""
        self._device.wait_until_sent()
        self._clock.sleep_until(end_s)
        self._device.drive(False)  # noqa: FBT003 - the level of one wire

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline."""
        self._require_open()
        while True:
            try:
                if not self._looks.wait(until_s):
                    return None
                looked_s = self._clock.now_s()
                taken = self._device.take()
            except LOST_ERRORS as reason:
                raise lost(self._port, reason, self._listed) from reason
            if taken.data or taken.marks:
                break
        now_s = self._clock.now_s()
        arrival = Arrival(taken.data, taken.marks, self._looks.last_empty_s - self._device.nature.latency_s, now_s)
        self._looks.emptied(looked_s)
        return arrival

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that waits now; what comes meanwhile may be among it, what comes later is not waited for."""
        arrivals: list[Arrival] = []
        began_s = self._clock.now_s()
        while (arrival := self.read(began_s)) is not None:
            arrivals.append(arrival)
            if self._clock.now_s() - began_s > LONGEST_DISCARD_S:
                break
        return tuple(arrivals)

    def close(self) -> None:
        """Give the port back."""
        if not self._is_closed:
            self._is_closed = True
            self._device.close()

    def _require_open(self) -> None:
        if self._is_closed:
            raise PortError(self._port, PortProblem.VANISHED, f"{self._port} has been closed: open it again")


def open_serial_line(
    port: str,
    settings: SerialSettings,
    options: PortOptions,
    clock: Clock,
    opens: OpensSerial | None = None,
    listed: ListsNames = _listed_names,
) -> SerialLine:
    """Open a serial port for ourselves alone.

    Raises:
        PortError: Missing, busy, forbidden, not a port, or the settings are refused.
    """
    line = SerialLine(port, open_device(port, options, listed, opens), clock, options.direction, listed)
    try:
        line.apply(settings)
    except PortError:
        line.close()
        raise
    return line
