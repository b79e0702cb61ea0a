"""Which framing to send in where the program's own cannot be seen: that of the device the request is for."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.site import SimulatedSite


def framing_for(site: SimulatedSite, baud_rate: int, data: bytes) -> SerialSettings:
    """Return speed and framing for these bytes, address first; none for a line that nobody has asked yet.

    An address that no device at this speed has, and a broadcast, go out in the framing of another client or else of
    the first device at this speed.
    """
    return next(_candidates(site, baud_rate, data))


def _candidates(site: SimulatedSite, baud_rate: int, data: bytes) -> Iterator[SerialSettings]:
    devices = [one for one in site.devices.values() if one.receiver_settings.baud_rate == baud_rate]
    yield from (one.receiver_settings for one in devices if data and data[0] in one.addresses)
    yield from (one.settings for one in site.scenario.client if one.settings.baud_rate == baud_rate)
    yield from (one.receiver_settings for one in devices)
    usual = site.scenario.adapter_settings
    yield SerialSettings(baud_rate, usual.parity, usual.stop_bits, usual.data_bits)
