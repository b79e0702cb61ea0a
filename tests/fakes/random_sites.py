"""Random sites for the search: 1 to 30 devices with mixed settings; one site in five has disobedient devices.

Everything follows from the number of the site: a failing one can be built again. Shares are judgement, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from random import Random

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.prior import delivered_settings

FRAMINGS = ("8N1", "8N2", "8E1", "8O1")
TURNAROUNDS = ((0.60, 0.004, 0.030), (0.25, 0.030, 0.060), (0.10, 0.060, 0.200), (0.04, 0.200, 0.600), (0.01, 0.6, 1.5))
"""Share of devices, and between which seconds their turnaround lies."""
SILENT_ON = {1: 0.10, 3: 0.03, 4: 0.15}
MOST_DEVICES = 30
DISOBEDIENT_EVERY = 5
TWINS_EVERY = 4
"""Of the obedient sites, so many have two devices at one address."""
SPREAD = 1.2
"""A turnaround varies by so much to both sides."""
LONGEST_S = 1.5
LONGEST_GAP_S = 0.5
STRONGER_SHARE = 0.2


@dataclass(frozen=True)
class SiteDevice:
    """One device, and whether a thorough search claims to find it."""

    name: str
    address: int
    settings: SerialSettings
    functions: tuple[int, ...]
    turnaround_s: float
    words: tuple[int, ...]
    habits: dict[str, object] = field(default_factory=dict)
    disobedience: dict[str, object] = field(default_factory=dict)
    is_claimed: bool = True
    strength: float = 1.0

    @property
    def answers_as(self) -> int:
        """The address in its replies."""
        return int(str(self.disobedience.get("answers_as", self.address)))

    @property
    def is_never_whole(self) -> bool:
        """A device whose replies always lack something, so that no search has a right one from it."""
        return "enable_late_characters" in self.habits or bool(
            {"check_sum_is_swapped", "reply_ends_after"} & self.disobedience.keys()
        )

    def may_run_at(self, baud_rate: int) -> bool:
        """One that looks for the speed by itself answers wherever it has settled."""
        return self.settings.baud_rate == baud_rate or "automatic_speed" in self.habits

    @property
    def checks_parity(self) -> bool:
        """A device that does not answers in its own framing whatever is sent."""
        return bool(self.habits.get("checks_parity", True))


@dataclass(frozen=True)
class RandomSite:
    """A whole site."""

    number: int
    devices: tuple[SiteDevice, ...]
    speeds: tuple[int, ...]
    addresses: tuple[int, ...]
    twin_address: int = 0
    """0 for none."""
    overlap: str = "zero_wins"
    is_obedient: bool = True
    line: dict[str, object] = field(default_factory=dict)

    def scenario(self) -> str:
        """Return its scenario file."""
        lines = [f'name = "site-{self.number}"', 'story = "drawn"', f"seed = {self.number + 1}", "[line]"]
        lines += [f'overlap = "{self.overlap}"', *(f"{key} = {_toml(value)}" for key, value in self.line.items())]
        for place, one in enumerate(self.devices, start=1):
            lines += _device_lines(one, place)
        return "\n".join(lines) + "\n"


def random_site(number: int, speeds: int = 2, highest_address: int = 247) -> RandomSite:
    """Return the site of a number: `speeds` at most, addresses up to a highest."""
    random = Random(f"site:{number}")
    obedient = number % DISOBEDIENT_EVERY != 0
    chosen = _speeds(random, random.randint(1, speeds))
    count = random.randint(1, min(MOST_DEVICES, highest_address // 2))
    addresses = _addresses(random, count, highest_address)
    devices = [_device(random, f"d{place}", address, chosen) for place, address in enumerate(addresses)]
    site = RandomSite(number, tuple(devices), chosen, tuple(range(1, highest_address + 1)), is_obedient=obedient)
    if not obedient:
        return _disobeying(random, site)
    return _with_twin(random, site) if number % TWINS_EVERY == 1 else site


def _speeds(random: Random, count: int) -> tuple[int, ...]:
    weights: dict[int, float] = {}
    for one, weight in delivered_settings().items():
        weights[one.baud_rate] = weights.get(one.baud_rate, 0.0) + weight
    chosen: list[int] = []
    while len(chosen) < count:
        speed = random.choices(list(weights), list(weights.values()))[0]
        if speed not in chosen:
            chosen.append(speed)
    return tuple(chosen)


def _addresses(random: Random, count: int, highest: int) -> list[int]:
    if random.random() < 0.5:
        first = random.randint(1, highest - count + 1)
        return list(range(first, first + count))
    return random.sample(range(1, highest + 1), count)


def _device(random: Random, name: str, address: int, speeds: tuple[int, ...]) -> SiteDevice:
    settings = SerialSettings.of(random.choice(speeds), random.choice(FRAMINGS))
    functions = tuple(one for one, share in SILENT_ON.items() if random.random() >= share)
    _, least_s, most_s = random.choices(TURNAROUNDS, [share for share, _, _ in TURNAROUNDS])[0]
    turnaround_s = min(random.uniform(least_s, most_s), LONGEST_S / SPREAD)
    words = tuple(random.randrange(0x10000) for _ in range(4))
    return SiteDevice(name, address, settings, functions, turnaround_s, words, is_claimed=bool(functions))


def _with_twin(random: Random, site: RandomSite) -> RandomSite:
    """Two at one address in one setting, both answering 03 and 04, their turnarounds drawn apart."""
    place = random.randrange(len(site.devices))
    first = replace(site.devices[place], functions=(1, 3, 4), is_claimed=True)
    other = _device(random, "twin", first.address, site.speeds)
    overlap = random.choice(("zero_wins", "one_wins"))
    strength = 1.0
    if random.random() < STRONGER_SHARE:
        overlap, strength = "stronger_wins", 3.0
    twin = replace(other, settings=first.settings, functions=(1, 3, 4), is_claimed=True, strength=strength)
    devices = list(site.devices)
    devices[place] = first
    return replace(site, devices=(*devices, twin), twin_address=first.address, overlap=overlap)


# Ways of breaking the standard

Way = Callable[[Random, SiteDevice], SiteDevice]


def _disobeying(random: Random, site: RandomSite) -> RandomSite:
    if random.random() < 0.15:
        glitches = {"before": 0.3} if random.random() < 0.5 else {"after": 0.3}
        return replace(site, line={"biased": False, "glitches": glitches})
    devices = list(site.devices)
    for place in random.sample(range(len(devices)), min(len(devices), random.randint(1, 3))):
        devices[place] = random.choice(WAYS)(random, devices[place])
    return _hidden(replace(site, devices=tuple(devices)))


def _hidden(site: RandomSite) -> RandomSite:
    """Where one answers every address or foreign frames, nobody else at that speed can be promised."""
    loud = {
        one.settings.baud_rate
        for one in site.devices
        if {"answers_every_address", "refuses_foreign_frames"} & one.disobedience.keys()
    }
    devices = [replace(one, is_claimed=one.is_claimed and one.settings.baud_rate not in loud) for one in site.devices]
    return replace(site, devices=tuple(devices))


def _habit(key: str, value: Callable[[Random], object], is_claimed: Callable[[object], bool] = lambda _: True) -> Way:
    def way(random: Random, device: SiteDevice) -> SiteDevice:
        drawn = value(random)
        habits = {**device.habits, key: drawn}
        return replace(device, habits=habits, is_claimed=device.is_claimed and is_claimed(drawn))

    return way


def _breach(key: str, value: Callable[[Random], object], is_claimed: Callable[[object], bool] = lambda _: True) -> Way:
    def way(random: Random, device: SiteDevice) -> SiteDevice:
        drawn = value(random)
        breaches = {**device.disobedience, key: drawn}
        return replace(device, disobedience=breaches, is_claimed=device.is_claimed and is_claimed(drawn))

    return way


def _gap(counts_from: str) -> Way:
    def way(random: Random, device: SiteDevice) -> SiteDevice:
        gap_s = round(random.uniform(0.02, 0.6), 4)
        habits = {**device.habits, "minimum_gap_s": gap_s, "gap_counts_from": counts_from}
        return replace(device, habits=habits, is_claimed=device.is_claimed and gap_s <= LONGEST_GAP_S)

    return way


def _too_slow(random: Random, device: SiteDevice) -> SiteDevice:
    return replace(device, turnaround_s=random.uniform(1.8, 3.0), is_claimed=False)


def _automatic(random: Random, device: SiteDevice) -> SiteDevice:
    """It starts at 9600, without parity."""
    speed = SerialSettings(device.settings.baud_rate, SerialSettings.of(9600, "8N1").parity, 1)
    able = speed.baud_rate in (2400, 4800, 9600, 19200, 38400)
    return replace(device, settings=speed, habits={**device.habits, "automatic_speed": able})


WAYS: tuple[Way, ...] = (
    _habit("checks_parity", lambda _: False),
    _habit("checks_parity", lambda _: False),
    _gap("own_frame"),
    _gap("any_frame"),
    _habit("enable_late_characters", lambda random: round(random.uniform(0.3, 1.0), 2)),
    _habit("pause_after_byte", lambda random: random.randint(1, 4)),
    _habit("busy_until_s", lambda random: random.uniform(5.0, 60.0)),
    _breach("answers_as", lambda random: random.randint(1, 247)),
    _breach("byte_count_is_quantity", lambda _: True),
    _breach("check_sum_is_swapped", lambda _: True),
    _breach("reply_ends_after", lambda random: random.randint(3, 5)),
    _breach("confused_s", lambda random: round(random.uniform(0.05, 0.5), 3)),
    _breach("drops_reply_when_others_talk", lambda _: True, lambda _: False),
    _breach("answers_every_address", lambda _: True),
    _breach("refuses_foreign_frames", lambda _: True),
    _breach("answers_broadcast", lambda _: True),
    _too_slow,
    _automatic,
)


def _device_lines(one: SiteDevice, place: int) -> list[str]:
    turnaround = f"{{ least_s = {one.turnaround_s * (2 - SPREAD):.6f}, median_s = {one.turnaround_s:.6f} }}"
    habits = {"functions": list(one.functions), "unknown_function": "silence", **one.habits}
    if "pause_after_byte" in habits:
        habits["pause_s"] = 0.006
    lines = [
        "[[device]]",
        f'name = "{one.name}"',
        f"address = {one.address}",
        f'settings = "{one.settings}"',
        f"place = {place}",
        f"metres = {place}.0",
        f"strength = {one.strength}",
        "[device.habits]",
        f"turnaround = {turnaround}",
        *(f"{key} = {_toml(value)}" for key, value in habits.items()),
    ]
    if one.disobedience:
        lines += ["[device.habits.disobedience]", *(f"{key} = {_toml(v)}" for key, v in one.disobedience.items())]
    for table in ("holding_registers", "input_registers"):
        lines += ["[[device.cell]]", f'table = "{table}"', "address = 0", f"words = {list(one.words)}"]
    return lines


def _toml(value: object) -> str:
    match value:
        case bool():
            return str(value).lower()
        case str():
            return f'"{value}"'
        case dict():
            return "{ " + ", ".join(f"{key} = {_toml(inner)}" for key, inner in value.items()) + " }"
        case _:
            return str(value)
