"""A planned list as people write it: rows into drafts of devices in cable order, and one sentence for each trouble.

A draft keeps what was written, also where it cannot be used yet: nothing is lost, and it can be mended in place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.site.list_cells import (
    PARITY_LETTERS,
    TAKES_ANY,
    CannotBe,
    address_of,
    number_of,
    setting_from,
    setting_of,
    spoilt_framing,
)
from buswalk.domain.site.list_columns import Columns, ListColumn, columns_of
from buswalk.domain.site.list_text import SourceRow
from buswalk.domain.site.planned_device import PlannedDevice

MOST_ROWS = 2000
HEADING_WITHIN_ROWS = 10
SHOWN_HEADINGS = 6

_CellOf: TypeAlias = Callable[[ListColumn], str]
"""Returns the text that a row has in a column."""


@dataclass(frozen=True, slots=True)
class DraftDevice:
    """One row of the list as text; its place is its place in the list."""

    address: str = ""
    name: str = ""
    setting: str = ""
    board: str = ""
    where: str = ""
    device_type: str = ""


@dataclass(frozen=True, slots=True)
class DraftRead:
    """What a draft amounts to.

    Attributes:
        device: What can be asked and kept; None while there is no address.
        open_points: What is still to be written, one sentence each.
    """

    device: PlannedDevice | None
    open_points: tuple[str, ...]


class TroubleKind(Enum):
    """What became of what a trouble is about."""

    NOTED = "noted"
    """Taken, but something was to be decided."""
    OPEN = "open"
    """The row is kept, and something in it is to be written."""
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True)
class ListTrouble:
    """One thing to know of a list, with the row it stands in (0: the whole list)."""

    source: str
    row: int
    kind: TroubleKind
    words: str

    def __str__(self) -> str:
        return f"{self.source}:{self.row}: {self.words}" if self.row else f"{self.source}: {self.words}"


@dataclass(frozen=True, slots=True)
class ReadList:
    """A list that was brought in: drafts in cable order, troubles by row."""

    drafts: tuple[DraftDevice, ...]
    troubles: tuple[ListTrouble, ...]


def read_draft(draft: DraftDevice, place: int) -> DraftRead:
    """Return what a draft amounts to at its place on the cable, from 1."""
    address = address_of(draft.address)
    setting = setting_of(draft.setting)
    points = [one.words for one in (address, setting) if isinstance(one, CannotBe)]
    if isinstance(address, CannotBe):
        return DraftRead(None, tuple(points))
    name = draft.name.strip() or f"device {address}"
    settings = setting if isinstance(setting, SerialSettings) else None
    return DraftRead(
        PlannedDevice(
            place, address, name, settings, draft.board.strip(), draft.where.strip(), draft.device_type.strip()
        ),
        tuple(points),
    )


def draft_of(device: PlannedDevice) -> DraftDevice:
    """Return a device as the text that stands in its row."""
    setting = TAKES_ANY if device.settings is None else str(device.settings)
    return DraftDevice(str(device.server_address), device.name, setting, device.board, device.where, device.device_type)


def tidy(draft: DraftDevice) -> DraftDevice:
    """Return a draft with everything that can be understood written our way."""
    address, setting = address_of(draft.address), setting_of(draft.setting)
    return DraftDevice(
        address=str(address) if isinstance(address, int) else draft.address.strip(),
        name=" ".join(draft.name.split()),
        setting=draft.setting.strip() if isinstance(setting, CannotBe) else _setting_words(setting),
        board=" ".join(draft.board.split()),
        where=" ".join(draft.where.split()),
        device_type=" ".join(draft.device_type.split()),
    )


def _setting_words(settings: SerialSettings | None) -> str:
    return TAKES_ANY if settings is None else str(settings)


def devices_of(drafts: Sequence[DraftDevice]) -> tuple[PlannedDevice, ...]:
    """Return all drafts that have an address, with the places they have in the list."""
    read = (read_draft(draft, place) for place, draft in enumerate(drafts, start=1))
    return tuple(one.device for one in read if one.device is not None)


def read_list(source: str, rows: Sequence[SourceRow]) -> ReadList:
    """Read the rows of a file, a sheet or a pasted text; `source` names it in every trouble."""
    return _Reading(source).read(rows)


class _Reading:
    """Reads one list and collects its troubles."""

    def __init__(self, source: str) -> None:
        self._source = source
        self._troubles: list[ListTrouble] = []

    def read(self, rows: Sequence[SourceRow]) -> ReadList:
        """Read all of it."""
        filled = [row for row in rows if not row.is_empty]
        if len(filled) > MOST_ROWS:
            self._say(filled[MOST_ROWS].number, TroubleKind.LEFT_OUT, f"only {MOST_ROWS} rows are taken: cut the list")
            filled = filled[:MOST_ROWS]
        if not filled:
            self._say(0, TroubleKind.LEFT_OUT, "nothing is written in it: no row was taken")
            return self._result(())
        columns, body = self._columns(filled)
        if columns is None:
            return self._result(())
        drafts = self._ordered([(row, self._draft(row, columns)) for row in body], columns)
        self._compare(drafts)
        return self._result(tuple(draft for _, draft in drafts))

    def _result(self, drafts: tuple[DraftDevice, ...]) -> ReadList:
        return ReadList(drafts, tuple(sorted(self._troubles, key=lambda one: one.row)))

    def _say(self, row: int, kind: TroubleKind, words: str) -> None:
        self._troubles.append(ListTrouble(self._source, row, kind, words))

    # Which column is which

    def _columns(self, rows: list[SourceRow]) -> tuple[Columns | None, list[SourceRow]]:
        best = max(range(min(len(rows), HEADING_WITHIN_ROWS)), key=lambda i: (len(columns_of(rows[i].cells).at), -i))
        columns = columns_of(rows[best].cells)
        if ListColumn.ADDRESS in columns.at and (len(columns.at) > 1 or best == 0):
            self._tell_heading(rows, best, columns)
            return columns, rows[best + 1 :]
        guessed = _without_heading(rows)
        if guessed is not None:
            names = ", ".join(column.value for column in guessed.at)
            self._say(rows[0].number, TroubleKind.NOTED, f"no heading: columns were taken as {names}")
            return guessed, rows
        headings = [f"'{cell}'" for cell in rows[best].cells if cell.strip()]
        shown = ", ".join(headings[:SHOWN_HEADINGS]) + (" ..." if len(headings) > SHOWN_HEADINGS else "")
        self._say(
            rows[best].number,
            TroubleKind.LEFT_OUT,
            f"no column is headed address, only {shown}: head one of them address; no row was taken",
        )
        return None, []

    def _tell_heading(self, rows: list[SourceRow], best: int, columns: Columns) -> None:
        number = rows[best].number
        if best:
            self._say(rows[0].number, TroubleKind.NOTED, f"what stands above the heading in row {number} was not taken")
        for heading in columns.not_taken:
            self._say(number, TroubleKind.NOTED, f"column '{heading}' was not taken: a planned list has no such column")
        for heading in columns.twice:
            self._say(number, TroubleKind.NOTED, f"column '{heading}' was not taken: the one left of it holds the same")

    # One row

    def _draft(self, row: SourceRow, columns: Columns) -> DraftDevice:
        def cell(column: ListColumn) -> str:
            at = columns.at.get(column)
            return row.cells[at].strip() if at is not None and at < len(row.cells) else ""

        beyond = [one for one in row.cells[columns.width :] if one.strip()]
        if beyond:
            self._say(
                row.number,
                TroubleKind.OPEN,
                f"has {len(row.cells)} cells, the heading {columns.width}: put text that holds a separator in quotes",
            )
        place_words = cell(ListColumn.PLACE)
        where = cell(ListColumn.WHERE)
        if place_words and _place_of(place_words) is None:
            where = f"{where}, {place_words}" if where else place_words
        draft = DraftDevice(
            cell(ListColumn.ADDRESS),
            cell(ListColumn.NAME),
            self._setting(row, cell),
            cell(ListColumn.BOARD),
            where,
            cell(ListColumn.DEVICE_TYPE),
        )
        for point in read_draft(draft, 1).open_points:
            self._say(row.number, TroubleKind.OPEN, point)
        return tidy(draft)

    def _setting(self, row: SourceRow, cell: _CellOf) -> str:
        """Join what stands in several columns into the text of one."""
        speed, framing = cell(ListColumn.SPEED), cell(ListColumn.FRAMING) or _composed(cell)
        if not speed and not framing:
            return cell(ListColumn.SETTING)
        mended = spoilt_framing(framing)
        if mended:
            words = f"framing '{framing}' was read as {mended}: spreadsheets turn that into a number"
            self._say(row.number, TroubleKind.NOTED, words)
            framing = mended
        joined = setting_from(speed, framing)
        if isinstance(joined, SerialSettings):
            return str(joined)
        return f"{speed} {framing}".strip()

    # The whole list

    def _ordered(
        self, drafts: list[tuple[SourceRow, DraftDevice]], columns: Columns
    ) -> list[tuple[SourceRow, DraftDevice]]:
        """Bring rows into cable order where every one tells a number of its place."""
        at = columns.at.get(ListColumn.PLACE)
        if at is None:
            return drafts
        places = [_place_of(row.cells[at]) if at < len(row.cells) else None for row, _ in drafts]
        told = [place for place in places if place is not None]
        if not told:
            return drafts
        if len(told) < len(drafts):
            without = next(row.number for (row, _), place in zip(drafts, places, strict=True) if place is None)
            self._say(without, TroubleKind.NOTED, "has no number as its place: all rows stay in the order of the list")
            return drafts
        seen: dict[float, int] = {}
        for (row, _), place in zip(drafts, told, strict=True):
            if place in seen:
                words = f"place {place:g} stands in row {seen[place]} too: this one was put behind it"
                self._say(row.number, TroubleKind.NOTED, words)
            seen.setdefault(place, row.number)
        order = sorted(range(len(drafts)), key=lambda i: told[i])
        return [drafts[i] for i in order]

    def _compare(self, drafts: list[tuple[SourceRow, DraftDevice]]) -> None:
        first: dict[int, tuple[int, str]] = {}
        for row, draft in sorted(drafts, key=lambda one: one[0].number):
            address = address_of(draft.address)
            if isinstance(address, CannotBe):
                continue
            if address in first:
                number, name = first[address]
                named = f" ({name})" if name else ""
                self._say(
                    row.number,
                    TroubleKind.OPEN,
                    f"address {address} stands in row {number}{named} already: give one of the two another address",
                )
            first.setdefault(address, (row.number, draft.name))
        if len(drafts) > len(SERVER_ADDRESSES):
            words = f"{len(drafts)} devices, but one pair has {len(SERVER_ADDRESSES)} addresses: some belong on another"
            self._say(0, TroubleKind.OPEN, words)


def _composed(cell: _CellOf) -> str:
    """Return a framing from columns of parity, data bits and stop bits; empty where none says anything."""
    parity = PARITY_LETTERS.get(cell(ListColumn.PARITY).casefold(), cell(ListColumn.PARITY))
    data_bits, stop_bits = number_of(cell(ListColumn.DATA_BITS)), number_of(cell(ListColumn.STOP_BITS))
    if not parity:
        return ""
    return f"{8 if data_bits is None else data_bits:g}{parity}{1 if stop_bits is None else stop_bits:g}"


def _place_of(text: str) -> float | None:
    """Return where on the cable a row stands: a number or metres; only their order counts."""
    plain = text.strip().casefold().removesuffix("metres").removesuffix("m").removesuffix(".")
    return number_of(plain)


def _without_heading(rows: Sequence[SourceRow]) -> Columns | None:
    """Guess the columns of a list without a heading from its first row: our own order, with or without places."""
    cells = rows[0].cells
    order = [ListColumn.PLACE, ListColumn.ADDRESS, ListColumn.NAME, ListColumn.SETTING, ListColumn.BOARD]
    order.append(ListColumn.WHERE)
    numbers = [isinstance(address_of(cell), int) for cell in cells]
    if numbers[:1] != [True]:
        return None
    if numbers[1:2] != [True]:
        order = order[1:]
    at = {column: i for i, column in enumerate(order) if i < max(len(row.cells) for row in rows)}
    return Columns(at, (), (), max(len(order), len(cells)))
