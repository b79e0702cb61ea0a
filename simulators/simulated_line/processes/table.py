"""The one table of processes by name, with the noise that is added: equal seed and time, equal noise."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from simulated_line.processes import greenhouse, hall

NOISE_STEP_S = 0.5

PROCESSES: dict[str, tuple[Callable[[float], float], float]] = {
    "air_temperature": (greenhouse.air_temperature_c, 0.04),
    "outdoor_temperature": (greenhouse.outdoor_temperature_c, 0.05),
    "relative_humidity": (greenhouse.relative_humidity_percent, 0.2),
    "carbon_dioxide": (greenhouse.carbon_dioxide_ppm, 3.0),
    "soil_moisture": (greenhouse.soil_moisture_percent, 0.05),
    "fan_speed": (greenhouse.fan_speed_percent, 0.2),
    "heat_energy": (greenhouse.heat_energy_wh, 0.0),
    "pulse_count": (greenhouse.pulse_count, 0.0),
    "flow_temperature": (greenhouse.flow_temperature_c, 0.1),
    "water_temperature": (hall.water_temperature_c, 0.02),
    "hall_temperature": (hall.hall_temperature_c, 0.05),
    "room_temperature": (hall.room_temperature_c, 0.05),
    "free_chlorine": (hall.free_chlorine_mg_l, 0.004),
    "acidity": (hall.acidity_ph, 0.003),
    "balance_tank": (hall.balance_tank_m, 0.002),
    "pump_speed": (hall.pump_speed_percent, 0.2),
    "meter_energy": (hall.meter_energy_wh, 0.0),
    "water_volume": (hall.water_volume_l, 0.0),
    "electrical_power": (hall.electrical_power_w, 60.0),
}
"""Function of line time in seconds, and the standard deviation of the noise on it, in its unit."""


def process_value(name: str, seed: int, owner: str) -> Callable[[float], float]:
    """Return a process with the noise of one owner: two sensors of one bay differ a little.

    Raises:
        KeyError: There is no process of that name.
    """
    law, noise = PROCESSES[name]
    offset = Random(f"{seed}:{owner}:{name}").gauss(0.0, noise)

    def value(time_s: float) -> float:
        if not noise:
            return law(time_s)
        step = int(time_s / NOISE_STEP_S)
        return law(time_s) + offset + Random(f"{seed}:{owner}:{name}:{step}").gauss(0.0, noise)

    return value
