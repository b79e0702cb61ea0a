"""`sunspec` as a user runs it, on a device that pysunspec2 describes and pymodbus serves."""

from __future__ import annotations

import sys

import pytest

from tests.fakes.commands import buswalk

if sys.platform == "win32":
    pytest.skip("there are no pseudo terminals here", allow_module_level=True)

from tests.end_to_end.test_find_on_other_servers import ADDRESS, served_by


def test_an_inverter_is_read_by_discovery_with_its_powers_of_ten() -> None:
    """1234 at A_SF -2 is 12.34 A, 812 at W_SF 1 is 8120 W: worked by hand from what the server was given."""
    with served_by("sunspec_server.py") as port:
        ended = buswalk("sunspec", "--port", port, "--alone", "--address", str(ADDRESS), "--no-record")

    assert ended.status == 0, ended.err
    for said in ("'Example Solar'", "'EX-103-7'", "12.34 A", "230.1 V", "8120 W", "49.98 Hz", "7654321 Wh", "38.5 °C"):
        assert said in ended.out, said
    assert "4 = MPPT" in ended.out
    assert "no value (0xFFFF)" in ended.out
