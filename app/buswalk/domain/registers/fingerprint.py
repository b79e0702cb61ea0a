"""Which device types fit what a device tells of itself and the words it holds. Asking for them is the search's job."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buswalk.domain.registers.profile import AnswersWith, HoldsWords, RegisterProfile


@dataclass(frozen=True, slots=True)
class KnownType:
    """A device type by its fingerprint.

    Attributes:
        profile: Name of its profile.
        tells: Texts that must all stand in what the device tells of itself.
        holds: Words that must all be read.

    Raises:
        ValueError: It has neither: it would fit every device.
    """

    profile: str
    tells: tuple[str, ...] = ()
    holds: tuple[HoldsWords, ...] = ()

    def __post_init__(self) -> None:
        if not self.tells and not self.holds:
            raise ValueError(f"{self.profile} would be recognised in every device")


def known_types(profiles: Iterable[RegisterProfile]) -> tuple[KnownType, ...]:
    """Return the types that have a fingerprint."""
    types: list[KnownType] = []
    for one in profiles:
        if one.fingerprint:
            tells = tuple(part.text for part in one.fingerprint if isinstance(part, AnswersWith))
            holds = tuple(part for part in one.fingerprint if isinstance(part, HoldsWords))
            types.append(KnownType(one.name, tells, holds))
    return tuple(types)


def not_excluded(types: Iterable[KnownType], told: Sequence[str]) -> tuple[KnownType, ...]:
    """Return the types that what a device tells does not exclude, those that it speaks for first.

    Each text must stand in one of those told, capitals or not. Where what is told speaks for a type, types that are
    known by words alone are left out: nothing more need be asked.
    """
    heard = [one.casefold() for one in told]
    fitting = [one for one in types if all(any(text.casefold() in said for said in heard) for text in one.tells)]
    spoken_for = tuple(one for one in fitting if one.tells)
    return spoken_for or tuple(fitting)
