"""Where a planned list's devices would answer if somebody had erred at their switches: where a search looks early."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.explaining import likely_addresses
from buswalk.domain.switches.library import BoardLibrary, NoSuchBoard
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.setting import SettingTable


def mistaken_addresses(planned: Iterable[PlannedDevice], library: BoardLibrary) -> tuple[tuple[int, float], ...]:
    """Return addresses that single mistakes lead to, likeliest first, with shares over all planned devices.

    Every device counts alike. One whose board is not known adds nothing, nor does a mistake that leads to another
    planned address, as that is asked anyway: shares add up to 1 at most.
    """
    devices = tuple(planned)
    of_plan = {one.server_address for one in devices}
    grounds = {name: _ground(name, library) for name in {one.board for one in devices if one.board}}
    shares: dict[int, float] = {}
    for device in devices:
        ground = grounds.get(device.board)
        likely = {} if ground is None else likely_addresses(ground, device.server_address)
        for address, share in likely.items():
            if address not in of_plan:
                shares[address] = shares.get(address, 0.0) + share / len(devices)
    return tuple(sorted(shares.items(), key=lambda item: (-item[1], item[0])))


def _ground(board: str, library: BoardLibrary) -> Ground | None:
    try:
        return Ground(SettingTable(library.named(board)))
    except NoSuchBoard:
        return None
