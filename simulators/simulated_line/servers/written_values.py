"""What becomes of a written value: when it acts, what memory it goes to, and what a restart leaves of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.servers.answers import Refused
from simulated_line.servers.device_habits import DeviceHabits, Memory, WriteEffect
from simulated_line.servers.register_map import RegisterMap, Table, Value
from simulated_line.station import Pair

SERVER_DEVICE_FAILURE = 0x04
"""Application V1.1b3, 7: an unrecoverable error while the action was attempted."""
HIGHEST_ADDRESS = 247


@dataclass(frozen=True, slots=True)
class Moving:
    """Called when the device is to listen at another address, or in other settings."""

    to_address: Callable[[int], None]
    to_settings: Callable[[SerialSettings], None]


class WrittenValues:
    """Takes written words and bits of one device."""

    def __init__(self, pair: Pair, registers: RegisterMap, habits: DeviceHabits, moving: Moving) -> None:
        self._pair = pair
        self._registers = registers
        self._habits = habits
        self._moving = moving
        self._waiting: dict[int, int] = {}
        self._before: dict[tuple[Table, int], Value] = {}
        self._writes = habits.memory.written_before
        if habits.memory.counter_at >= 0:
            registers.put(
                Table.INPUT_REGISTERS,
                habits.memory.counter_at,
                lambda _: self._writes >> 16,
                lambda _: self._writes & 0xFFFF,
            )

    def store(self, table: Table, address: int, value: int) -> None:
        """Take a written value.

        Raises:
            Refused: The memory behind it is worn out.
        """
        habits = self._habits
        match habits.write_effect:
            case WriteEffect.IGNORED:
                return
            case WriteEffect.CLIPPED:
                value = min(max(value, habits.clip_to[0]), habits.clip_to[1])
            case WriteEffect.FALLS_BACK:
                old = self._registers.cells[table][address]
                fall_s = self._pair.now_s() + habits.falls_back_after_s
                self._pair.at(fall_s, lambda: self._registers.put(table, address, old))
            case WriteEffect.AFTER_SAVE if table is Table.HOLDING_REGISTERS and address == habits.save_register:
                self._save()
                return
            case WriteEffect.AT_ONCE | WriteEffect.AFTER_RESTART | WriteEffect.AFTER_SAVE:
                pass
        self._keep(table, address, value)
        if table is Table.HOLDING_REGISTERS:
            self._act(address, value)

    def restart(self) -> None:
        """The supply was away: what was only in volatile memory is lost, what waited for a restart acts."""
        for (table, address), old in self._before.items():
            self._registers.put(table, address, old)
        self._before.clear()
        waiting, self._waiting = self._waiting, {}
        if self._habits.write_effect is WriteEffect.AFTER_RESTART:
            for address, value in waiting.items():
                self._perhaps_move(address, value)

    def _keep(self, table: Table, address: int, value: int) -> None:
        """Show the value at once, and note what comes back without supply."""
        memory = self._habits.memory
        if table is Table.HOLDING_REGISTERS and address in memory.wearing:
            self._wear(memory)
        is_volatile = table is Table.HOLDING_REGISTERS and address in memory.volatile
        if is_volatile or self._habits.write_effect is WriteEffect.AFTER_SAVE:
            self._before.setdefault((table, address), self._registers.cells[table][address])
        self._registers.put(table, address, value)

    def _wear(self, memory: Memory) -> None:
        if memory.life_writes and self._writes >= memory.life_writes:
            raise Refused(SERVER_DEVICE_FAILURE)
        self._writes += 1

    def _act(self, address: int, value: int) -> None:
        if self._habits.write_effect in (WriteEffect.AFTER_RESTART, WriteEffect.AFTER_SAVE):
            self._waiting[address] = value
        else:
            self._perhaps_move(address, value)

    def _save(self) -> None:
        """Everything written so far is there for good, and acts."""
        volatile = self._habits.memory.volatile
        kept = [one for one in self._before if one[0] is not Table.HOLDING_REGISTERS or one[1] not in volatile]
        for one in kept:
            del self._before[one]
        waiting, self._waiting = self._waiting, {}
        for address, value in waiting.items():
            self._perhaps_move(address, value)

    def _perhaps_move(self, address: int, value: int) -> None:
        if address == self._habits.address_register and 1 <= value <= HIGHEST_ADDRESS:
            self._moving.to_address(value)
        if address == self._habits.speed_register:
            for one in self._habits.speed_codes:
                if one.code == value:
                    self._moving.to_settings(one.settings)
