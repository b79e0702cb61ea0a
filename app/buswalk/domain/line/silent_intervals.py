"""Silent intervals that delimit RTU frames, and the time frames take. Measuring them is the collector's job."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings

FIXED_TIMING_ABOVE_BAUD = 19_200
FIXED_INTER_CHARACTER_TIMEOUT_S = 0.000_750
FIXED_INTER_FRAME_DELAY_S = 0.001_750


def inter_frame_delay_s(settings: SerialSettings) -> float:
    """Return the silence that ends a frame (t3.5), in seconds.

    3.5 characters up to 19 200 baud, a fixed time above: the standard frees receivers from very
    short timers there.

    Source: MODBUS over Serial Line V1.02, 2.5.1.1.
    """
    if settings.baud_rate > FIXED_TIMING_ABOVE_BAUD:
        return FIXED_INTER_FRAME_DELAY_S
    return 3.5 * settings.character_s


def inter_character_timeout_s(settings: SerialSettings) -> float:
    """Return the longest silence allowed inside a frame (t1.5), in seconds.

    Source: MODBUS over Serial Line V1.02, 2.5.1.1.
    """
    if settings.baud_rate > FIXED_TIMING_ABOVE_BAUD:
        return FIXED_INTER_CHARACTER_TIMEOUT_S
    return 1.5 * settings.character_s


def frame_duration_s(settings: SerialSettings, byte_count: int) -> float:
    """Return how long a frame of so many bytes occupies the line, without pauses, in seconds."""
    return byte_count * settings.character_s
