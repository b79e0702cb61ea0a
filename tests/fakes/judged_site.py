"""A random site searched thoroughly, and what was missed, invented, wrongly framed or flagged."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Depth,
    Doubt,
    EverythingIsAnswered,
    Found,
    SearchEvent,
    SearchPlan,
    Unclear,
)
from buswalk.domain.search.prior import asked_as
from tests.fakes.random_sites import RandomSite, SiteDevice
from tests.jobs.searching.simulated_search import SimulatedSearch

TWIN_DOUBTS = {Doubt.SECOND_ANSWER, Doubt.DAMAGED_REPLIES, Doubt.ANSWERS_DIFFER}


@dataclass(frozen=True)
class JudgedSite:
    """What came of one site. Each list names devices or places in words."""

    site: RandomSite
    missed: tuple[str, ...]
    missed_beyond_claim: tuple[str, ...]
    invented: tuple[str, ...]
    framing_wrong: tuple[str, ...]
    flagged: tuple[str, ...]
    seconds: float

    @property
    def has_twins(self) -> bool:
        return self.site.twin_address != 0

    @property
    def is_twin_flagged(self) -> bool:
        """Whether the address of the two is among those flagged."""
        return any(one.startswith(f"{self.site.twin_address} ") for one in self.flagged)

    @property
    def is_clean(self) -> bool:
        return self.site.is_obedient and not self.has_twins

    @property
    def faults(self) -> tuple[str, ...]:
        """All that should not be, in words; empty for a good search."""
        wrong = [*(f"missed {one}" for one in self.missed), *(f"invented {one}" for one in self.invented)]
        wrong += [f"wrong framing {one}" for one in self.framing_wrong]
        if self.is_clean:
            wrong += [f"flagged {one}" for one in self.flagged]
        if self.has_twins and not self.is_twin_flagged:
            wrong.append(f"twins at {self.site.twin_address} not flagged ({self.site.overlap})")
        return tuple(wrong)


def plan_of_site(site: RandomSite) -> SearchPlan:
    """Return a thorough search of its speeds in three framings, alone on the lead."""
    settings = {
        SerialSettings(speed, parity, 2 if parity is Parity.NONE else 1): weight
        for speed in site.speeds
        for parity, weight in ((Parity.NONE, 0.5), (Parity.EVEN, 0.3), (Parity.ODD, 0.2))
    }
    return SearchPlan(site.addresses, settings, listen_s=0.0, depth=Depth.THOROUGH)


def judged(site: RandomSite, folder: Path) -> JudgedSite:
    """Search a site to the end and judge it."""
    path = folder / f"site-{site.number}.toml"
    path.write_text(site.scenario())
    search = SimulatedSearch(path)
    events = list(search.job(plan_of_site(site)).run())
    return judgement(site, events, search.clock.now_s())


def judgement(site: RandomSite, events: list[SearchEvent], seconds: float) -> JudgedSite:
    """Compare what a search said with what is there.

    Where it said that somebody answers whatever is sent, it claims whole replies only.
    """
    found = [one for one in events if isinstance(one, Found)]
    unclear = [one for one in events if isinstance(one, Unclear)]
    everywhere = {one.settings.baud_rate for one in events if isinstance(one, AnswersEverywhere)}
    silent = [one for one in site.devices if not _is_found(one, found, unclear, everywhere)]
    drowned = {one.settings for one in events if isinstance(one, EverythingIsAnswered)}
    claimed = [
        one for one in silent if one.is_claimed and not (one.is_never_whole and asked_as(one.settings) in drowned)
    ]
    return JudgedSite(
        site,
        tuple(_words(one) for one in claimed),
        tuple(_words(one) for one in silent if one not in claimed),
        (
            *(f"{one.server_address} at {one.settings}" for one in found if not _owners(one, site)),
            *(f"{one.address} at {one.settings}: {one.sentence}" for one in unclear if not _is_of_somebody(one, site)),
        ),
        tuple(
            f"{one.server_address} at {one.settings}"
            for one in found
            if (owners := _owners(one, site)) and not any(_is_framed_right(one, owner) for owner in owners)
        ),
        (
            *(
                f"{one.server_address} at {one.settings}: {', '.join(doubt.value for doubt in one.doubts)}"
                for one in found
                if TWIN_DOUBTS & set(one.doubts)
            ),
            *(f"{one.address} at {one.settings}: {one.sentence}" for one in unclear),
        ),
        seconds,
    )


def _owners(found: Found, site: RandomSite) -> list[SiteDevice]:
    at_speed = [one for one in site.devices if one.may_run_at(found.settings.baud_rate)]
    return [one for one in at_speed if found.server_address in (one.address, one.answers_as)]


def _is_of_somebody(unclear: Unclear, site: RandomSite) -> bool:
    """Where one device answers foreign frames, something unclear is everywhere, and no invention."""
    at_speed = [one for one in site.devices if one.settings.baud_rate == unclear.settings.baud_rate]
    if any("refuses_foreign_frames" in one.disobedience for one in at_speed):
        return True
    return any(unclear.address in (one.address, one.answers_as) for one in at_speed)


def _is_framed_right(found: Found, device: SiteDevice) -> bool:
    if not device.checks_parity and Doubt.DOES_NOT_CHECK_FRAMING in found.doubts:
        return True
    if "refuses_foreign_frames" in device.disobedience:
        return True  # it answers before it checks anything
    return found.settings.parity is device.settings.parity


def _is_found(device: SiteDevice, found: list[Found], unclear: list[Unclear], everywhere: set[int]) -> bool:
    places = {(one.server_address, one.settings.baud_rate) for one in found}
    places |= {(one.address, one.settings.baud_rate) for one in unclear}
    if "answers_every_address" in device.disobedience and device.settings.baud_rate in everywhere:
        return True
    own = {device.address, device.answers_as}
    return any(address in own and device.may_run_at(speed) for address, speed in places)


def _words(device: SiteDevice) -> str:
    habits = {**device.habits, **device.disobedience}
    return f"{device.address} at {device.settings} fc {device.functions} T {device.turnaround_s:.3f} {habits or ''}"
