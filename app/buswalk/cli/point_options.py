"""Which points of which device are read: options of `read` and `watch` turned into a reading."""

from __future__ import annotations

import argparse

from buswalk.cli.number_options import ChoiceOption, SecondsOption, WholeOption
from buswalk.cli.parts import ProfileParts, WrongUse
from buswalk.domain.registers.notations import Notation, UnreadablePlace, read_place, read_reference
from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS, Point
from buswalk.domain.registers.profile import ReadRules, RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.type_names import NAMED_TYPES
from buswalk.domain.registers.value_type import ByteOrder, ValueType, WordOrder
from buswalk.domain.watching.plan import MOST_RETRIES, PointsRead, Retries

TABLES = tuple(one.value for one in Table)
ORDERS = {"high-first": WordOrder.HIGH_FIRST, "low-first": WordOrder.LOW_FIRST}
TYPES = tuple(name for name in NAMED_TYPES if name != "bit")
MOST_VALUES = 2000
LONGEST_S = 60.0


def add_point_options(parser: argparse.ArgumentParser) -> None:
    """Add which points: of a profile, or addresses as they are."""
    group = parser.add_argument_group("which points")
    group.add_argument("--profile", metavar="NAME", help="register profile of the device, by name or file")
    group.add_argument(
        "--point",
        action="append",
        metavar="NAME",
        help="this point of the profile; may be given several times. Not given: all that a read does not change",
    )
    group.add_argument(
        "--table",
        type=ChoiceOption("--table", TABLES),
        metavar="{" + ",".join(TABLES) + "}",
        help="without a profile: holding_registers if not given",
    )
    group.add_argument("--from", dest="first", metavar="PLACE", help="without a profile: the first one, by --notation")
    notations = tuple(one.value for one in Notation)
    group.add_argument(
        "--notation",
        type=ChoiceOption("--notation", notations),
        default=Notation.REGISTER_ADDRESS.value,
        metavar="{" + ",".join(notations) + "}",
        help="how --from is meant: as sent, from 0, if not given; a reference number such as 40001 names its table",
    )
    group.add_argument(
        "--quantity",
        type=WholeOption("--quantity", 1, MOST_VALUES),
        default=1,
        help="how many values, one after the other; 1 if not given",
    )
    group.add_argument(
        "--type",
        type=ChoiceOption("--type", TYPES),
        default="uint16",
        metavar="TYPE",
        help=f"what each value is: {', '.join(TYPES)}; uint16 if not given",
    )
    group.add_argument(
        "--word-order",
        type=ChoiceOption("--word-order", tuple(ORDERS)),
        default="high-first",
        metavar="{" + ",".join(ORDERS) + "}",
        help="of values of several words; high word first if not given",
    )
    group.add_argument("--bytes-exchanged", action="store_true", help="low byte of each word first")
    group.add_argument(
        "--largest-quantity",
        type=WholeOption("--largest-quantity", 1, MOST_VALUES),
        help="the most that one request asks for; what the standard allows if not given",
    )


def add_patience_options(parser: argparse.ArgumentParser, timeout_s: float) -> None:
    """Add how long to wait, and how often to ask again."""
    group = parser.add_argument_group("patience")
    group.add_argument(
        "--timeout",
        type=SecondsOption("--timeout", 0.001, LONGEST_S),
        default=timeout_s,
        help=f"wait for the first byte of a reply in seconds, {timeout_s:g} if not given",
    )
    group.add_argument(
        "--pause",
        type=SecondsOption("--pause", 0.0, LONGEST_S),
        default=0.0,
        help="least silence before each request in seconds; what the profile wants is kept in any case",
    )
    group.add_argument(
        "--retries",
        type=WholeOption("--retries", 0, MOST_RETRIES),
        default=0,
        help="ask again so often what was not answered, each time an exchange of its own; 0 if not given",
    )
    group.add_argument(
        "--retry-pause",
        type=SecondsOption("--retry-pause", 0.0, LONGEST_S),
        default=0.5,
        help="silence before a retry in seconds, 0.5 if not given; where it is short, values may be old: doubtful",
    )


def retries_of(arguments: argparse.Namespace) -> Retries:
    """Return how often to ask again."""
    return Retries(arguments.retries, arguments.retry_pause)


def reading_of(arguments: argparse.Namespace, profiles: ProfileParts) -> PointsRead:
    """Return what is to be read.

    Raises:
        WrongUse: The options name nothing, too much, or what cannot be.
    """
    if (arguments.profile is None) is (arguments.first is None):
        raise WrongUse("say what to read: --profile NAME, or --from PLACE with --table and --quantity")
    if arguments.profile is not None:
        return profile_reading(profiles.named(arguments.profile), tuple(arguments.point or ()))
    if arguments.point:
        raise WrongUse("--point names a point of a profile: write --profile as well")
    profile = _plain_profile(arguments)
    return PointsRead(profile, tuple(one.name for one in profile.points))


def profile_reading(profile: RegisterProfile, names: tuple[str, ...]) -> PointsRead:
    """Return these points of a profile; without names all that a read does not change.

    Raises:
        WrongUse: A name that it does not have, or nothing to read.
    """
    known = {one.name for one in profile.points}
    for name in names:
        if name not in known:
            raise WrongUse(f"profile {profile.name} has no point '{name}': 'profile show {profile.name}' lists them")
    usual = (one.name for one in profile.points if one.can_be_read and not one.clears_on_read)
    chosen = tuple(dict.fromkeys(names)) or tuple(usual)
    if not chosen:
        raise WrongUse(f"profile {profile.name} has nothing that is read without being asked for: name it by --point")
    return PointsRead(profile, chosen)


def _plain_profile(arguments: argparse.Namespace) -> RegisterProfile:
    """Return a profile of values as they are, named by where they stand."""
    table, first = _place_of(arguments)
    value_type = ValueType(*NAMED_TYPES["bit" if table.holds_bits else arguments.type])
    if value_type.words > 1 or arguments.bytes_exchanged:
        exchanged = ByteOrder.EXCHANGED if arguments.bytes_exchanged else ByteOrder.STANDARD
        value_type = ValueType(value_type.layout, value_type.bits, ORDERS[arguments.word_order], exchanged)
    last = first + arguments.quantity * value_type.words - 1
    if last > LAST_REGISTER_ADDRESS:
        raise WrongUse(f"the last value would end at {last}: addresses as sent end at {LAST_REGISTER_ADDRESS}")
    points = tuple(
        Point(f"{table.value}_{at}", table, at, value_type, words=str(at))
        for at in range(first, last + 1, value_type.words)
    )
    usual = ReadRules()
    rules = ReadRules(
        (),
        min(arguments.largest_quantity or usual.largest_quantity, usual.largest_quantity),
        min(arguments.largest_quantity or usual.largest_bit_quantity, usual.largest_bit_quantity),
    )
    return RegisterProfile("", "addresses as given", points, rules)


def _place_of(arguments: argparse.Namespace) -> tuple[Table, int]:
    notation = Notation(arguments.notation)
    try:
        if arguments.table is None and notation.names_the_table:
            place = read_reference(arguments.first, 5 if notation is Notation.REFERENCE_NUMBER_5 else 6)
        else:
            place = read_place(arguments.first, notation, Table(arguments.table or Table.HOLDING_REGISTERS.value))
    except UnreadablePlace as reason:
        raise WrongUse(f"--from {arguments.first}: {reason.sentence}") from reason
    return place.table, place.register_address
