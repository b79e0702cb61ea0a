"""Which device is shown by which list: a profile, shifted or not, or raw addresses as typed. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import chain, count

from buswalk.domain.registers.notations import Notation, UnreadablePlace, read_place
from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS, Access, Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_fits import Fit, ProfileFit, profiles_by_fit
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import BIT, UINT16
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.pages.registers.registers_state import Chooser, RawState

RAW_NAME = "raw-addresses"
NO_PROFILE = "no profile: raw addresses"
MOST_RAW = 500
NOTHING_LISTED = RegisterProfile(RAW_NAME, NO_PROFILE, ())
_TABLE_WORDS = {
    Table.COILS: "coil",
    Table.DISCRETE_INPUTS: "discrete input",
    Table.INPUT_REGISTERS: "input register",
    Table.HOLDING_REGISTERS: "holding register",
}
NO_LIBRARY = ProfileLibrary(())
TABLES = (Table.HOLDING_REGISTERS, Table.INPUT_REGISTERS, Table.COILS, Table.DISCRETE_INPUTS)
SHIFTS = (-1, 0, 1)


@dataclass(frozen=True, slots=True)
class RawPlan:
    """Raw addresses as they were typed."""

    table: Table = Table.HOLDING_REGISTERS
    notation: Notation = Notation.REGISTER_ADDRESS
    first: str = "0"
    quantity: str = "10"


@dataclass(frozen=True, slots=True)
class RawRead:
    """What a RawPlan means: points, or one sentence why it means nothing."""

    profile: RegisterProfile = NOTHING_LISTED
    problem: str = ""


@lru_cache(maxsize=8)
def raw_read(plan: RawPlan) -> RawRead:
    """Return a point for each address."""
    try:
        first = read_place(plan.first, plan.notation, plan.table).register_address
    except UnreadablePlace as reason:
        return RawRead(problem=f"{reason.sentence[0].upper()}{reason.sentence[1:]}.")
    if not (plan.quantity.strip().isascii() and plan.quantity.strip().isdigit()):
        return RawRead(problem=f"How many: '{plan.quantity}' is no number.")
    quantity = int(plan.quantity.strip()[:6])
    if not 1 <= quantity <= MOST_RAW:
        return RawRead(problem=f"How many: 1 to {MOST_RAW} at once.")
    if first + quantity - 1 > LAST_REGISTER_ADDRESS:
        return RawRead(problem=f"That goes beyond {LAST_REGISTER_ADDRESS}, the last address there is.")
    points = tuple(_raw_point(plan.table, address) for address in range(first, first + quantity))
    return RawRead(replace(NOTHING_LISTED, points=points))


def _raw_point(table: Table, address: int) -> Point:
    return Point(
        name=f"{_TABLE_WORDS[table].replace(' ', '_')}_{address}",
        table=table,
        register_address=address,
        value_type=BIT if table.holds_bits else UINT16,
        words=f"{_TABLE_WORDS[table]} {address}",
        access=Access.READ_WRITE if table.can_be_written else Access.READ,
    )


def shifted(profile: RegisterProfile, by: int) -> RegisterProfile:
    """Return a profile whose points all stand so much further; those that would leave their table are left out."""
    if not by:
        return profile
    points = tuple(
        replace(one, register_address=one.register_address + by)
        for one in profile.points
        if one.register_address + by >= 0 and one.last_register_address + by <= LAST_REGISTER_ADDRESS
    )
    return replace(profile, points=points, rules=replace(profile.rules, blocks=()))


@dataclass(slots=True)
class ShownList:
    """What is chosen; each device keeps its profile and its shift."""

    device: KnownDevice | None = None
    library: ProfileLibrary = NO_LIBRARY
    raw: RawPlan = RawPlan()
    _names: dict[int, str] = field(default_factory=dict)
    _shifts: dict[int, int] = field(default_factory=dict)
    _fits: tuple[ProfileFit, ...] = ()
    edited: dict[str, RegisterProfile] = field(default_factory=dict)
    _added: dict[str, RegisterProfile] = field(default_factory=dict)

    def follow(self, before: int, device: KnownDevice) -> None:
        """A device answers at another address now: it is shown as it was."""
        now = device.server_address
        if before in self._names:
            self._names[now] = self._names.pop(before)
        if before in self._shifts:
            self._shifts[now] = self._shifts.pop(before)
        self.choose_device(device)

    def choose_device(self, device: KnownDevice | None) -> None:
        """Show a device; where none of its profiles was chosen yet, the one that it names itself."""
        self.device = device
        self.sort()

    def sort(self) -> None:
        """Bring the profiles into the order in which they fit the device."""
        if self.device is None:
            self._fits = ()
            return
        self._fits = profiles_by_fit(self.library.profiles, self.device.identity)
        best = next((one for one in self._fits if one.fit is Fit.TOLD), None)
        if self._address not in self._names and best is not None:
            self._names[self._address] = best.profile.name

    def choose_profile(self, index: int) -> None:
        """Take another profile; the last choice is none."""
        self._names[self._address] = self._fits[index].profile.name if 0 <= index < len(self._fits) else RAW_NAME
        self._shifts.pop(self._address, None)

    def choose_name(self, name: str, server_address: int) -> None:
        """Take the profile of a name for a device."""
        self._names[server_address] = name

    def add(self, profile: RegisterProfile) -> None:
        """Take a new list for the device that is shown; it is in no file yet."""
        self._added[profile.name] = profile
        self.edited.pop(profile.name, None)
        self.use_library(self.library)
        self.choose_name(profile.name, self._address)
        self._shifts.pop(self._address, None)

    def use_library(self, library: ProfileLibrary) -> None:
        """Take the profiles as they were read anew; lists that are in no file yet stay beside them."""
        read = tuple(one for one in library.profiles if one.name not in self._added)
        self.library = replace(library, profiles=(*read, *self._added.values()))
        self.sort()

    def free_name(self, wanted: str) -> str:
        """Return a name that no list has, the wanted one if it can be."""
        taken = {one.name for one in self.library.profiles}
        return next(one for one in chain((wanted,), (f"{wanted}-{i}" for i in count(2))) if one not in taken)

    def forget_edit(self, name: str) -> None:
        """Show a profile as its file has it."""
        self.edited.pop(name, None)
        self._added.pop(name, None)

    def use_profile(self, server_address: int, name: str) -> None:
        """Take the profile under which a device is watched."""
        self._names.setdefault(server_address, name)

    def shift(self, by: int, server_address: int) -> None:
        """Move the whole list of a device by one, or back."""
        self._shifts[server_address] = by

    @property
    def _address(self) -> int:
        return self.device.server_address if self.device is not None else -1

    @property
    def shift_now(self) -> int:
        """How far the list is moved."""
        return self._shifts.get(self._address, 0)

    @property
    def is_raw(self) -> bool:
        """Whether no profile is chosen."""
        return self._chosen_fit() is None

    @property
    def fit(self) -> Fit:
        """How the chosen profile goes with the device."""
        chosen = self._chosen_fit()
        return chosen.fit if chosen is not None else Fit.NOT_TOLD

    def _chosen_fit(self) -> ProfileFit | None:
        name = self._names.get(self._address, RAW_NAME)
        return next((one for one in self._fits if one.profile.name == name), None)

    def profile(self) -> RegisterProfile:
        """Return what is read: the profile with its edits and its shift, or raw addresses."""
        chosen = self._chosen_fit()
        if chosen is None:
            return raw_read(self.raw).profile
        return shifted(self.edited.get(chosen.profile.name, chosen.profile), self.shift_now)

    def base_profile(self) -> RegisterProfile | None:
        """Return the chosen profile with its edits, not shifted."""
        chosen = self._chosen_fit()
        return None if chosen is None else self.edited.get(chosen.profile.name, chosen.profile)

    def chooser(self) -> Chooser:
        """Return the list of profiles, the fitting ones first."""
        words = tuple(f"{one.profile.title}{self._aside(one)}" for one in self._fits)
        chosen = self._chosen_fit()
        at = self._fits.index(chosen) if chosen is not None else len(self._fits)
        return Chooser((*words, NO_PROFILE), at)

    def _aside(self, fit: ProfileFit) -> str:
        return ", not kept yet" if fit.profile.name in self._added else _FIT_WORDS[fit.fit]

    def raw_state(self) -> RawState | None:
        """Return what is typed for raw addresses; None where a profile is chosen."""
        if not self.is_raw or self.device is None:
            return None
        tables = tuple(f"{_TABLE_WORDS[one]}s, function {one.read_function:02d}" for one in TABLES)
        notations = tuple(one.words for one in Notation)
        return RawState(
            Chooser(tables, TABLES.index(self.raw.table)),
            Chooser(notations, list(Notation).index(self.raw.notation)),
            self.raw.first,
            self.raw.quantity,
            raw_read(self.raw).problem,
        )


_FIT_WORDS = {Fit.TOLD: ", fits", Fit.NOT_TOLD: "", Fit.OTHER: ", names another type"}
