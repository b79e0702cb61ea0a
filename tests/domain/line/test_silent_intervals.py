"""Silent intervals against the standard's rule and its table computed for 11-bit characters."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import frame_duration_s, inter_character_timeout_s, inter_frame_delay_s


@pytest.mark.parametrize(
    ("baud_rate", "t15_ms", "t35_ms", "eight_bytes_ms", "longest_frame_ms"),
    [
        (1200, 13.750, 32.083, 73.33, 2346.7),
        (2400, 6.875, 16.042, 36.67, 1173.3),
        (4800, 3.438, 8.021, 18.33, 586.7),
        (9600, 1.719, 4.010, 9.17, 293.3),
        (19200, 0.859, 2.005, 4.58, 146.7),
        (38400, 0.750, 1.750, 2.29, 73.3),
        (57600, 0.750, 1.750, 1.53, 48.9),
        (76800, 0.750, 1.750, 1.15, 36.7),
        (115200, 0.750, 1.750, 0.76, 24.4),
    ],
)
def test_the_intervals_are_those_of_the_standard(
    baud_rate: int, t15_ms: float, t35_ms: float, eight_bytes_ms: float, longest_frame_ms: float
) -> None:
    """MODBUS over Serial Line V1.02, 2.5.1.1: by character up to 19 200 baud, fixed above; 11-bit characters."""
    settings = SerialSettings.of(baud_rate, "8E1")

    seen_ms = [
        1000 * inter_character_timeout_s(settings),
        1000 * inter_frame_delay_s(settings),
        1000 * frame_duration_s(settings, 8),
        1000 * frame_duration_s(settings, 256),
    ]

    assert seen_ms == [
        pytest.approx(t15_ms, abs=0.0006),
        pytest.approx(t35_ms, abs=0.0006),
        pytest.approx(eight_bytes_ms, abs=0.006),
        pytest.approx(longest_frame_ms, abs=0.06),
    ]


def test_without_parity_one_stop_bit_makes_a_character_of_ten_bits() -> None:
    """Outside the standard, common practice, no source: at 9600 baud t3.5 is then 3.646 ms."""
    settings = SerialSettings.of(9600, "8N1")

    assert inter_frame_delay_s(settings) == pytest.approx(0.003646, abs=1e-6)
