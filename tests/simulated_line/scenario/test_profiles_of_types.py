"""Each shipped profile of a demo type says what the simulated device truly holds, moving values included."""

from __future__ import annotations

from decimal import Decimal

import pytest

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue
from buswalk.shipped_files import profile_folder
from buswalk.storage.profile_files import read_profile
from simulated_line.processes.table import process_value
from simulated_line.scenario.building import registers_of
from simulated_line.scenario.reading import load_type
from simulated_line.servers.register_map import RegisterMap, Table

SEED = 20261126
OWNER = "bay"
LOOKED_AT_S = (0.0, 61.0, 1500.0, 5000.0)

PROCESSES: dict[str, dict[str, tuple[str, float]]] = {
    "air-transmitter": {
        "air_temperature": ("air_temperature", 1.0),
        "relative_humidity": ("relative_humidity", 1.0),
        "carbon_dioxide": ("carbon_dioxide", 1.0),
    },
    "air-handler": {"hall_temperature": ("hall_temperature", 1.0)},
    "water-analyser": {"free_chlorine": ("free_chlorine", 1.0), "acidity": ("acidity", 1.0)},
    "io-controller-p": {
        "input_1": ("air_temperature", 1.0),
        "input_2": ("flow_temperature", 1.0),
        "heat_energy": ("heat_energy", 0.001),
    },
    "fan-coil-thermostat": {"room_temperature": ("room_temperature", 1.0)},
    "fan-drive": {"speed": ("fan_speed", 1.0)},
    "pump-drive": {"speed": ("pump_speed", 1.0)},
    "heat-meter": {
        "heat_energy": ("heat_energy", 1.0),
        "flow_temperature": ("flow_temperature", 1.0),
        "heat_energy_copy": ("heat_energy", 1.0),
    },
    "level-transmitter": {"level": ("balance_tank", 1.0), "level_copy": ("balance_tank", 1.0)},
    "energy-water-meter": {"energy": ("meter_energy", 0.001), "water_volume": ("water_volume", 0.001)},
    "soil-probe": {"soil_moisture": ("soil_moisture", 1.0)},
    "weather-station": {"air_temperature": ("outdoor_temperature", 1.0)},
    "three-phase-meter": {"power": ("electrical_power", 1.0)},
}
"""Which process moves which point, and the factor from its unit to that of the point (Wh to kWh, litres to m3)."""

STANDING: dict[str, dict[str, object]] = {
    "air-transmitter": {"temperature_correction": Decimal(0), "lamp": "on"},
    "air-handler": {
        "temperature_setpoint": Decimal("30.3"),
        "carbon_dioxide_limit": Decimal(650),
        "supply_fan": "runs",
    },
    "io-controller-p": {
        "input_3": None,
        "input_1_kind": "temperature",
        "output_1": Decimal(35),
        "loss_time": Decimal(60),
        "relay_2": True,
        "contact_4": "closed",
        "test_integer": Decimal("-123.45"),
        "test_float": Decimal("-123.45"),
        "test_text": "-123.45",
    },
    "fan-coil-thermostat": {"temperature_setpoint": Decimal(22), "fan_stage": "middle", "occupied": "yes"},
    "fan-drive": {"speed_setpoint": Decimal(30), "current": Decimal("1.4"), "fault": "none"},
    "pump-drive": {"speed_setpoint": Decimal(72), "speed_setpoint_kept": Decimal(72), "fault": "none"},
    "soil-probe": {"soil_temperature": Decimal("18.3")},
    "weather-station": {
        "maker": "Example Weather",
        "air_pressure": Decimal(1013),
        "electric_field": None,
        "surface_wetness": Decimal(0),
    },
    "three-phase-meter": {"maker": "Example Power"},
}
"""Words that stand still in `simulators/scenarios/types`, in the words and units of the list. None: no value."""
TYPES = {
    "air-transmitter": "air_transmitter",
    "air-handler": "air_handler",
    "water-analyser": "analyser",
    "io-controller-p": "controller_p",
    "fan-coil-thermostat": "fan_coil",
    "fan-drive": "fan_drive",
    "pump-drive": "pump_drive",
    "heat-meter": "heat_meter",
    "level-transmitter": "level_transmitter",
    "energy-water-meter": "meter",
    "soil-probe": "soil_probe",
    "weather-station": "weather_station",
    "three-phase-meter": "three_phase_meter",
}


def profile_of(name: str) -> RegisterProfile:
    return read_profile(profile_folder() / f"{name}.toml")


def device_of(name: str) -> RegisterMap:
    file = load_type(TYPES[name])
    return registers_of(file.cell, file.habits, SEED, OWNER)


def words_of(device: RegisterMap, point: Point, now_s: float) -> list[int]:
    return device.read(Table(point.table.value), point.register_address, point.value_type.words, now_s)


@pytest.mark.parametrize(
    ("name", "point_name"), [(name, point) for name, points in PROCESSES.items() for point in points]
)
def test_a_moving_value_is_the_process_within_half_a_step(name: str, point_name: str) -> None:
    """The truth is the process itself, computed without registers."""
    point, device = profile_of(name).point(point_name), device_of(name)
    process, factor = PROCESSES[name][point_name]
    truth = process_value(process, SEED, OWNER)

    for now_s in LOOKED_AT_S:
        seen = value_of(point, words_of(device, point, now_s))

        assert isinstance(seen, NumberValue)
        assert float(seen.value) == pytest.approx(truth(now_s) * factor, rel=1e-6, abs=float(abs(point.scale)) / 2)


@pytest.mark.parametrize(("name", "point_name"), [(name, point) for name, held in STANDING.items() for point in held])
def test_a_standing_value_is_what_the_type_holds(name: str, point_name: str) -> None:
    point = profile_of(name).point(point_name)

    match value_of(point, words_of(device_of(name), point, 0.0)):
        case NumberValue(value, _, named):
            seen: object = named or value
        case BitValue(is_on, named):
            seen = named or is_on
        case TextValue(text):
            seen = text
        case NoValue():
            seen = None

    assert seen == STANDING[name][point_name]


@pytest.mark.parametrize("name", TYPES)
def test_every_point_that_can_be_read_is_there(name: str) -> None:
    device = device_of(name)
    missing = [
        point.name
        for point in profile_of(name).points
        if point.access is not Access.WRITE
        and not device.has(Table(point.table.value), point.register_address, point.value_type.words)
    ]

    # The counter of a memory is put in place by the device, not by its cells.
    assert missing == (["memory_writes"] if name == "pump-drive" else [])
