"""The laws that move the values, against the equations they solve and the limits of what they stand for."""

from __future__ import annotations

from math import e

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulated_line.processes import greenhouse, hall
from simulated_line.processes.table import PROCESSES, process_value

DAY_S = 86_400.0
COUNTERS = ("heat_energy", "pulse_count", "meter_energy", "water_volume")


def slope(value_at: tuple[float, float], step_s: float) -> float:
    """Change per second."""
    return (value_at[1] - value_at[0]) / step_s


@pytest.mark.parametrize("time_s", [0.0, 300.0, 1100.0, 1300.0, 3000.0, 9000.0])
def test_the_air_of_a_bay_obeys_its_equation(time_s: float) -> None:
    """T' = (T_out - T + sun) / 40 min, checked by differences: the closed form solves it, before and behind sunrise."""
    step_s = 0.01
    here = greenhouse.air_temperature_c(time_s)
    change = slope((here, greenhouse.air_temperature_c(time_s + step_s)), step_s)
    sun_k = greenhouse.SUN_GAIN_K if time_s > greenhouse.SUNRISE_S else 0.0

    assert change == pytest.approx((greenhouse.OUTDOOR_C - here + sun_k) / 2400.0, rel=1e-3)


def test_the_night_falls_by_one_in_e_in_a_lag() -> None:
    """A first-order lag keeps 1/e of its step after its time constant; here without the sun."""
    start_k = greenhouse.START_C - greenhouse.OUTDOOR_C
    sun_k = greenhouse.SUN_GAIN_K * (1 - e ** (-0.5))

    at_lag = greenhouse.air_temperature_c(greenhouse.LAG_S) - sun_k - greenhouse.OUTDOOR_C

    assert at_lag == pytest.approx(start_k / e)


def test_the_sunrise_has_no_step_in_the_air_but_a_kink() -> None:
    before, at, behind = (greenhouse.air_temperature_c(greenhouse.SUNRISE_S + shift_s) for shift_s in (-1.0, 0.0, 1.0))

    assert abs(behind - at) < 0.01
    assert at < before
    assert behind > at


@pytest.mark.parametrize("name", COUNTERS)
@given(st.floats(0.0, 7 * DAY_S), st.floats(1.0, DAY_S))
def test_counters_only_count_up(name: str, time_s: float, later_s: float) -> None:
    law = process_value(name, 1, "meter")

    assert law(time_s + later_s) > law(time_s)


def test_counters_count_at_their_rate() -> None:
    """12 kW make 12 kWh an hour, 45 kW make 45; 900 litres an hour."""
    hour = (0.0, 3600.0)
    heat, meter, water = (
        [law(time_s) for time_s in hour]
        for law in (greenhouse.heat_energy_wh, hall.meter_energy_wh, hall.water_volume_l)
    )

    assert [late - early for early, late in (heat, meter, water)] == pytest.approx([12_000.0, 45_000.0, 900.0])


LIMITS = {
    "air_temperature": (5.0, 40.0),
    "outdoor_temperature": (5.0, 15.0),
    "relative_humidity": (30.0, 100.0),
    "carbon_dioxide": (380.0, 950.0),
    "soil_moisture": (38.0, 44.0),
    "fan_speed": (-1.0, 101.0),
    "flow_temperature": (44.0, 52.0),
    "water_temperature": (27.8, 28.6),
    "hall_temperature": (29.5, 31.0),
    "room_temperature": (22.5, 24.5),
    "free_chlorine": (0.3, 0.6),
    "acidity": (7.0, 7.4),
    "balance_tank": (1.2, 1.5),
    "pump_speed": (67.0, 77.0),
    "electrical_power": (39_000.0, 44_000.0),
}


def test_each_law_is_a_counter_or_has_limits() -> None:
    assert set(LIMITS) | set(COUNTERS) == set(PROCESSES)


@pytest.mark.parametrize("name", sorted(LIMITS))
@given(st.floats(0.0, 2 * DAY_S))
def test_values_stay_within_what_they_stand_for(name: str, time_s: float) -> None:
    low, high = LIMITS[name]

    assert low < process_value(name, 7, "sensor")(time_s) < high


def test_equal_seed_and_time_give_equal_noise_and_another_owner_another() -> None:
    first, again, neighbour = (
        process_value("air_temperature", seed, owner) for seed, owner in ((3, "a"), (3, "a"), (3, "b"))
    )

    assert [first(time_s) for time_s in range(50)] == [again(time_s) for time_s in range(50)]
    assert [first(time_s) for time_s in range(50)] != [neighbour(time_s) for time_s in range(50)]


def test_noise_is_about_as_strong_as_the_table_says() -> None:
    """Standard deviation around the owner's own offset, over 2000 steps of noise."""
    law, sigma = PROCESSES["carbon_dioxide"]
    noisy = process_value("carbon_dioxide", 5, "sensor")
    differences = [noisy(0.5 * step) - law(0.5 * step) for step in range(2000)]
    mean = sum(differences) / len(differences)

    measured = (sum((one - mean) ** 2 for one in differences) / len(differences)) ** 0.5

    assert measured == pytest.approx(sigma, rel=0.1)


def test_two_readings_of_one_moment_agree() -> None:
    value = process_value("relative_humidity", 1, "x")

    assert value(12.3) == value(12.3)
