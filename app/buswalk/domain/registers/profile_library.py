"""All register profiles that are known, by name."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.named_things import nearest_name, thing_named
from buswalk.domain.registers.profile import RegisterProfile


class NoSuchProfile(Exception):
    """A name that no profile has.

    Attributes:
        sentence: What, and the nearest name.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class ProfileLibrary:
    """Profiles by name.

    Attributes:
        own: Names of those that are the user's.
        problems: Of files that could not be read, one sentence each; the other profiles are there all the same.
    """

    profiles: tuple[RegisterProfile, ...]
    own: frozenset[str] = frozenset()
    problems: tuple[str, ...] = ()

    def named(self, name: str) -> RegisterProfile:
        """Return the profile of a name or title, capitals or not.

        Raises:
            NoSuchProfile: There is none.
        """
        profile = thing_named(self.profiles, name)
        if profile is None:
            near = nearest_name(self.profiles, name)
            hint = f"did you mean '{near}'?" if near else "the command 'profile list' lists them"
            raise NoSuchProfile(f"no profile is called '{name}': {hint}")
        return profile
