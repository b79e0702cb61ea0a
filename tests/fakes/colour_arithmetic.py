"""Contrast, colour vision and colour difference by published formulas, written anew for the tests."""

from __future__ import annotations

import math

Rgb = tuple[float, float, float]

# Full loss of one cone type: the simulation matrices published in 2009 (Machado, Oliveira, Fernandes), on linear RGB.
PROTAN = (
    (0.152286, 1.052583, -0.204868),
    (0.114503, 0.786281, 0.099216),
    (-0.003882, -0.048116, 1.051998),
)
DEUTAN = (
    (0.367322, 0.860646, -0.227968),
    (0.280085, 0.672501, 0.047413),
    (-0.011820, 0.042940, 0.968881),
)
TRITAN = (
    (1.255528, -0.076749, -0.178779),
    (-0.078411, 0.930809, 0.147602),
    (0.004733, 0.691367, 0.303900),
)
FULL = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def linear(value: str) -> Rgb:
    """Return linear RGB of #RRGGBB (WCAG 2.2, relative luminance)."""
    parts = [int(value[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return red, green, blue


def luminance(rgb: Rgb) -> float:
    """Return relative luminance (WCAG 2.2)."""
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]


def contrast(one: Rgb, other: Rgb) -> float:
    """Return the contrast ratio (WCAG 2.2)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def seen_by(matrix: tuple[Rgb, Rgb, Rgb], rgb: Rgb) -> Rgb:
    """Return what is left of a colour, clipped to what a screen can show."""
    red, green, blue = (
        min(1.0, max(0.0, sum(factor * part for factor, part in zip(row, rgb, strict=True)))) for row in matrix
    )
    return red, green, blue


def lab(rgb: Rgb) -> Rgb:
    """Return CIE L*a*b* under D65 of linear sRGB (IEC 61966-2-1)."""
    red, green, blue = rgb
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    y = 0.2126729 * red + 0.7151522 * green + 0.0721750 * blue
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (t ** (1 / 3) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def ciede2000(one: Rgb, other: Rgb) -> float:
    """Return the difference of two L*a*b* colours by CIEDE2000 (CIE 142-2001, in the form of Sharma et al. 2005)."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean_c = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean_c**7 / (mean_c**7 + 25**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = _hue(a1, b1), _hue(a2, b2)
    turn = h2 - h1
    if c1 * c2 == 0:
        turn = 0.0
    elif turn > 180:
        turn -= 360
    elif turn < -180:
        turn += 360
    big_h = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))
    return _weighted((l1, c1, h1), (l2, c2, h2), big_h)


def _hue(a: float, b: float) -> float:
    return math.degrees(math.atan2(b, a)) % 360


def _weighted(one: Rgb, other: Rgb, big_h: float) -> float:
    (l1, c1, h1), (l2, c2, h2) = one, other
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    mean_h = h1 + h2
    if c1 * c2 != 0:
        if abs(h1 - h2) <= 180:
            mean_h /= 2
        else:
            mean_h = (mean_h + 360) / 2 if mean_h < 360 else (mean_h - 360) / 2
    t = (
        1
        - 0.17 * math.cos(math.radians(mean_h - 30))
        + 0.24 * math.cos(math.radians(2 * mean_h))
        + 0.32 * math.cos(math.radians(3 * mean_h + 6))
        - 0.20 * math.cos(math.radians(4 * mean_h - 63))
    )
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)
    s_c, s_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    rotation = 30 * math.exp(-(((mean_h - 275) / 25) ** 2))
    r_t = -math.sin(math.radians(2 * rotation)) * 2 * math.sqrt(mean_c**7 / (mean_c**7 + 25**7))
    dl, dc, dh = (l2 - l1) / s_l, (c2 - c1) / s_c, big_h / s_h
    return math.sqrt(dl**2 + dc**2 + dh**2 + r_t * dc * dh)
