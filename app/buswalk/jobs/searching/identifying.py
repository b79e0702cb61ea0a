"""Asks a device what it is: identification objects (2B/0E), then its server ID (11). Both only read."""

from __future__ import annotations

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_device_identification import (
    DeviceIdentification,
    IdentificationObject,
    ReadCode,
    ReadDeviceIdentification,
)
from buswalk.domain.modbus.functions.report_server_id import ReportServerId, ServerId
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.domain.search.events import Identity
from buswalk.jobs.asking.asker import Asker, AskTiming

MOST_REQUESTS = 8
"""A server may start again at object 0 for an unknown one (Application V1.1b3, 6.21): without a bound, for ever."""


def identify(asker: Asker, server_address: int, timing: AskTiming) -> Identity:
    """Return what a device says of itself; empty if it says nothing."""
    objects = _objects(asker, server_address, timing)
    reply = _reply(asker.ask(server_address, ReportServerId(), timing))
    return Identity(objects, reply.data if isinstance(reply, ServerId) else b"")


def _objects(asker: Asker, server_address: int, timing: AskTiming) -> tuple[IdentificationObject, ...]:
    collected: dict[int, IdentificationObject] = {}
    following = 0
    for _ in range(MOST_REQUESTS):
        request = ReadDeviceIdentification(ReadCode.BASIC, following)
        reply = _reply(asker.ask(server_address, request, timing))
        if not isinstance(reply, DeviceIdentification):
            break
        new = [one for one in reply.objects if one.object_id not in collected]
        collected.update({one.object_id: one for one in new})
        if not reply.more_follows or not new:
            break
        following = reply.next_object_id
    return tuple(collected[number] for number in sorted(collected))


def _reply(exchange: Exchange) -> object:
    return exchange.outcome.reply if isinstance(exchange.outcome, NormalReply) else None
