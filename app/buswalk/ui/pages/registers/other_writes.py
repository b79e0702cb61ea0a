"""What is written behind the lock beside values: a device is moved, bytes of one's own are sent. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, Refused, StreamItem
from buswalk.domain.readdressing.visit_moves import Move
from buswalk.domain.watching.waits import wait_for_s
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.registers.frame_desk import FrameDesk
from buswalk.ui.pages.registers.known_devices import KnownDevice, KnownDevices
from buswalk.ui.pages.registers.move_desk import MoveDesk
from buswalk.ui.pages.registers.move_state import MoveTyped
from buswalk.ui.pages.registers.other_state import OtherWritesState
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.pages.registers.registers_state import RegistersFace, WriteState
from buswalk.ui.pages.registers.shown_list import ShownList
from buswalk.ui.pages.registers.write_desk import WriteDesk

LEAST_WAIT_S = 0.3
"""A device that is known to be quick is not waited for much longer: there are four places to look at."""
SAME_LOCK = {
    RegistersFace.MOVE: "One lock for all that is written: it opens the move too.",
    RegistersFace.BYTES: "One lock for all that is written: it opens the sending of bytes too.",
}


class OtherWrites:
    """Joins both with the lock, the device that is shown and its list."""

    def __init__(
        self, commands: Commands, write: WriteDesk, reading: ReadingDesk, devices: KnownDevices, shown: ShownList
    ) -> None:
        self._write = write
        self._reading = reading
        self._devices = devices
        self._list = shown
        self.moves = MoveDesk(reading.jobs)
        self.frames = FrameDesk(commands)

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case Refused():
                self.frames.take_refusal(item)
            case Kept(event=event):
                self.moves.take(event)
                self.frames.take(event)
            case _:
                pass

    # Moving

    def show_device(self) -> None:
        """The form is that of the device that is shown, by its list."""
        if self._list.device is not None:
            self.moves.show(self._list.device, self._list.profile())

    def change_move(self, typed: MoveTyped) -> None:
        """Take what was typed."""
        self.show_device()
        self.moves.change(typed, self._list.profile())

    def move(self) -> None:
        """Begin, if everything is there for it."""
        self.show_device()
        found = frozenset(one.server_address for one in self._devices.all if one.found is not None)
        device = self._list.device
        if device is not None:
            longest_s = self._reading.longest_turnaround_s(device.server_address)
            self.moves.start(self._write.lock, found, max(LEAST_WAIT_S, wait_for_s(longest_s)))

    def listed_move(self, row: int) -> Move | None:
        """Return the move of a row of what was changed; values come first there."""
        place = row - self._write.listed
        left = self.moves.not_put_back
        return left[place] if 0 <= place < len(left) else None

    # Sending

    def send(self) -> None:
        """Send the bytes that were typed."""
        if self._list.device is not None:
            self.frames.send(self._list.device, self._write.lock)

    # What is shown

    def state(self, device: KnownDevice, now_s: float) -> OtherWritesState:
        """Return both views."""
        lock, profile = self._write.lock, self._list.profile()
        self.show_device()
        return OtherWritesState(
            self.moves.state(device, profile, lock), self.moves.outcome(now_s), self.frames.state(device, lock)
        )

    def in_write_box(self, state: WriteState, face: RegistersFace) -> WriteState:
        """Return the write box with moved devices in its list; without a value where none is written in this view."""
        state = replace(state, changes=(*state.changes, *self.moves.rows()))
        if not face.writes_otherwise:
            return state
        return WriteState(
            face=state.face,
            title=state.title,
            refusal=SAME_LOCK[face],
            second=state.second,
            changes_note=state.changes_note,
            told=state.told,
            told_tone=state.told_tone,
            changes=state.changes,
            focus_wanted=state.focus_wanted,
        )
