"""How likely a device is set to this or that as delivered: a rough prior from documents seen, no standard behind it.

Common practice, no source. 254 is met as a mark of "not yet addressed", but is no server address.
"""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES

_SETTINGS: tuple[tuple[int, str, float], ...] = (
    (9600, "8N1", 0.42),
    (19200, "8E1", 0.17),
    (9600, "8E1", 0.10),
    (19200, "8N1", 0.08),
    (19200, "8N2", 0.04),
    (38400, "8N1", 0.035),
    (9600, "8N2", 0.03),
    (38400, "8E1", 0.025),
    (115200, "8N1", 0.02),
    (4800, "8N1", 0.02),
    (9600, "8O1", 0.01),
    (19200, "8O1", 0.01),
    (2400, "8E1", 0.01),
    (57600, "8N1", 0.01),
    (76800, "8N1", 0.005),
    (1200, "8N1", 0.005),
)
UNUSUAL_WEIGHT = 0.002
"""Of a setting that the user names and no usual list has; below every weight of that list."""
_ADDRESSES: dict[int, float] = {
    1: 0.62,
    2: 0.05,
    3: 0.03,
    247: 0.025,
    4: 0.02,
    5: 0.02,
    10: 0.015,
    11: 0.01,
    240: 0.01,
    12: 0.008,
    20: 0.008,
    17: 0.005,
    32: 0.005,
    100: 0.005,
}
_REST = (1.0 - sum(_ADDRESSES.values())) / (len(SERVER_ADDRESSES) - len(_ADDRESSES))
PLANNED_SHARE = 0.5
"""Weight that planned devices share among them."""
MISTAKEN_SHARE = 0.2
"""Of that: how many planned devices answer where a mistake at their switches has put them (judgement, no source)."""
Mistaken = tuple[tuple[int, float], ...]
"""Addresses at which planned devices would be by a mistake at their switches, with their shares of all such; those of
devices whose switches are not known are missing, so they add up to 1 at most."""
FOUND_SETTING_SHARE = 0.9
"""Weight of a setting at which something was found: devices on one pair mostly run alike."""


def asked_as(settings: SerialSettings) -> SerialSettings:
    """Return how a setting is asked: without parity always with two stop bits.

    Receivers test the first stop bit only, so one request serves 8N1 and 8N2.
    """
    if settings.parity is Parity.NONE and settings.data_bits == 8:
        return SerialSettings(settings.baud_rate, Parity.NONE, 2)
    return settings


def delivered_settings() -> dict[SerialSettings, float]:
    """Return settings as devices are delivered, with their weights; the rest to one is spread over others."""
    return {SerialSettings.of(baud_rate, framing): weight for baud_rate, framing, weight in _SETTINGS}


def usual_settings() -> dict[SerialSettings, float]:
    """Return the settings to ask in with their weights, likeliest first; 8N1 and 8N2 are one."""
    weights: dict[SerialSettings, float] = {}
    for one, weight in delivered_settings().items():
        settings = asked_as(one)
        weights[settings] = weights.get(settings, 0.0) + weight
    return dict(sorted(weights.items(), key=lambda item: -item[1]))


def settings_at(speeds: Iterable[int], parities: Iterable[Parity]) -> dict[SerialSettings, float]:
    """Return settings that somebody names, likeliest first: each of these speeds in each of these parities."""
    usual = usual_settings()
    parities = tuple(parities)
    chosen = [asked_as(SerialSettings(speed, parity, 1)) for speed in speeds for parity in parities]
    weights = {one: usual.get(one, UNUSUAL_WEIGHT) for one in chosen}
    return dict(sorted(weights.items(), key=lambda item: -item[1]))


def is_usual_address(server_address: int) -> bool:
    """Tell whether an address is met more often than the rest."""
    return server_address in _ADDRESSES


def address_weight(server_address: int, planned: frozenset[int], mistaken: Mistaken = ()) -> float:
    """Return the weight of an address, given those that the plan names and what mistakes would make of them."""
    weight = _ADDRESSES.get(server_address, _REST)
    if not planned:
        return weight
    weight *= 1.0 - PLANNED_SHARE
    by_mistake = MISTAKEN_SHARE * sum(share for _, share in mistaken)
    if server_address in planned:
        weight += PLANNED_SHARE * (1.0 - by_mistake) / len(planned)
    return weight + PLANNED_SHARE * MISTAKEN_SHARE * sum(share for one, share in mistaken if one == server_address)
