"""What would make a cycle shorter: each change that can be made is tried, and what it saves is told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.registers.cycle_forecast import CycleRules, DeviceCycle, cycle_forecast
from buswalk.domain.registers.what_if import USUAL_SPEEDS, device_at_speed, with_latency

QUICK_LATENCY_S = 0.001
"""What adapters can be set to that hand over after 16 ms by default (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Help:
    """Something that can be done, and the seconds that each cycle would be shorter."""

    what: str
    saves_s: float


def what_would_help(devices: Sequence[DeviceCycle], rules: CycleRules) -> tuple[Help, ...]:
    """Return what would make the cycle shorter, the most first."""
    now_s = cycle_forecast(devices, rules).cycle_s
    helps = [
        Help(what, now_s - cycle_forecast(changed, rules).cycle_s)
        for what, change in _CHANGES
        for changed in (change(devices),)
        if any(not one.is_absent for one in changed)
    ]
    return tuple(sorted((one for one in helps if one.saves_s > now_s * 0.01), key=lambda one: -one.saves_s))


def _next_speed(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    slowest = min(one.settings.baud_rate for one in devices)
    faster = next((one for one in USUAL_SPEEDS if one > slowest), slowest)
    return tuple(device_at_speed(one, faster) if one.settings.baud_rate < faster else one for one in devices)


def _quick_adapter(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    quicker = with_latency(devices, QUICK_LATENCY_S)
    return tuple(min(pair, key=lambda one: one.costs.beside_s) for pair in zip(devices, quicker, strict=True))


def _all_answer(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    return tuple(replace(one, unanswered_share=0.0) for one in devices if not one.is_absent)


def _no_gap(devices: Sequence[DeviceCycle]) -> tuple[DeviceCycle, ...]:
    return tuple(
        replace(
            one,
            minimum_gap_s=0.0,
            costs=replace(
                one.costs,
                beside_s=max(0.0, one.costs.beside_s - one.silence_s) + inter_frame_delay_s(one.settings),
            ),
        )
        for one in devices
    )


_CHANGES: tuple[tuple[str, Callable[[Sequence[DeviceCycle]], tuple[DeviceCycle, ...]]], ...] = (
    ("the next higher speed, on the slowest devices", _next_speed),
    ("an adapter that hands over after 1 ms", _quick_adapter),
    ("an answer to every request: repair or take out what is silent", _all_answer),
    ("no pause beyond t3.5, if the devices bear it", _no_gap),
)
