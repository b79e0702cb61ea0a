"""Exchanges on shipped scenarios, asked by the real Asker in virtual time, and how the page shows them."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.device_quality import is_clean
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.ui.pages.faults.exchange_picture import exchange_state
from buswalk.ui.pages.faults.exchange_state import BoxLook, ExchangeState, FrameRow
from simulated_line.clocks import VirtualClock
from tests.fakes.asked_site import shipped_site
from tests.fakes.told_line import WALL_TIME

N81 = SerialSettings.of(9600, "8N1")
TWO_REGISTERS = ReadHoldingRegisters(0, 2)
"""Server 37 has 215 and 450 there."""
ENOUGH = 400


def asked_until_not_clean(scenario: str, wanted: str = "") -> Exchange:
    """Ask 37 until an exchange is not clean; `wanted` is the class name of its outcome, any if empty."""
    site = shipped_site(scenario)
    asker = Asker(site.open_line("test", N81, lambda: None), VirtualClock(site.timeline), lambda _event: None)
    for _ in range(ENOUGH):
        exchange = asker.ask(37, TWO_REGISTERS, AskTiming(0.3))
        if not is_clean(exchange) and wanted in ("", type(exchange.outcome).__name__):
            return exchange
    raise AssertionError(f"{scenario}: no such exchange among {ENOUGH}")


def shown(exchange: Exchange) -> ExchangeState:
    """Return it as the page shows it, of 3214 in all."""
    return exchange_state(RecordedExchange(1, 1, 1, exchange, ()), 3214, WALL_TIME)


def row_named(state: ExchangeState, label: str) -> FrameRow:
    """Return a row by its label."""
    return next(one for one in state.rows if one.label == label)


def boxes_looking(row: FrameRow, look: BoxLook) -> list[int]:
    """Return the places of boxes with a look."""
    return [at for at, one in enumerate(row.boxes) if one.look is look]


def meaning_of(row: FrameRow, place: int) -> str:
    """Return the words under a box; empty where there are none."""
    return next((one.words for one in row.braces if one.first <= place < one.first + one.count), "")
