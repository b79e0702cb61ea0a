"""The CRC of every span, against the frames of the standard and the table of the program."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.listening.running_crc import RunningCrc
from buswalk.domain.modbus.crc16 import crc16


def is_right(data: bytes, begin: int, end: int) -> bool:
    crc = RunningCrc(np.frombuffer(data, dtype=np.uint8))
    return bool(crc.is_right(np.array([begin]), np.array([end]))[0])


@pytest.mark.parametrize("before", [0, 1, 5, 511, 512, 513, 1024, 5000])
def test_the_worked_example_of_the_standard_is_right_wherever_it_stands(before: int) -> None:
    """`02 07` has the CRC register 0x1241, sent as `41 12` (MODBUS over Serial Line V1.02, appendix B)."""
    data = bytes(range(1, 256)) * 20
    data = data[:before] + bytes.fromhex("02 07 41 12") + data[before:]

    assert is_right(data, before, before + 4)
    assert not is_right(data, before, before + 5)
    assert not is_right(data, before + 1, before + 5)


@settings(max_examples=150, deadline=None)
@given(st.binary(min_size=4, max_size=1400), st.data())
def test_every_span_is_judged_as_by_the_table(data: bytes, draws: st.DataObject) -> None:
    begin = draws.draw(st.integers(0, len(data) - 4))
    end = draws.draw(st.integers(begin + 4, min(len(data), begin + 256)))
    closed = data[: end - 2] + crc16(data[begin : end - 2]).to_bytes(2, "little") + data[end:]

    assert is_right(closed, begin, end)
    assert is_right(data, begin, end) == (crc16(data[begin:end]) == 0)
