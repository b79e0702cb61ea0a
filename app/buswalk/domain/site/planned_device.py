"""One device as the plan wants it."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES


@dataclass(frozen=True, slots=True)
class PlannedDevice:
    """A line of the planned list, in the order of the cable.

    Attributes:
        place: Counted along the cable from the client, from 1; each place holds one device.
        name: What people on site call it.
        settings: Speed and framing it is to have; None where the plan does not say.
        board: Name of its switch board description; empty where the plan does not say.
        where: Where it hangs, in words.
        device_type: What the plan calls its type: name or title of a profile, as far as one is known by it.
    """

    place: int
    server_address: int
    name: str
    settings: SerialSettings | None = None
    board: str = ""
    where: str = ""
    device_type: str = ""

    def __post_init__(self) -> None:
        if self.place < 1:
            raise ValueError("places on the cable count from 1")
        if self.server_address not in SERVER_ADDRESSES:
            raise ValueError(f"address {self.server_address} is no server's: servers have 1 to 247")
        if not self.name.strip():
            raise ValueError("a planned device has a name")
