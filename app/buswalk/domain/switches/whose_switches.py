"""Whose switches are to be looked at: a device that answers elsewhere is matched with the likeliest planned one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.comparison import alike
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.explaining import likely_addresses
from buswalk.domain.switches.library import BoardLibrary, NoSuchBoard
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.setting import SettingTable

NAMELESS = "device"
DELIVERED_AT = (1, 247)
"""Where devices whose address is no switch's answer as delivered (common practice, no source)."""
STILL_AS_DELIVERED = 0.3
"""Weight of that, beside the shares of mistakes on a board: our judgement."""
OTHER_SETTING = 0.2
"""A device that answers at another speed or framing than planned is the less likely to be it: our judgement."""


@dataclass(frozen=True, slots=True)
class WhoseSwitches:
    """A device whose switches may explain what was found.

    Attributes:
        intended: Where the plan wants it; None where no planned device fits.
        found: Where it answers; None where nothing that answers fits.
        weight: How well the two fit, to compare pairs by.
    """

    name: str
    intended: int | None
    found: int | None
    board: str = ""
    where: str = ""
    weight: float = 0.0


class WhoseFinder:
    """Knows the plan and what answers, and in which setting."""

    def __init__(
        self, planned: Iterable[PlannedDevice], found: Mapping[int, SerialSettings], library: BoardLibrary
    ) -> None:
        self._plan = {one.server_address: one for one in planned}
        self._found = dict(found)
        self._library = library
        self._grounds: dict[str, Ground | None] = {}
        self._likely: dict[tuple[str, int], dict[int, float]] = {}

    def of(self, address: int) -> WhoseSwitches:
        """Match an address with the other half of what happened to it.

        A planned address that is silent is matched with what answers unplanned, and the other way round: the pair that
        the commonest mistake explains, or the setting in which it answers.
        """
        device = self._plan.get(address)
        if device is None:
            pairs = [self._pair(one, address) for one in self._silent()]
            best = max(pairs, key=lambda pair: pair.weight, default=None)
            return best if best is not None and best.weight else WhoseSwitches(f"{NAMELESS} {address}", None, address)
        if address in self._found:
            return self._pair(device, address)
        best = max((self._pair(device, one) for one in self._strangers()), key=lambda pair: pair.weight, default=None)
        return best if best is not None and best.weight else self._pair(device, None)

    def most_telling(self) -> int:
        """Return the address whose switches explain most: of a stranger, else of a silent device, else 0."""
        pairs = [pair for pair in map(self.of, self._strangers()) if pair.board]
        best = max(pairs, key=lambda pair: pair.weight, default=None)
        if best is not None and best.found is not None:
            return best.found
        return next((one.server_address for one in self._silent()), 0)

    def _silent(self) -> list[PlannedDevice]:
        return [one for address, one in self._plan.items() if address not in self._found]

    def _strangers(self) -> list[int]:
        return sorted(self._found.keys() - self._plan.keys())

    def _pair(self, device: PlannedDevice, found: int | None) -> WhoseSwitches:
        weight = self._weight(device, found) if found is not None else 0.0
        return WhoseSwitches(device.name, device.server_address, found, device.board, device.where, weight)

    def _weight(self, device: PlannedDevice, found: int) -> float:
        weight = self._weight_by_board(device, found)
        is_other = device.settings is not None and alike(device.settings) != alike(self._found[found])
        return weight * OTHER_SETTING if is_other else weight

    def _weight_by_board(self, device: PlannedDevice, found: int) -> float:
        if not device.board:
            return STILL_AS_DELIVERED if found in DELIVERED_AT else 0.0
        key = (device.board, device.server_address)
        if key not in self._likely:
            ground = self._ground(device.board)
            self._likely[key] = {} if ground is None else likely_addresses(ground, device.server_address)
        return self._likely[key].get(found, 0.0)

    def _ground(self, board: str) -> Ground | None:
        """Return the board as mistakes are made on it: worked out once, for every device has it anew."""
        if board not in self._grounds:
            try:
                self._grounds[board] = Ground(SettingTable(self._library.named(board)))
            except NoSuchBoard:
                self._grounds[board] = None
        return self._grounds[board]
