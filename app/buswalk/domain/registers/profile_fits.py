"""All profiles in the order in which they fit a device, to choose from. Recognising it is the search's job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.registers.profile import AnswersWith, HoldsWords, RegisterProfile
from buswalk.domain.search.events import Identity


class Fit(Enum):
    """How a profile goes with an identity, the best first."""

    TOLD = "its fingerprint fits"
    NOT_TOLD = "nothing speaks for it or against it"
    OTHER = "the device tells another type"


@dataclass(frozen=True, slots=True)
class ProfileFit:
    """One profile, and how it goes with a device."""

    profile: RegisterProfile
    fit: Fit


def profiles_by_fit(profiles: Sequence[RegisterProfile], identity: Identity) -> tuple[ProfileFit, ...]:
    """Return all profiles, those first whose fingerprint it fits; of equals in their order."""
    fits = [ProfileFit(one, fit_of(one, identity)) for one in profiles]
    order = list(Fit)
    return tuple(sorted(fits, key=lambda one: order.index(one.fit)))


def fit_of(profile: RegisterProfile, identity: Identity) -> Fit:
    """Return how one profile goes with what a search found; where it recognised nothing, with what the device tells."""
    if identity.profiles:
        return Fit.TOLD if profile.name in identity.profiles else Fit.OTHER
    told = _told(identity)
    texts = [one.text.casefold() for one in profile.fingerprint if isinstance(one, AnswersWith)]
    holds = any(isinstance(one, HoldsWords) for one in profile.fingerprint)
    if not told or not texts:
        return Fit.NOT_TOLD
    if not all(text in told for text in texts):
        return Fit.OTHER
    return Fit.NOT_TOLD if holds else Fit.TOLD


def _told(identity: Identity) -> str:
    texts = [one.text for one in identity.objects]
    texts.append(identity.server_id.decode("latin-1"))
    return "\n".join(one for one in texts if one).casefold()
