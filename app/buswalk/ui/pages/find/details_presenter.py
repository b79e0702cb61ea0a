"""Decides what the details of one address show: what is known, every exchange, the bytes of the chosen one. No Qt."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.exchange import Exchange, NeverSent
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    DamagedEcho,
    ExceptionReply,
    ForeignReply,
    ShortReply,
    UnexpectedReply,
)
from buswalk.domain.readdressing.plan import Reach
from buswalk.domain.search.events import Found
from buswalk.domain.search.prior import asked_as
from buswalk.ui.outcome_kinds import kind_of
from buswalk.ui.pages.find.exchange_shelf import ExchangeShelf, OlderExchanges, OlderRead, OlderWanted
from buswalk.ui.pages.find.exchange_words import (
    asked_words,
    came_back_short,
    came_back_words,
    observation_words,
    received_lines,
    reply_bytes,
    sent_lines,
    turnaround_range_words,
)
from buswalk.ui.pages.find.found_words import long_doubts, setting_words, what_words
from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.find.search_state import Act, Action, ByteRow, DetailsState, ExchangeRow
from buswalk.ui.wording import counted, hex_bytes, plural, stamp_ms

NOTHING_CHOSEN = 0
_WRONG = (CorruptReply, ShortReply, DamagedEcho, ForeignReply, UnexpectedReply)


@dataclass(frozen=True, slots=True)
class DetailsSources:
    """What details are made from; `older` reads the record, None where there is none to read."""

    board: SearchBoard
    shelf: ExchangeShelf
    older: OlderExchanges | None


class DetailsPresenter:
    """One address is open, or none."""

    def __init__(self, sources: DetailsSources) -> None:
        self._sources = sources
        self._older: tuple[Exchange, ...] = ()
        self._older_problem = ""
        self._is_reading = False
        self._is_read_through = False
        self._number = NOTHING_CHOSEN
        self.address = 0
        """Whose details are open; 0 while none are."""

    def open(self, address: int) -> None:
        """Show the details of an address; until one is chosen, the last exchange that brought bytes is."""
        self.address = address
        self._older, self._older_problem = (), ""
        self._is_reading = self._is_read_through = False
        self._number = NOTHING_CHOSEN

    def close(self) -> None:
        """Show none."""
        self.address = 0

    def choose(self, number: int) -> None:
        """Choose an exchange by its number."""
        self._number = number

    def read_older(self) -> None:
        """Ask the record for what came before the oldest one shown."""
        shown = self._exchanges()
        if self._sources.older is None or self._is_reading or not shown:
            return
        self._is_reading = True
        address = self.address

        def deliver(read: OlderRead) -> None:
            if address == self.address:
                self._take_older(read)

        self._sources.older(OlderWanted(address, shown[0].number), deliver)

    def _take_older(self, read: OlderRead) -> None:
        self._is_reading = False
        self._older_problem = read.problem
        if read.problem:
            return
        first = self._exchanges()[0].number
        before = tuple(one for one in read.exchanges if one.number < first)
        self._is_read_through = not before
        self._older = before + self._older

    def _exchanges(self) -> tuple[Exchange, ...]:
        return self._older + self._sources.shelf.of(self.address).exchanges

    def state(self, wall_time: str) -> DetailsState | None:
        """Return what is shown; None while no details are open."""
        if not self.address:
            return None
        exchanges = self._exchanges()
        at = next((i for i, one in enumerate(exchanges) if one.number == self._number), _last_heard(exchanges))
        chosen = exchanges[at] if exchanges else None
        older, older_words = self._older_state()
        return DetailsState(
            title=self._title(),
            facts=self._facts(),
            exchanges_title=f"Exchanges: {counted(len(exchanges))}",
            exchanges=tuple(self._row(one, wall_time) for one in exchanges),
            chosen=at,
            bytes_title=self._bytes_title(chosen),
            byte_rows=_byte_rows(chosen) if chosen is not None else (),
            outcome=_sentence(came_back_words(chosen)) if chosen is not None else "",
            remarks=tuple(f"{observation_words(one)}." for one in chosen.observations) if chosen is not None else (),
            copied_bytes=_copied(chosen) if chosen is not None else "",
            older=older,
            older_words=older_words,
            ping=Action(Act.PING, f"Ping {self.address}", address=self.address),
            move=self._move_action(),
        )

    def _move_action(self) -> Action | None:
        return Action(Act.MOVE, "Move…", "F2", address=self.address) if self._found() else None

    def _title(self) -> str:
        planned = self._sources.board.planned.get(self.address)
        found = self._found()
        name = what_words(found[0], planned) if found else planned.name if planned is not None else "nobody known"
        return f"{self.address}, {name}"

    def _found(self) -> list[Found]:
        return [one for one in self._sources.board.found_in_order() if one.server_address == self.address]

    def _facts(self) -> tuple[str, ...]:
        board = self._sources.board
        planned = board.planned.get(self.address)
        sentences: list[str] = []
        for found in self._found():
            proof = f"{found.answered} of {plural(found.confirmations, 'further question')} answered"
            sentences.append(f"Answers at {setting_words(found.settings)}: {proof}.")
            sentences += [f"{one.name.capitalize()}: {one.text}." for one in found.identity.objects if one.text]
            sentences += [f"Fits the profile {one}." for one in found.identity.profiles]
            sentences += long_doubts(found, board.match(found), planned)
            move = board.moves.of_place(Reach(found.server_address, found.settings))
            if move is not None and move.sentence:
                sentences.append(_sentence(f"it was written to: {move.sentence}"))
        for unclear in board.run.unclear.values():
            if unclear.address == self.address:
                sentences.append(f"At {setting_words(unclear.settings)}: {unclear.sentence}.")
        return tuple(sentences) or ("Nothing has answered at this address.",)

    def _row(self, exchange: Exchange, wall_time: str) -> ExchangeRow:
        sent = exchange.sent
        at_s = sent.at_s if isinstance(sent, NeverSent) else sent.begin_s
        outcome = exchange.outcome
        return ExchangeRow(
            number=exchange.number,
            when=stamp_ms(wall_time, at_s),
            setting=str(exchange.settings),
            asked=asked_words(exchange),
            kind=kind_of(outcome, is_expected=self._is_expected(exchange)),
            exception_code=outcome.exception_code if isinstance(outcome, ExceptionReply) else 0,
            came_back=self._came_back(exchange),
            turnaround=turnaround_range_words(exchange),
        )

    def _came_back(self, exchange: Exchange) -> str:
        """Return what came back; whom was asked, where this one answered in another's place."""
        if exchange.server_address != self.address:
            return f"in place of {exchange.server_address}"
        return came_back_short(exchange)

    def _is_expected(self, exchange: Exchange) -> bool:
        """An answer is due where it was found, or is planned; silence at other settings is as it should be."""
        planned = self._sources.board.planned.get(self.address)
        due = {asked_as(one.settings) for one in self._found()}
        if not due and planned is not None:
            return planned.settings is None or asked_as(planned.settings) == asked_as(exchange.settings)
        return asked_as(exchange.settings) in due

    def _bytes_title(self, chosen: Exchange | None) -> str:
        return f"Bytes of exchange {counted(chosen.number)}" if chosen is not None else "Bytes"

    def _older_state(self) -> tuple[Action | None, str]:
        shelved = self._sources.shelf.of(self.address)
        if self._older_problem:
            return None, f"Older ones cannot be read: {self._older_problem}."
        if shelved.is_whole or self._is_read_through or not shelved.exchanges:
            return None, ""
        if self._sources.older is None:
            return None, "Older ones are in the record."
        reason = "They are being read." if self._is_reading else ""
        return Action(Act.OLDER, "Show older ones", refusal=reason), ""


def _last_heard(exchanges: tuple[Exchange, ...]) -> int:
    """Return where the last exchange stands that brought bytes; the last of all where none did."""
    heard = [i for i, one in enumerate(exchanges) if one.arrivals]
    return heard[-1] if heard else len(exchanges) - 1


def _byte_rows(exchange: Exchange) -> tuple[ByteRow, ...]:
    sent = tuple(ByteRow(one.data, one.meaning, is_received=False) for one in sent_lines(exchange))
    is_wrong = isinstance(exchange.outcome, _WRONG)
    came = tuple(
        ByteRow(one.data, one.meaning, is_received=True, is_wrong=is_wrong) for one in received_lines(exchange)
    )
    return sent + came


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def _copied(exchange: Exchange) -> str:
    sent = "" if isinstance(exchange.sent, NeverSent) else f"sent      {hex_bytes(exchange.request_adu)}\n"
    came = reply_bytes(exchange)
    whole = f"came back {hex_bytes(came)}\n" if came else ""
    every = exchange.received
    return sent + whole + (f"all heard {hex_bytes(every)}\n" if every != came and every else "")
