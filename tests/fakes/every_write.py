"""At least one event of every kind that writing and re-addressing say."""

from __future__ import annotations

from decimal import Decimal

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import (
    CompanyLooked,
    LookedAfter,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnd,
    ReaddressEnded,
    RestartSeen,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.registers.point import Access, Between, BitField, NamedValue, Point, WriteType
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import Layout, ValueType, WordOrder
from buswalk.domain.registers.writing.events import (
    FoundAsBefore,
    LockedBecause,
    OldNotRead,
    OldRead,
    ReadBack,
    WriteAnswer,
    WriteBegun,
    WriteGivenUp,
    WriteJudged,
    WritingLocked,
    WritingUnlocked,
    Written,
)
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace
from buswalk.domain.registers.writing.verdict import Verdict

SETTINGS = SerialSettings.of(9600, "8E1")
POINT = Point(
    name="pump_mode",
    table=Table.HOLDING_REGISTERS,
    register_address=40,
    value_type=ValueType(Layout.UNSIGNED, 32, WordOrder.LOW_FIRST),
    words="Betriebsart der Pumpe",
    scale=Decimal("0.10"),
    offset=Decimal("-5"),
    unit="°C",
    range=Between(Decimal("0.5"), Decimal(90)),
    decimals=1,
    sentinels=(0xFFFF,),
    named=(NamedValue(0, "off"),),
    bit_fields=(BitField("alarm", 15, named=(NamedValue(1, "yes"),)),),
    access=Access.READ_WRITE,
    write_type=WriteType.EEPROM,
    caution="the pump starts",
)
KNOWN = IntendedWrite(37, SETTINGS, KnownPlace(POINT), (7, 0))
RAW = IntendedWrite(0, SETTINGS, RawPlace(Table.COILS, 4, 2), (1, 0))
HERE, THERE = Reach(37, SETTINGS), Reach(42, SETTINGS)
EVERY_WRITE: tuple[object, ...] = (
    WritingUnlocked("Inbetriebnahme der Halle", 300.0, 1.0),
    WriteBegun(1, KNOWN, OldRead((6, 0), 3), "test", 1.1),
    Written(1, 4, 16, WriteAnswer.CONFIRMED, 0, 1.2),
    ReadBack(1, 0.0, 5, (7, 0), Verdict.HELD, 1.3),
    WriteJudged(1, Verdict.HELD, "it stands there", 61.2),
    WriteBegun(2, RAW, OldNotRead("it goes to all devices"), "test", 62.0, 1),
    WriteGivenUp(KNOWN, "it has changed since", 63.0),
    FoundAsBefore(KNOWN, (6, 0), 7, 64.0),
    WritingLocked(LockedBecause.TIME_IS_OVER, 300.0),
    ReaddressBegun(HERE, THERE, (RegisterValue(10, 42),), "as planned", 310.0),
    CompanyLooked(246, (38,), 330.0),
    OldSettingsRead((RegisterValue(10, 37),), 330.5),
    SettingWritten(HERE, RegisterValue(10, 42), 260, WriteAnswer.SILENT, 0, 331.0),
    PlacesLooked(LookedAfter.WRITING, (HERE, THERE), (HERE,), 333.0),
    RestartWanted("take its supply away", 180.0, 333.0),
    RestartSeen(4.5, 350.0),
    ReaddressEnded(ReaddressEnd.MOVED_AFTER_RESTART, (THERE,), "it is at 42", 352.0),
)
