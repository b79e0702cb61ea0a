"""Profiles for simulated devices whose cells are written in the test, and what a watch told of their points."""

from __future__ import annotations

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import ReadRules, RegisterProfile
from buswalk.domain.registers.samples import SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import UINT16, ValueType
from tests.fakes.watched_line import WatchedLine


def words_at(*addresses: int, value_type: ValueType = UINT16) -> tuple[Point, ...]:
    """Return a holding register point for each address, named by it."""
    return tuple(Point(f"r{one}", Table.HOLDING_REGISTERS, one, value_type) for one in addresses)


def profile_of(*points: Point, rules: ReadRules | None = None) -> RegisterProfile:
    """Return a profile of these points."""
    return RegisterProfile("written", "written in a test", points, rules or ReadRules())


def cells(*spans: tuple[int, int]) -> str:
    """Return cells of a device in a scenario: so many holding registers from an address, each 1000 and its address."""
    return "".join(
        f'[[device.cell]]\ntable = "holding_registers"\naddress = {first}\nwords = '
        f"{[1000 + at for at in range(first, first + count)]}\n"
        for first, count in spans
    )


def device(address: int, name: str = "", more: str = "", settings: str = "9600 8N1") -> str:
    """Return a device of a scenario with nothing in it but what `more` says."""
    return f'[[device]]\nname = "{name or f"d{address}"}"\naddress = {address}\nsettings = "{settings}"\n{more}'


def taken_of(watched: WatchedLine) -> list[SamplesTaken]:
    """Return the samples that a watch told, in order."""
    return [one for one in watched.events if isinstance(one, SamplesTaken)]
