"""What was typed for a move, and the plan that it means; or one sentence why it means none. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan, RegisterValue
from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS
from buswalk.domain.site.comparison import alike

SPEEDS_BAUD = (1200, 2400, 4800, 9600, 19_200, 38_400, 57_600, 76_800, 115_200)
FRAMINGS = ("8N1", "8E1", "8O1", "8N2")
LARGEST_WORD = 0xFFFF
LISTEN_S = 10.0
MOST_WRITES = 8


class NotAMove(Exception):
    """What was typed is no plan. Its text is one sentence: what, where, what to do."""


@dataclass(frozen=True, slots=True)
class MoveForm:
    """As typed and chosen.

    Attributes:
        writes: Registers and values, such as `100=45, 255=1`.
        confirmed: The new address, or where only the speed changes the new speed and framing, once more.
    """

    address: str = ""
    baud_rate: int = 9600
    framing: str = "8N1"
    writes: str = ""
    confirmed: str = ""
    may_have_company: bool = False


def form_of(here: Reach) -> MoveForm:
    """Return the form of a device that stays where it is."""
    settings = alike(here.settings)
    return MoveForm(str(here.server_address), settings.baud_rate, settings.framing)


def speeds_for(baud_rate: int) -> tuple[int, ...]:
    """Return the speeds to choose from; one that is not usual is among them where the device has it."""
    return tuple(sorted({*SPEEDS_BAUD, baud_rate}))


def framings_for(framing: str) -> tuple[str, ...]:
    """Return the framings to choose from."""
    return FRAMINGS if framing in FRAMINGS else (*FRAMINGS, framing)


def reach_of(form: MoveForm) -> Reach:
    """Return where the device is to be. Raises NotAMove."""
    text = form.address.strip()
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text[:9]) <= 247:
        raise NotAMove(f"New address: '{text}' is no server's; write 1 to 247.")
    return Reach(int(text), SerialSettings.of(form.baud_rate, form.framing))


def writes_of(text: str) -> tuple[RegisterValue, ...]:
    """Return what is to be written, in order. Raises NotAMove."""
    pieces = [one.strip() for one in text.replace(";", ",").split(",") if one.strip()]
    if not pieces:
        raise NotAMove("What is written: nothing yet; write register=value from the maker's papers, such as 100=45.")
    if len(pieces) > MOST_WRITES:
        raise NotAMove(f"What is written: {len(pieces)} registers are more than the {MOST_WRITES} that a move takes.")
    return tuple(_register_value(one, place) for place, one in enumerate(pieces, start=1))


def _register_value(piece: str, place: int) -> RegisterValue:
    register, equals, value = piece.partition("=")
    if not equals:
        raise NotAMove(f"What is written: number {place}, '{piece}', has no value; write it such as 100=45.")
    where = f"What is written: number {place}"
    return RegisterValue(
        _number(register, f"{where}, register", LAST_REGISTER_ADDRESS), _number(value, f"{where}, value", LARGEST_WORD)
    )


def _number(text: str, where: str, largest: int) -> int:
    plain = text.strip()
    try:
        number = int(plain, 16 if plain[:2].lower() == "0x" else 10)
    except ValueError:
        number = -1
    if not 0 <= number <= largest or "_" in plain:
        raise NotAMove(f"{where}: '{plain}' cannot be; write 0 to {largest}, or hex such as 0x64.")
    return number


def plan_of(form: MoveForm, here: Reach, reason: str, response_timeout_s: float) -> ReaddressPlan:
    """Return the plan. Raises NotAMove."""
    after = reach_of(form)
    if after == Reach(here.server_address, alike(here.settings)):
        raise NotAMove("Nothing is changed yet: type the new address, or choose another speed.")
    try:
        return ReaddressPlan(
            here,
            after,
            writes_of(form.writes),
            reason,
            may_have_company=form.may_have_company,
            response_timeout_s=response_timeout_s,
            listen_s=LISTEN_S,
        )
    except ValueError as problem:
        raise NotAMove(f"{str(problem)[0].upper()}{str(problem)[1:]}.") from problem


def confirmed_by(here: Reach, after: Reach) -> str:
    """Return what is typed once more: the new address, else the new speed and framing."""
    return str(after.server_address) if here.server_address != after.server_address else str(after.settings)


def written_words(writes: tuple[RegisterValue, ...]) -> str:
    """Return writes as they are typed."""
    return ", ".join(f"{one.register_address}={one.value}" for one in writes)
