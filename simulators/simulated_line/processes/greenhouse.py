"""A greenhouse bay: air that follows the weather with a lag of 40 minutes, and a sunrise step after 20 minutes."""

from __future__ import annotations

from math import exp, pi, sin

LAG_S = 40 * 60.0
SUNRISE_S = 20 * 60.0
OUTDOOR_C = 9.0
START_C = 18.0
SUN_GAIN_K = 14.0


def air_temperature_c(time_s: float) -> float:
    """Follow T' = (T_out - T) / 40 min + sun / 40 min, solved in closed form."""
    night = OUTDOOR_C + (START_C - OUTDOOR_C) * exp(-time_s / LAG_S)
    if time_s <= SUNRISE_S:
        return night
    return night + SUN_GAIN_K * (1.0 - exp(-(time_s - SUNRISE_S) / LAG_S))


def outdoor_temperature_c(time_s: float) -> float:
    """A slow swing around the morning's mean."""
    return OUTDOOR_C + 1.5 * sin(2 * pi * time_s / 7200.0)


def relative_humidity_percent(time_s: float) -> float:
    """Warm air takes up more: about 3 % less for each kelvin above the start."""
    return max(35.0, 78.0 - 3.0 * (air_temperature_c(time_s) - START_C))


def carbon_dioxide_ppm(time_s: float) -> float:
    """Plants draw it down once the sun is up."""
    return 900.0 if time_s <= SUNRISE_S else 420.0 + 480.0 * exp(-(time_s - SUNRISE_S) / 1800.0)


def soil_moisture_percent(time_s: float) -> float:
    """Dries by half a percent an hour, and is watered every two hours."""
    return 42.0 - 0.5 * (time_s % 7200.0) / 3600.0


def fan_speed_percent(time_s: float) -> float:
    """Follows the air temperature above 20 degrees."""
    return min(100.0, max(0.0, 12.0 * (air_temperature_c(time_s) - 20.0)))


def heat_energy_wh(time_s: float) -> float:
    """Counts up: 12 kW of heating."""
    return 1_250_000.0 + 12_000.0 * time_s / 3600.0


def flow_temperature_c(time_s: float) -> float:
    """Cycles with the mixing valve."""
    return 48.0 + 2.0 * sin(2 * pi * time_s / 420.0)


def pulse_count(time_s: float) -> float:
    """Counts up fast: a flow meter's 20 000 pulses a second pass a 16-bit word every three seconds."""
    return 3_000_000.0 + 20_000.0 * time_s
