"""From the tables of a profile file to the profile; what the domain refuses is said with the line of its key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from buswalk.domain.registers.loss_timer import (
    LossTimer,
    NoTimerDescribed,
    NotTold,
    delivered_setting,
    require_timer_point,
)
from buswalk.domain.registers.notations import Notation, UnreadablePlace, read_place
from buswalk.domain.registers.point import Access, AnyValue, Between, BitField, NamedValue, Point, Sets, WriteType
from buswalk.domain.registers.profile import (
    AnswersWith,
    Block,
    FingerprintPart,
    HoldsWords,
    ReadRules,
    RegisterProfile,
)
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.type_names import NAMED_TYPES, TEXT_NAME
from buswalk.domain.registers.value_type import BITS_OF_A_WORD, ByteOrder, Layout, ValueType, WordOrder
from buswalk.located_toml import KeyPath, LocatedToml
from buswalk.storage.profile_model import (
    BitsTable,
    BlockTable,
    FingerprintTable,
    HoldsTable,
    LossTimerTable,
    PointTable,
    ReadingTable,
)

T = TypeVar("T")
M = TypeVar("M", bound=BaseModel)
_WIDTHS = {Notation.REFERENCE_NUMBER_5: 5, Notation.REFERENCE_NUMBER_6: 6}


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that is wrong, with its line for the order."""

    line: int
    sentence: str
    key_path: KeyPath


class ProfileBuilding:
    """Makes the profile piece by piece, passing over the pieces that the model has refused already."""

    def __init__(self, located: LocatedToml, refused: tuple[KeyPath, ...]) -> None:
        self.troubles: list[Trouble] = []
        self._located = located
        self._refused = refused
        self._notation = Notation.REGISTER_ADDRESS

    def profile(self) -> RegisterProfile | None:
        """Return it, or None where `troubles` or the refused pieces leave none."""
        if not self._is_whole(("addresses",)):
            # Without the notation no place can be read; the model has said so.
            return None
        values = self._located.values
        self._notation = Notation(values["addresses"])
        rules = self._rules()
        points = self._points()
        fingerprint = self._fingerprint()
        timer = self._loss_timer(points)
        self._check_names(points)
        self._check_blocks(points, rules)
        if self._refused or self.troubles:
            return None
        notes = str(values.get("notes", "")).strip()
        only = tuple(one for _, one in points)
        return RegisterProfile(self._located.path.stem, values["title"], only, rules, fingerprint, notes, timer)

    def _points(self) -> list[tuple[int, Point]]:
        tables = self._located.values.get("point", [])
        count = len(tables) if isinstance(tables, list) else 0
        made: list[tuple[int, Point]] = []
        for at in range(count):
            table = self._table(("point", at), PointTable)
            point = self._point(at, table) if table is not None else None
            if point is not None:
                made.append((at, point))
        return made

    def _point(self, at: int, table: PointTable) -> Point | None:
        top: KeyPath = ("point", at)
        before = len(self.troubles)
        place = self._tried((*top, "at"), lambda: self._place(table.at, table.table))
        value_type = self._tried((*top, "type"), lambda: _value_type(table))
        between = self._tried((*top, "range"), lambda: _range(table))
        named = self._tried((*top, "values"), lambda: _named(table.values))
        bits = self._tried((*top, "bits"), lambda: tuple(_bits(one, table) for one in table.bits))
        self._tried((*top, "no_value"), lambda: _check_sentinels(table, value_type))
        if value_type is not None and (table.table in ("coils", "discrete_inputs")) != (table.type == "bit"):
            self._tried((*top, "type"), lambda: _wrong_table(table))
            return None
        if len(self.troubles) > before:
            return None
        assert place is not None and value_type is not None and between is not None
        assert named is not None and bits is not None
        return self._tried(
            top,
            lambda: Point(
                table.name, Table(table.table), place, value_type, table.words, table.scale, table.offset,
                table.unit, between, table.decimals, tuple(table.no_value), named, bits, Access(table.access),
                WriteType(table.write_type), table.clears_on_read, _joined(table.caution), _joined(table.notes),
                is_shown_whole="decimals" in table.model_fields_set and not table.decimals, sets=Sets(table.sets),
            ),
        )  # fmt: skip

    def _rules(self) -> ReadRules:
        reading = self._table(("reading",), ReadingTable) if "reading" in self._located.values else None
        if reading is None:
            return ReadRules()
        blocks = [
            self._tried(("reading", "blocks", at), lambda one=one: self._block(one))  # type: ignore[misc]
            for at, one in enumerate(reading.blocks)
        ]
        kept = tuple(one for one in blocks if one is not None)
        gap_s = float(reading.minimum_gap_s)
        return ReadRules(kept, reading.largest_quantity, reading.largest_bit_quantity, gap_s)

    def _fingerprint(self) -> tuple[FingerprintPart, ...]:
        if "fingerprint" not in self._located.values:
            return ()
        table = self._table(("fingerprint",), FingerprintTable)
        if table is None:
            return ()
        holds = [
            self._tried(("fingerprint", "holds", at), lambda one=one: self._holds(one))  # type: ignore[misc]
            for at, one in enumerate(table.holds)
        ]
        return (*(AnswersWith(one) for one in table.tells), *(one for one in holds if one is not None))

    def _loss_timer(self, points: list[tuple[int, Point]]) -> LossTimer | NoTimerDescribed:
        if "loss_timer" not in self._located.values:
            return NoTimerDescribed()
        top: KeyPath = ("loss_timer",)
        table = self._table(top, LossTimerTable)
        if table is None:
            return NoTimerDescribed()
        if table.point:
            self._tried((*top, "point"), lambda: self._check_timer_point(table.point, points))
        delivered = NotTold() if table.seconds is None else delivered_setting(float(table.seconds))
        return (
            self._tried(top, lambda: LossTimer(_joined(table.reaction), delivered, table.point)) or NoTimerDescribed()
        )

    def _check_timer_point(self, name: str, points: list[tuple[int, Point]]) -> None:
        named = [point for _, point in points if point.name == name]
        if named:
            require_timer_point(named[0])
        elif not self._refused and not self.troubles:
            # A point that was refused itself may be the one that is meant.
            raise ValueError(f"no point of this file is called '{name}': write the 'name' of one")

    def _block(self, table: BlockTable) -> Block:
        first, last = (self._place(one, table.table) for one in (table.first, table.last))
        return Block(Table(table.table), first, last)

    def _holds(self, table: HoldsTable) -> HoldsWords:
        return HoldsWords(Table(table.table), self._place(table.at, table.table), tuple(table.words))

    def _place(self, text: str | int, table: str) -> int:
        """Return the register address; a number loses the zeros in front that reference numbers of coils have."""
        spelled = text if isinstance(text, str) else f"{text:0{_WIDTHS.get(self._notation, 0)}d}"
        if isinstance(text, int) and self._notation is Notation.REGISTER_ADDRESS_HEX:
            # TOML has read 0x13 as a number already.
            spelled = f"{text:x}"
        try:
            return read_place(spelled, self._notation, Table(table)).register_address
        except UnreadablePlace as reason:
            raise ValueError(reason.sentence) from reason

    def _check_names(self, points: list[tuple[int, Point]]) -> None:
        counts = Counter(point.name for _, point in points)
        first: dict[str, int] = {}
        for at, point in points:
            if counts[point.name] > 1 and point.name in first:
                line = self._located.line_of(("point", first[point.name], "name"))
                self._trouble(("point", at, "name"), f"'{point.name}' is the name of line {line} too: change one")
            first.setdefault(point.name, at)

    def _check_blocks(self, points: list[tuple[int, Point]], rules: ReadRules) -> None:
        if not rules.blocks:
            return
        for at, point in points:
            if not any(_is_in(point, one) for one in rules.blocks):
                self._trouble(("point", at, "at"), f"{point.name} stands in none of the blocks that may be read")

    def _table(self, key_path: KeyPath, kind: type[M]) -> M | None:
        """Return one table of the file, if nothing of it was refused."""
        if not self._is_whole(key_path):
            return None
        value = self._located.values
        for part in key_path:
            value = value[part]  # type: ignore[index]
        try:
            return kind.model_validate(value)
        except ValidationError:
            return None

    def _is_whole(self, key_path: KeyPath) -> bool:
        return not any(one[: len(key_path)] == key_path for one in self._refused)

    def _tried(self, key_path: KeyPath, make: Callable[[], T]) -> T | None:
        try:
            return make()
        except ValueError as reason:
            self._trouble(key_path, str(reason))
            return None

    def _trouble(self, key_path: KeyPath, what: str) -> None:
        sentence = f"{self._located.place_of(key_path)}: {what}"
        self.troubles.append(Trouble(self._located.line_of(key_path), sentence, key_path))


def _value_type(table: PointTable) -> ValueType:
    orders = WordOrder(table.word_order), ByteOrder(table.byte_order)
    if table.type == TEXT_NAME:
        if not table.registers:
            raise ValueError("a text needs 'registers': how many it takes, two characters each")
        return ValueType(Layout.TEXT, table.registers * BITS_OF_A_WORD, *orders)
    layout, bits = NAMED_TYPES[table.type]
    if table.registers and table.registers != max(1, bits // BITS_OF_A_WORD):
        raise ValueError(f"type {table.type} takes {max(1, bits // BITS_OF_A_WORD)} registers, not {table.registers}")
    return ValueType(layout, bits, *orders)


def _wrong_table(table: PointTable) -> None:
    kind = "words: choose another type than bit" if table.type == "bit" else "bits: write type = 'bit'"
    raise ValueError(f"{table.table.replace('_', ' ')} hold {kind}")


def _range(table: PointTable) -> Between | AnyValue:
    if not table.range:
        return AnyValue()
    if len(table.range) != 2:
        raise ValueError("'range' has two numbers, the least and the greatest")
    return Between(table.range[0], table.range[1])


def _named(values: Mapping[str, str]) -> tuple[NamedValue, ...]:
    named: list[NamedValue] = []
    for key, words in values.items():
        try:
            named.append(NamedValue(int(key, 0), words))
        except ValueError as reason:
            raise ValueError(f"'{key}' is no raw value: write a whole number before the =") from reason
    return tuple(named)


def _bits(table: BitsTable, point: PointTable) -> BitField:
    width = NAMED_TYPES[point.type][1] if point.type in NAMED_TYPES else 0
    if table.first_bit + table.width > width:
        raise ValueError(f"bits '{table.name}' end beyond the {width} bits of type {point.type}")
    return BitField(table.name, table.first_bit, table.width, _named(table.values))


def _check_sentinels(table: PointTable, value_type: ValueType | None) -> None:
    if value_type is None:
        return
    for one in table.no_value:
        if one >> value_type.bits:
            raise ValueError(f"0x{one:X} in 'no_value' is wider than the {value_type.bits} bits of the type")


def _is_in(point: Point, block: Block) -> bool:
    return point.table is block.table and block.first <= point.register_address <= point.last_register_address <= (
        block.last
    )


def _joined(text: str) -> str:
    return " ".join(text.split())
