"""From the tables of a scenario file to the parts of a line."""

from __future__ import annotations

import struct
from collections.abc import Callable, Sequence

from simulated_line.adapter.adapter_habits import AdapterHabits
from simulated_line.pair.line_habits import (
    Glitches,
    Held,
    LineHabits,
    NoiseBursts,
    OpenPlace,
    WeakPlace,
    Window,
)
from simulated_line.processes.table import process_value
from simulated_line.scenario.adapter_table import AdapterTable
from simulated_line.scenario.device_tables import CellTable, DeviceTable, SecondPortTable, TypeFile
from simulated_line.scenario.habit_tables import HabitsTable, MemoryTable
from simulated_line.scenario.line_tables import LineTable, OpenTable, WindowTable
from simulated_line.servers.device_habits import DeviceHabits, Disobedience, LossReaction, Memory, SpeedCode, Turnaround
from simulated_line.servers.register_map import RegisterMap, Value
from simulated_line.servers.second_port import Mirrored, PortHabits

LONGEST_STORY_S = 4 * 3600.0


def line_habits_of(table: LineTable) -> LineHabits:
    """Return the habits of the pair."""
    bursts, held, weak, opened = table.bursts, table.held, table.weak_place, table.open_place
    glitches = table.glitches
    return LineHabits(
        bit_error_rate=table.bit_error_rate,
        growth_per_100_m=table.growth_per_100_m,
        edge_error_rate=table.edge_error_rate,
        biased=table.biased,
        overlap=table.overlap,
        glitches=Glitches(
            glitches.before,
            glitches.after,
            (glitches.low_bits[0], glitches.low_bits[1]),
            (glitches.lead_characters[0], glitches.lead_characters[1]),
            tuple(glitches.devices),
        ),
        bursts=NoiseBursts(bursts.per_second, bursts.shortest_s, bursts.longest_s, bursts.with_plant, bursts.period_s)
        if bursts
        else None,
        held=Held(held.level, _windows(held.windows)) if held else None,
        open_place=OpenPlace(opened.after_place, _open_windows(opened)) if opened else None,
        weak_place=WeakPlace(weak.after_place, weak.bit_error_rate) if weak else None,
        noise_on_battery=table.noise_on_battery,
    )


def _windows(tables: list[WindowTable]) -> tuple[Window, ...]:
    return tuple(Window(one.from_s, one.until_s) for one in tables)


def _open_windows(table: OpenTable) -> tuple[Window, ...]:
    """A loose contact comes and goes; otherwise the windows as they stand."""
    if not table.off_s:
        return _windows(table.windows)
    period_s = table.on_s + table.off_s
    count = int(LONGEST_STORY_S / period_s)
    return tuple(Window(table.on_s + at * period_s, (at + 1) * period_s) for at in range(count))


def adapter_habits_of(table: AdapterTable) -> AdapterHabits:
    """Return the habits of the adapter."""
    values = table.model_dump()
    if table.release_early_characters:
        values["release_late_characters"] = 0.0
    return AdapterHabits(**values)


def device_habits_of(device: DeviceTable, type_file: TypeFile) -> DeviceHabits:
    """Return the habits of one device: those of its type, with what the scenario sets put over them."""
    table = habits_of(device, type_file)
    law = table.turnaround
    return DeviceHabits(
        settings=device.settings,
        automatic_speed=table.automatic_speed,
        checks_parity=table.checks_parity,
        turnaround=Turnaround(law.least_s, law.median_s, law.tail_share, max(law.most_s, law.median_s)),
        boot_s=table.boot_s,
        minimum_gap_s=table.minimum_gap_s,
        gap_counts_from=table.gap_counts_from,
        gap_reaction=table.gap_reaction,
        functions=frozenset(table.functions),
        unknown_function=table.unknown_function,
        outside_map=table.outside_map,
        outside_code=table.outside_code,
        largest_quantity=table.largest_quantity,
        pause_inside=(table.pause_after_byte, table.pause_s),
        release_late_characters=table.release_late_characters,
        enable_late_characters=table.enable_late_characters,
        write_effect=table.write_effect,
        falls_back_after_s=table.falls_back_after_s,
        clip_to=(table.clip_low, table.clip_high),
        address_register=table.address_register,
        speed_register=table.speed_register,
        speed_codes=tuple(SpeedCode(one.code, one.settings) for one in table.speed_codes),
        busy_until_s=table.busy_until_s,
        busy_code=table.busy_code,
        save_register=table.save_register,
        memory=_memory_of(table.memory),
        loss=_loss_of(table),
        speaks_ascii=table.speaks_ascii,
        disobedience=Disobedience(**table.disobedience.model_dump()),
    )


def habits_of(device: DeviceTable, type_file: TypeFile) -> HabitsTable:
    """Return the habits of the type with those of the device put over them."""
    if device.habits is None:
        return type_file.habits
    return type_file.habits.model_copy(
        update={name: getattr(device.habits, name) for name in device.habits.model_fields_set}
    )


def _memory_of(table: MemoryTable) -> Memory:
    return Memory(
        frozenset(table.wearing),
        frozenset(table.volatile),
        table.counter_at,
        table.life_writes,
        table.written_before,
    )


def _loss_of(table: HabitsTable) -> LossReaction:
    values = tuple(
        (one.table, one.address + offset, word) for one in table.safe_values for offset, word in enumerate(one.words)
    )
    return LossReaction(table.loss_timer_s, values, table.loss_recovery)


def registers_of(cells: Sequence[CellTable], habits: HabitsTable, seed: int, owner: str) -> RegisterMap:
    """Return the tables of one device; a shifted map lies that many addresses higher than the list says."""
    registers = RegisterMap(frozen_from_s=habits.frozen_from_s)
    for cell in cells:
        at = cell.address + habits.map_shift
        registers.put(cell.table, at, *_values(cell, seed, owner))
        if cell.clear_on_read:
            registers.clear_on_read.add((cell.table, at))
    return registers


def second_port_of(table: SecondPortTable) -> tuple[PortHabits, tuple[Mirrored, ...]]:
    """Return how a second port asks, and what it shows."""
    habits = PortHabits(table.settings, table.period_s, table.timeout_s, table.when_lost, table.shown_after_s)
    mirrored = tuple(
        Mirrored(one.address, one.table, one.register_address, one.quantity, one.shown_in, one.shown_at, one.age_at)
        for one in table.behind
    )
    return habits, mirrored


def _values(cell: CellTable, seed: int, owner: str) -> list[Value]:
    if cell.process:
        return _moving(cell, process_value(cell.process, seed, owner))
    if cell.text:
        raw = cell.text.encode("ascii") + b"\x00" * (len(cell.text) % 2)
        return [int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2)]
    return list(cell.words)


def _moving(cell: CellTable, value: Callable[[float], float]) -> list[Value]:
    def word(index: int) -> Callable[[float], int]:
        def at(time_s: float) -> int:
            raw = _raw(cell.kind, value(time_s) * cell.scale)
            return int.from_bytes(raw[2 * index : 2 * index + 2], "big")

        return at

    return [word(index) for index in range(1 if cell.kind == "int16" else 2)]


def _raw(kind: str, value: float) -> bytes:
    match kind:
        case "int16":
            return struct.pack(">h", max(-32768, min(32767, round(value))))
        case "uint32_high_first":
            return struct.pack(">I", round(value))
        case "uint32_low_first":
            raw = struct.pack(">I", round(value))
            return raw[2:] + raw[:2]
    raw = struct.pack(">f", value)
    match kind:
        case "float_low_first":
            return raw[2:] + raw[:2]
        case "float_bytes_exchanged":
            return bytes((raw[1], raw[0], raw[3], raw[2]))
        case _:
            return raw
