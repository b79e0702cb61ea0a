"""A device that nobody asks any more goes to its safe state: a drive stops, an output falls back."""

from __future__ import annotations

from simulated_line.servers.device_habits import LossReaction, LossRecovery
from simulated_line.servers.register_map import RegisterMap, Table, Value
from simulated_line.station import Appointment, Pair


class LossTimer:
    """Counts from each request to its device; begins with the first one, as devices do (common practice, no source)."""

    def __init__(self, pair: Pair, registers: RegisterMap, reaction: LossReaction) -> None:
        self._pair = pair
        self._registers = registers
        self._reaction = reaction
        self._asked_s = 0.0
        self._appointment: Appointment | None = None
        self._before: dict[tuple[Table, int], Value] = {}

    @property
    def is_safe(self) -> bool:
        """Whether the device is in its safe state."""
        return bool(self._before)

    def asked(self) -> None:
        """Begin to count anew; a device that recovers by itself takes its values up again."""
        if not self._reaction.timer_s:
            return
        self._asked_s = self._pair.now_s()
        if self._reaction.recovery is LossRecovery.WHEN_ASKED:
            self._recover()
        if self._appointment is None:
            self._appointment = self._pair.at(self._asked_s + self._reaction.timer_s, self._look)

    def restart(self) -> None:
        """The supply was away."""
        self._recover()
        self.stop()

    def stop(self) -> None:
        """Without supply nothing is counted."""
        if self._appointment is not None:
            self._appointment.call_off()
            self._appointment = None

    def _look(self) -> None:
        """Time may be up; one appointment follows the last request instead of one for each."""
        self._appointment = None
        due_s = self._asked_s + self._reaction.timer_s
        if self._pair.now_s() < due_s:
            self._appointment = self._pair.at(due_s, self._look)
            return
        for table, address, value in self._reaction.safe_values:
            self._before.setdefault((table, address), self._registers.cells[table][address])
            self._registers.put(table, address, value)

    def _recover(self) -> None:
        """Take up the values again, save those that were written meanwhile."""
        safe = {(table, address): value for table, address, value in self._reaction.safe_values}
        for (table, address), old in self._before.items():
            if self._registers.cells[table][address] == safe[table, address]:
                self._registers.put(table, address, old)
        self._before.clear()
