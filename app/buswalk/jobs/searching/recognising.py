"""Finds the profile that fits a device: by what it told of itself, and by words, read only where they decide."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.modbus.functions.read_coils import CoilsRead
from buswalk.domain.modbus.functions.read_discrete_inputs import DiscreteInputsRead
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead
from buswalk.domain.modbus.functions.read_input_registers import InputRegistersRead
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.registers.fingerprint import KnownType, not_excluded
from buswalk.domain.registers.profile import HoldsWords
from buswalk.domain.registers.read_requests import read_request
from buswalk.domain.search.events import Identity
from buswalk.jobs.asking.asker import Asker, AskTiming

MOST_READS = 8
"""For one device; each costs a turnaround."""


def recognise(
    asker: Asker, server_address: int, timing: AskTiming, identity: Identity, types: Sequence[KnownType]
) -> tuple[str, ...]:
    """Return the names of the profiles that fit a device. Only reads; a device that stays silent is asked no more."""
    told = [one.text for one in identity.objects if one.text]
    if identity.server_id:
        told.append(identity.server_id.decode("latin-1"))
    looking = _Looking(asker, server_address, timing)
    return tuple(one.profile for one in not_excluded(types, told) if all(looking.is_held(part) for part in one.holds))


class _Looking:
    """Reads each span once."""

    def __init__(self, asker: Asker, server_address: int, timing: AskTiming) -> None:
        self._asker = asker
        self._server_address = server_address
        self._timing = timing
        self._seen: dict[tuple[object, int, int], tuple[int, ...]] = {}
        self._is_over = False

    def is_held(self, part: HoldsWords) -> bool:
        """Tell whether the device holds these words; no if it does not say."""
        span = (part.table, part.register_address, len(part.words))
        if span not in self._seen:
            self._seen[span] = self._read(part)
        return self._seen[span] == part.words

    def _read(self, part: HoldsWords) -> tuple[int, ...]:
        if self._is_over or len(self._seen) >= MOST_READS:
            return ()
        request = read_request(part.table, part.register_address, len(part.words))
        outcome = self._asker.ask(self._server_address, request, self._timing).outcome
        self._is_over = not isinstance(outcome, NormalReply | ExceptionReply)
        return _words(outcome.reply) if isinstance(outcome, NormalReply) else ()


def _words(reply: object) -> tuple[int, ...]:
    match reply:
        case HoldingRegistersRead(values=words) | InputRegistersRead(values=words):
            return words
        case CoilsRead(states=states) | DiscreteInputsRead(states=states):
            return tuple(map(int, states))
        case _:
            return ()
