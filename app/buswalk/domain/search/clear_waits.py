"""Waits of the passes of a thorough search: together they catch every slow reply while nobody here sends.

An adapter is deaf while it sends. In a pass with one wait w at one speed, requests follow each other like this, and a
reply that begins T after its request is heard whole if it lies within a w:

    request | w | request | w | request | w ...

With one wait some T always meet a request; other waits shift the requests, so that those T lie clear.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.search.probe import REQUEST_BYTES

SHORTEST_WAIT_S = 0.060
LONGEST_TURNAROUND_S = 1.5
REPLY_BYTES = 7
"""One register; a refusal has 5, one coil 6."""
GUARD_S = 0.001
"""On either side of a reply: times of ports are not sharper."""
STEP_S = 0.004
MOST_WAITS = 160
SECONDS_A_POINT = 0.0005

Mask = NDArray[np.bool_]


@cache
def clear_waits_s(baud_rate: int, latency_s: float) -> tuple[float, ...]:
    """Return the waits of the passes at one speed, latency not included, the shortest first; as short as can be.

    Raises:
        ValueError: The speed is so low that no three passes do.
    """
    shortest_s = first_wait_s(baud_rate)
    request_s = REQUEST_BYTES * _character_s(baud_rate)
    waits_s = [round(shortest_s + STEP_S * number, 6) for number in range(MOST_WAITS)]
    clear = np.array([is_clear(baud_rate, one + latency_s) for one in waits_s])
    missed = ~clear[0]
    choices: list[tuple[float, tuple[float, ...]]] = []
    for second in range(1, MOST_WAITS):
        still = missed & ~clear[second]
        if not still.any():
            choices.append((waits_s[second] + request_s, (waits_s[second],)))
            break
        thirds = np.flatnonzero(clear[second + 1 :, still].all(axis=1))
        if len(thirds):
            third_s = waits_s[second + 1 + int(thirds[0])]
            choices.append((waits_s[second] + third_s + 2.0 * request_s, (waits_s[second], third_s)))
    if not choices:
        raise ValueError(f"no three waits do at {baud_rate} baud")
    return shortest_s, *min(choices)[1]


def first_wait_s(baud_rate: int) -> float:
    """Return the wait of the first pass: room for a whole reply."""
    steps = np.ceil((REPLY_BYTES * _character_s(baud_rate) + 2.0 * GUARD_S) / STEP_S)
    return max(SHORTEST_WAIT_S, round(float(steps) * STEP_S, 6))


def turnarounds_s() -> NDArray[np.float64]:
    """Return the turnarounds that are looked at: from the shortest wait to the longest claimed, close together."""
    return np.arange(SHORTEST_WAIT_S, LONGEST_TURNAROUND_S + SECONDS_A_POINT / 2, SECONDS_A_POINT)


def is_clear(baud_rate: int, wait_s: float) -> Mask:
    """Tell of each turnaround whether its reply lies clear of our sending where each wait, with latency, is so long."""
    character_s = _character_s(baud_rate)
    wait_s = max(wait_s, inter_frame_delay_s(_slowest(baud_rate)))
    cycle_s = REQUEST_BYTES * character_s + wait_s
    begins_s = np.mod(turnarounds_s() - GUARD_S, cycle_s)
    clear: Mask = begins_s + REPLY_BYTES * character_s + 2.0 * GUARD_S <= wait_s
    return clear


def _slowest(baud_rate: int) -> SerialSettings:
    """With parity, or with two stop bits, a character is longest: 11 bits."""
    return SerialSettings(baud_rate, Parity.EVEN, 1)


def _character_s(baud_rate: int) -> float:
    return _slowest(baud_rate).character_s
