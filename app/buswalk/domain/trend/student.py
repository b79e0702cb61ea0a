"""Student's t for limits of 95 %, both sides."""

from __future__ import annotations

import math

Z = 1.959964
"""97.5 % point of the normal distribution."""


def student_t(freedom: float) -> float:
    """Return the 97.5 % point for so many degrees of freedom; infinite below 2.

    Expansion in 1 / freedom (Abramowitz and Stegun, 26.7.5): at 3 it is 1 % low, from 5 on right to 0.1 %.
    """
    if freedom < 2:
        return math.inf
    z, f = Z, freedom
    return (
        z
        + (z**3 + z) / (4 * f)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * f**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * f**3)
        + (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / (92160 * f**4)
    )
