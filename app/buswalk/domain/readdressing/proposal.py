"""What the list of a device says is to be written so that it answers at another address or speed. Sends nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.registers.conversion import NotRepresentable, words_for
from buswalk.domain.registers.point import NamedValue, Point, Sets
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.search.prior import asked_as

USUAL_SAVE_VALUE = 1


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the list has for a move.

    Attributes:
        writes: In the order of writing: address, speed, framing, then what saves.
        points: The point behind each of them.
        missing: What the list does not say, a sentence each; empty where it says everything.
    """

    writes: tuple[RegisterValue, ...] = ()
    points: tuple[Point, ...] = ()
    missing: tuple[str, ...] = ()


class _NotListed(Exception):
    """The list has no value for what is wanted. Its text says which."""


def proposal_for(profile: RegisterProfile, before: Reach, after: Reach) -> Proposal:
    """Return what the list says is to be written to get from one place to the other."""
    writes: list[RegisterValue] = []
    points: list[Point] = []
    missing: list[str] = []
    for sets in _changed(profile, before, after):
        point = _point_that(profile, sets)
        if point is None:
            missing.append(f"the list names no register that sets the {_WORDS[sets]}")
            continue
        try:
            writes.append(RegisterValue(point.register_address, _value(point, after)))
            points.append(point)
        except _NotListed as reason:
            missing.append(str(reason))
    saving = _point_that(profile, Sets.SAVE)
    if writes and saving is not None:
        writes.append(RegisterValue(saving.register_address, _saving_value(saving)))
        points.append(saving)
    return Proposal(tuple(writes), tuple(points), tuple(missing))


_WORDS = {Sets.SERVER_ADDRESS: "address", Sets.SPEED: "speed", Sets.FRAMING: "framing", Sets.SAVE: "saving"}


def _changed(profile: RegisterProfile, before: Reach, after: Reach) -> Iterator[Sets]:
    old, new = asked_as(before.settings), asked_as(after.settings)
    if before.server_address != after.server_address:
        yield Sets.SERVER_ADDRESS
    is_framing_other = old.framing != new.framing
    speed = _point_that(profile, Sets.SPEED)
    is_in_speed = speed is not None and any(_names_framing(one) for one in speed.named)
    if old.baud_rate != new.baud_rate or (is_framing_other and is_in_speed):
        yield Sets.SPEED
    if is_framing_other and not is_in_speed:
        yield Sets.FRAMING


def _point_that(profile: RegisterProfile, sets: Sets) -> Point | None:
    return next((one for one in profile.points if one.sets is sets), None)


def _value(point: Point, after: Reach) -> int:
    match point.sets:
        case Sets.SPEED:
            wanted = [one for one in point.named if _is_speed(one, after.settings)]
        case Sets.FRAMING:
            wanted = [one for one in point.named if _is_framing(one.words, after.settings)]
        case _:
            return _word(point, str(after.server_address))
    if not wanted:
        raise _NotListed(f"the list has no value of {point.words or point.name} for {after.settings}")
    return wanted[0].raw & 0xFFFF


def _word(point: Point, text: str) -> int:
    try:
        (word,) = words_for(point, text)
    except NotRepresentable as reason:
        raise _NotListed(reason.sentence) from reason
    return word


def _names_framing(named: NamedValue) -> bool:
    return named.words.strip().partition(" ")[2] not in ("", "baud")


def _is_speed(named: NamedValue, wanted: SerialSettings) -> bool:
    """`19200`, `19200 baud` and `19200 8E1` all name a speed; where a framing stands behind it, that must be right."""
    speed, _, framing = named.words.strip().partition(" ")
    if speed != str(wanted.baud_rate):
        return False
    return not framing or framing == "baud" or _is_framing(framing, wanted)


def _is_framing(words: str, wanted: SerialSettings) -> bool:
    try:
        named = SerialSettings.of(wanted.baud_rate, words.strip())
    except ValueError:
        return False
    return asked_as(named) == asked_as(wanted)


def _saving_value(point: Point) -> int:
    return point.named[0].raw & 0xFFFF if point.named else USUAL_SAVE_VALUE
