"""A swimming hall: warm water, dosing that is only shown, levels, pumps and meters."""

from __future__ import annotations

from math import pi, sin


def water_temperature_c(time_s: float) -> float:
    """Held within a few tenths."""
    return 28.2 + 0.15 * sin(2 * pi * time_s / 1500.0)


def hall_temperature_c(time_s: float) -> float:
    """Two kelvin above the water, as halls are run."""
    return 30.3 + 0.3 * sin(2 * pi * time_s / 900.0)


def room_temperature_c(time_s: float) -> float:
    """A changing room."""
    return 23.5 + 0.4 * sin(2 * pi * time_s / 1100.0)


def free_chlorine_mg_l(time_s: float) -> float:
    """Swings with dosing and bathers."""
    return 0.45 + 0.06 * sin(2 * pi * time_s / 600.0)


def acidity_ph(time_s: float) -> float:
    """Close to neutral."""
    return 7.2 + 0.03 * sin(2 * pi * time_s / 1900.0)


def balance_tank_m(time_s: float) -> float:
    """Level of the balance tank."""
    return 1.35 + 0.1 * sin(2 * pi * time_s / 2400.0)


def pump_speed_percent(time_s: float) -> float:
    """Day programme."""
    return 72.0 + 3.0 * sin(2 * pi * time_s / 300.0)


def meter_energy_wh(time_s: float) -> float:
    """Counts up: 45 kW."""
    return 88_000_000.0 + 45_000.0 * time_s / 3600.0


def water_volume_l(time_s: float) -> float:
    """Counts up: 900 litres an hour of make-up water."""
    return 4_210_000.0 + 900.0 * time_s / 3600.0


def electrical_power_w(time_s: float) -> float:
    """Pumps and air handling."""
    return 41_500.0 + 1_800.0 * sin(2 * pi * time_s / 240.0)
