"""Reads the self-describing map of one device: marker, chain, then all registers of each model. Reads only."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.observation import MaybeOld
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.registers.sunspec.chain import BASES, HEAD_REGISTERS, Chain, LocatedModel, chain_at, with_head
from buswalk.domain.registers.sunspec.events import ChainRead, ModelRead, NoChain, SunSpecEvent
from buswalk.jobs.asking.asker import Asker, AskTiming

TRIES = 3
LARGEST_QUANTITIES = (125, 50, 16, 4)
"""A device may allow fewer registers in a read than the standard; smaller ones are tried in turn."""
REST_S = 1.0


@dataclass(frozen=True, slots=True)
class SunSpecPlan:
    """Which device is read."""

    server_address: int
    settings: SerialSettings
    wait_s: float = 1.0

    def __post_init__(self) -> None:
        if self.server_address not in SERVER_ADDRESSES or self.wait_s <= 0:
            raise ValueError(f"address {self.server_address} is no server's, or the wait {self.wait_s} no time")


_Words: TypeAlias = tuple[int, ...]


class SunSpecReader:
    """One reading."""

    def __init__(self, asker: Asker, plan: SunSpecPlan) -> None:
        self._asker = asker
        self._plan = plan
        self._largest = 0

    def run(self) -> Iterator[SunSpecEvent]:
        """Find the marker, walk the chain, read the models.

        Raises:
            PortError: The port was lost.
            Stopped: The user's stop.
        """
        plan = self._plan
        self._asker.use_settings(plan.settings)
        chain = self._begin()
        if chain is None:
            yield NoChain(plan.server_address, plan.settings, BASES, self._asker.clock.now_s())
            return
        chain = self._walked(chain)
        yield ChainRead(plan.server_address, plan.settings, chain, self._asker.clock.now_s())
        for model in chain.models:
            words = self._model(model)
            yield ModelRead(plan.server_address, plan.settings, model, words, self._asker.clock.now_s())

    def _begin(self) -> Chain | None:
        for base in BASES:
            chain = chain_at(base, self._read(base, HEAD_REGISTERS))
            if chain is not None:
                return chain
        return None

    def _walked(self, chain: Chain) -> Chain:
        while not chain.is_ended and not chain.problem:
            head = self._read(chain.next_head, HEAD_REGISTERS)
            if len(head) < HEAD_REGISTERS:
                # Some devices end their map right behind the last model, or with the end mark in one register.
                last = self._read(chain.next_head, 1)
                head = (*last, 0) if last == (0xFFFF,) else ()
            if not head:
                words = f"number and length at {chain.next_head} cannot be read: the chain has no end"
                return Chain(chain.base, chain.next_head, chain.models, problem=words)
            chain = with_head(chain, *head)
        return chain

    def _model(self, model: LocatedModel) -> _Words:
        """Return all registers of a model; fewer where one of its parts cannot be read."""
        words: list[int] = []
        while len(words) < model.quantity:
            at = model.first + len(words)
            quantity = min(LARGEST_QUANTITIES[self._largest], model.quantity - len(words))
            part = self._read(at, quantity)
            if part:
                words.extend(part)
            elif self._largest + 1 < len(LARGEST_QUANTITIES) and quantity > LARGEST_QUANTITIES[self._largest + 1]:
                self._largest += 1
            else:
                break
        return tuple(words)

    def _read(self, first: int, quantity: int) -> _Words:
        """Return words; none where the device refuses or stays silent."""
        if first + quantity > 0x10000:
            return ()
        request = ReadHoldingRegisters(first, quantity)
        for _ in range(TRIES):
            exchange = self._asker.ask(self._plan.server_address, request, AskTiming(self._plan.wait_s))
            is_old = any(isinstance(one, MaybeOld) for one in exchange.observations)
            match exchange.outcome:
                case NormalReply(reply=HoldingRegistersRead(values=words)) if not is_old:
                    return words
                case ExceptionReply() if not is_old:
                    return ()
                case _:
                    self._asker.listen_until(self._asker.clock.now_s() + REST_S)
        return ()
