"""Register profiles in TOML files: shipped ones, and the user's own, which come first by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from pydantic import ValidationError

from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.located_toml import KeyPath, LocatedToml, TomlProblem, parse_located_toml, read_located_toml
from buswalk.storage.described_things import WrongDescription, read_described
from buswalk.storage.profile_building import ProfileBuilding, Trouble
from buswalk.storage.profile_model import (
    BitsTable,
    BlockTable,
    FingerprintTable,
    HoldsTable,
    LossTimerTable,
    PointTable,
    ProfileFile,
    ReadingTable,
)
from buswalk.storage.refused_keys import refused_sentence


class ProfileProblem(WrongDescription):
    """A profile that cannot be used."""


def read_profile_library(folders: Sequence[Path], own: Path | None = None) -> ProfileLibrary:
    """Read all profiles; those in `own` take the place of shipped ones of the same name."""
    read = read_described(folders, own, read_profile)
    return ProfileLibrary(read.things, read.own, read.problems)


def read_profile(path: Path) -> RegisterProfile:
    """Read one profile; its name is that of the file.

    Raises:
        ProfileProblem: With every problem found.
    """
    try:
        return _profile(read_located_toml(path))
    except TomlProblem as problem:
        raise ProfileProblem((problem.sentence,)) from problem


def parse_profile(text: str, path: Path) -> RegisterProfile:
    """Read a profile from a text as if it stood in `path`, as an editor does.

    Raises:
        ProfileProblem: With every problem found.
    """
    try:
        return _profile(parse_located_toml(text, path))
    except TomlProblem as problem:
        raise ProfileProblem((problem.sentence,)) from problem


def _profile(located: LocatedToml) -> RegisterProfile:
    """Build it; what the model refuses does not hide what the domain would refuse elsewhere in the file."""
    troubles: list[Trouble] = []
    try:
        ProfileFile.model_validate(located.values)
    except ValidationError as reason:
        for one in reason.errors():
            sentence = refused_sentence(located, one, _keys_beside)
            troubles.append(Trouble(located.line_of(one["loc"]), sentence, one["loc"]))
    building = ProfileBuilding(located, tuple(one.key_path for one in troubles))
    profile = building.profile()
    troubles += building.troubles
    if troubles:
        by_line = sorted(troubles, key=lambda one: one.line)
        raise ProfileProblem(tuple(dict.fromkeys(one.sentence for one in by_line)))
    assert profile is not None, "without troubles there is a profile"
    return profile


def _keys_beside(key_path: KeyPath) -> Iterable[str]:
    match key_path:
        case ("point", _, "bits", _, *_):
            return BitsTable.model_fields
        case ("point", _, *_):
            return PointTable.model_fields
        case ("reading", "blocks", _, *_):
            return BlockTable.model_fields
        case ("reading", _):
            return ReadingTable.model_fields
        case ("fingerprint", "holds", _, *_):
            return HoldsTable.model_fields
        case ("fingerprint", _):
            return FingerprintTable.model_fields
        case ("loss_timer", _):
            return LossTimerTable.model_fields
        case _:
            return ProfileFile.model_fields
