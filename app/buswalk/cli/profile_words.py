"""What people read of register profiles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buswalk.cli.profile_events import PointListed, ProfileListed
from buswalk.domain.registers.loss_timer import IsOff, LossTimer, NotTold, RunsFor
from buswalk.domain.registers.notations import Notation, RegisterPlace, notations_of
from buswalk.domain.registers.point import Access, Between, BitField, NamedValue, Point, Sets, WriteType
from buswalk.domain.registers.profile import AnswersWith, HoldsWords, ReadRules, RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.type_names import type_name, type_words

HEADINGS = ("point", "table", "from 0", "hex", "from 1", "5 digits", "6 digits", "type", "in", "range", "access")
_ACCESS = {Access.READ: "read", Access.READ_WRITE: "read, write", Access.WRITE: "write"}
_WRITES = {
    WriteType.RAM: "",
    WriteType.EEPROM: "written for good, which wears the memory",
    WriteType.TRIGGER: "a write starts something",
}
_SETS = {
    Sets.SERVER_ADDRESS: "sets the address of the device itself",
    Sets.SPEED: "sets the speed of the device itself",
    Sets.FRAMING: "sets the framing of the device itself",
    Sets.SAVE: "saves what was set of the device itself",
}


def profile_lines(library: ProfileLibrary) -> Iterator[str]:
    """Yield the list of profiles."""
    width = max((len(one.name) for one in library.profiles), default=0)
    for profile in library.profiles:
        own = "  (yours)" if profile.name in library.own else ""
        yield f"{profile.name.ljust(width)}  {profile.title}{own}"


def profile_facts(profile: RegisterProfile) -> Iterator[str]:
    """Yield all of one profile: what it is, how it is read, and each point in every notation of its register."""
    yield f"{profile.name}: {profile.title}"
    yield from (line.strip() for line in profile.notes.splitlines() if line.strip())
    yield from known_by_lines(profile)
    yield from rule_lines(profile.rules)
    yield from loss_timer_lines(profile)
    yield ""
    yield from _table([HEADINGS, *(_cells(one) for one in profile.points)])
    remarks = [f"{one.name}: {remark}" for one in profile.points for remark in _remarks(one)]
    if remarks:
        yield ""
        yield from remarks


def known_by_lines(profile: RegisterProfile) -> Iterator[str]:
    """Yield by what a device of this type is known."""
    for part in profile.fingerprint:
        match part:
            case AnswersWith(text):
                yield f"known by: tells '{text}' of itself"
            case HoldsWords(table, address, words):
                spelled = " ".join(f"{one:04X}" for one in words)
                yield f"known by: {table.value.replace('_', ' ')} from {address} hold {spelled}"


def rule_lines(rules: ReadRules) -> Iterator[str]:
    """Yield how the type wants to be read; nothing where it takes what the standard allows."""
    usual = ReadRules()
    for block in rules.blocks:
        yield f"may be read: {block.table.value.replace('_', ' ')} {block.first} to {block.last} (from 0)"
    if rules.largest_quantity != usual.largest_quantity:
        yield f"at most {rules.largest_quantity} words in one request"
    if rules.largest_bit_quantity != usual.largest_bit_quantity:
        yield f"at most {rules.largest_bit_quantity} bits in one request"
    if rules.minimum_gap_s:
        yield f"wants {rules.minimum_gap_s * 1000:g} ms of silence before a request"


def loss_timer_lines(profile: RegisterProfile) -> Iterator[str]:
    """Yield what a device of this type does when nobody asks it; nothing where the profile does not say."""
    timer = profile.loss_timer
    if not isinstance(timer, LossTimer):
        return
    match timer.delivered:
        case RunsFor(seconds):
            yield f"loss timer: {timer.reaction} after {seconds:g} s without a request, as delivered"
        case IsOff():
            yield f"loss timer: off as delivered; set, it {timer.reaction} when nobody asks"
        case _:
            yield f"loss timer: {timer.reaction} when nobody asks for as long as the point {timer.point} says"
    if timer.point and not isinstance(timer.delivered, NotTold):
        yield f"the point {timer.point} says how it is set: read it before the line is taken"


def listed(profile: RegisterProfile, library: ProfileLibrary) -> ProfileListed:
    """Return a profile for machines."""
    tells = tuple(one.text for one in profile.fingerprint if isinstance(one, AnswersWith))
    return ProfileListed(
        profile.name, profile.title, len(profile.points), tells, profile.name in library.own, profile.loss_timer
    )


def point_listed(profile: RegisterProfile, point: Point) -> PointListed:
    """Return a point for machines."""
    between = point.range if isinstance(point.range, Between) else None
    return PointListed(
        profile=profile.name,
        name=point.name,
        words=point.words,
        table=point.table.value,
        register_address=point.register_address,
        type=type_name(point.value_type),
        word_order=point.value_type.word_order.value,
        byte_order=point.value_type.byte_order.value,
        scale=f"{point.scale:f}",
        offset=f"{point.offset:f}",
        unit=point.unit,
        low="" if between is None else f"{between.low:f}",
        high="" if between is None else f"{between.high:f}",
        access=point.access.value,
        write_type=point.write_type.value,
        clears_on_read=point.clears_on_read,
        sets=point.sets.value,
        caution=point.caution,
    )


def _cells(point: Point) -> tuple[str, ...]:
    written = {one.notation: one.text for one in notations_of(RegisterPlace(point.table, point.register_address))}
    between = point.range
    return (
        point.name,
        point.table.value.replace("_", " "),
        *(written.get(one, "") for one in Notation),
        type_words(point.value_type),
        scaling_words(point),
        f"{between.low:f} to {between.high:f}" if isinstance(between, Between) else "",
        _ACCESS[point.access],
    )


def scaling_words(point: Point) -> str:
    """Return what one raw step is and where it begins: '0.1 °C', '0.1 °C from -40'."""
    step = f"{point.scale:f} {point.unit}".strip() if point.scale != 1 or point.offset else point.unit
    return f"{step} from {point.offset:f}" if point.offset else step


def _remarks(point: Point) -> Iterator[str]:
    if point.named:
        yield _named_words(point.named)
    yield from (_bits_words(one) for one in point.bit_fields)
    if point.sentinels:
        digits = max(4, point.value_type.bits // 4)
        codes = ", ".join(f"0x{one:0{digits}X}" for one in point.sentinels)
        yield f"{codes}: no value"
    if point.clears_on_read:
        yield "reading clears it: it is only read when asked for by name"
    if point.access is not Access.READ and _WRITES[point.write_type]:
        yield _WRITES[point.write_type]
    if point.sets is not Sets.NOTHING:
        yield _SETS[point.sets]
    if point.caution:
        yield f"caution: {point.caution}"
    if point.notes:
        yield point.notes


def _bits_words(field: BitField) -> str:
    last = field.first_bit + field.width - 1
    where = f"bit {field.first_bit}" if field.width == 1 else f"bits {field.first_bit} to {last}"
    return f"{where}: {field.name}" + (f" ({_named_words(field.named)})" if field.named else "")


def _named_words(named: Sequence[NamedValue]) -> str:
    return ", ".join(f"{one.raw} {one.words}" for one in named)


def _table(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(HEADINGS))]
    shown = [at for at in range(len(HEADINGS)) if any(row[at] for row in rows[1:])]
    for row in rows:
        yield "  ".join(row[at].ljust(widths[at]) for at in shown).rstrip()
