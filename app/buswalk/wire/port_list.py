"""Which ports there are, by adapter: a port's number changes with the socket, an adapter's serial number does not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from serial.tools import list_ports as _pyserial_list


@dataclass(frozen=True, slots=True)
class AdapterIdentity:
    """What stays the same when an adapter is plugged in elsewhere.

    Attributes:
        vendor_id, product_id: USB numbers; 0 for a port that is not on USB.
        serial_number: Empty where the adapter has none: then its socket is all that tells it from its like.
        location: The socket; decides where the serial number does not.
    """

    vendor_id: int
    product_id: int
    serial_number: str
    location: str


@dataclass(frozen=True, slots=True)
class PortFacts:
    """One port of this computer."""

    port: str
    words: str
    identity: AdapterIdentity


class ListedPort(Protocol):
    """What pyserial tells of a port."""

    device: str
    description: str
    vid: int | None
    pid: int | None
    serial_number: str | None
    location: str | None


def list_ports(comports: Callable[[], Iterable[ListedPort]] = _pyserial_list.comports) -> tuple[PortFacts, ...]:
    """Return the ports there are, by name. Not to be called while a port is being opened."""
    return tuple(sorted((_facts(one) for one in comports()), key=lambda facts: facts.port))


def port_of_adapter(identity: AdapterIdentity, ports: Sequence[PortFacts]) -> str | None:
    """Return the port at which an adapter is now, or None.

    Without a serial number it must be in the same socket: another of its make may hang on another line. Cheap adapters
    may all bear one serial number, so among several the socket decides too.
    """
    alike = [facts for facts in ports if _make(facts.identity) == _make(identity)]
    there = [facts for facts in alike if facts.identity.location == identity.location]
    if there:
        return there[0].port
    # Elsewhere it is known by its serial number alone, and only if no second adapter bears the same one.
    return alike[0].port if identity.serial_number and len(alike) == 1 else None


def _make(identity: AdapterIdentity) -> tuple[int, int, str]:
    return identity.vendor_id, identity.product_id, identity.serial_number


def _facts(one: ListedPort) -> PortFacts:
    identity = AdapterIdentity(one.vid or 0, one.pid or 0, one.serial_number or "", one.location or one.device)
    words = one.description if one.description not in ("", "n/a") else "serial port"
    return PortFacts(one.device, words, identity)
