"""The newest exchanges as rows: time, address, what was asked, outcome, turnaround, bytes. Plain Python."""

from __future__ import annotations

from collections import deque

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.functions.table import function_words
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore
from buswalk.domain.modbus.outcome import EchoOnly, ExceptionReply, NoReply, NotSent
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.ui.expected_devices import ExpectedDevices
from buswalk.ui.outcome_kinds import OutcomeKind, kind_of
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.wording import hex_bytes, milliseconds, stamp_ms

MOST_ROWS = 60
SHOWN_BYTES = 16
READS = (0x01, 0x02, 0x03, 0x04)


class ExchangeRows:
    """Keeps the newest exchanges; can be held while the job goes on."""

    def __init__(self) -> None:
        self._expected = ExpectedDevices()
        self._rows: deque[Row] = deque(maxlen=MOST_ROWS)
        self._wall_time = ""
        self._held: tuple[Row, ...] | None = None

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self._expected.take(item)
        if not isinstance(item, Kept):
            return
        match item.event:
            case SessionStarted(wall_time=wall_time):
                self._wall_time = wall_time
                self._rows.clear()
                self._held = None
            case ExchangeDone(exchange):
                is_expected = self._expected.is_expected(exchange.server_address, exchange.settings)
                kind = kind_of(exchange.outcome, is_expected=is_expected)
                self._rows.appendleft(exchange_row(exchange, kind, self._wall_time))
            case _:
                pass

    def hold(self) -> None:
        """Hold the list, or let it go on."""
        self._held = tuple(self._rows) if self._held is None else None

    @property
    def is_held(self) -> bool:
        """Whether the list stands still."""
        return self._held is not None

    @property
    def rows(self) -> tuple[Row, ...]:
        """The newest first."""
        return tuple(self._rows) if self._held is None else self._held


def exchange_row(exchange: Exchange, kind: OutcomeKind, wall_time: str) -> Row:
    """Return an exchange as a row."""
    code = exchange.outcome.exception_code if isinstance(exchange.outcome, ExceptionReply) else 0
    has_strays = any(isinstance(one, BytesBefore | BytesAfter) for one in exchange.observations)
    words = f"{kind.word}, code {code}" if code else kind.word
    tone = tone_of(kind)
    return (
        Cell(stamp_ms(wall_time, exchange.ended_s), Tone.INK2),
        Cell(str(exchange.server_address), Tone.INK, Weight.KEY),
        Cell(_asked(exchange)),
        Cell(f"{words}, stray bytes" if has_strays else words, tone, Weight.REGULAR, kind, code),
        Cell(_turnaround(exchange)),
        Cell(_bytes(exchange), Tone.INK if exchange.received else Tone.INK2, _bytes_weight(exchange)),
    )


def _asked(exchange: Exchange) -> str:
    pdu = exchange.request.pdu()
    if pdu[0] in READS and len(pdu) == 5:
        first, quantity = int.from_bytes(pdu[1:3], "big"), int.from_bytes(pdu[3:5], "big")
        return f"read {pdu[0]:02d}, {first}" + (f" to {first + quantity - 1}" if quantity > 1 else "")
    return function_words(pdu[0])


def _turnaround(exchange: Exchange) -> str:
    match exchange.outcome, exchange.turnaround:
        case (NoReply(waited_s) | EchoOnly(waited_s), _):
            return f"{milliseconds(waited_s)} waited"
        case _, Turnaround() as seen:
            return "too early" if seen.is_before_request_ended else milliseconds(seen.not_more_than_s)
        case _:
            return ""


def _bytes(exchange: Exchange) -> str:
    if isinstance(exchange.outcome, NotSent):
        return "nothing left this laptop"
    data = exchange.received
    if not data:
        return "nothing came"
    return hex_bytes(data[:SHOWN_BYTES]) + (f" … {len(data)} bytes" if len(data) > SHOWN_BYTES else "")


def _bytes_weight(exchange: Exchange) -> Weight:
    return Weight.FIXED if exchange.received else Weight.REGULAR
