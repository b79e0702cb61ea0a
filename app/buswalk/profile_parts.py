"""Builds what commands and pages do with register profiles: read them, check files, keep the user's own."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import Failed, ProfileParts, WrongUse
from buswalk.domain.registers.point_list.list_rows import ListRows
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import NoSuchProfile, ProfileLibrary
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.shipped_files import profile_folder
from buswalk.storage.data_folders import PROFILE_FOLDER, data_folders
from buswalk.storage.planned_list_files import UnreadableList
from buswalk.storage.point_list_files import read_point_list_file, write_point_list_file
from buswalk.storage.sunspec_models import sunspec_model

FILE_ENDING = ".toml"


def profile_parts() -> ProfileParts:
    """Return it for this computer."""
    return ProfileParts(
        read=read_profiles,
        named=named_profile,
        check=check_profile,
        schema_text=schema_text,
        sunspec_model=sunspec_model,
        read_list=read_list,
        write_list=write_list,
        keep=keep_profile,
    )


def read_profiles(data_folder: str = "") -> ProfileLibrary:
    """Return the shipped profiles and the user's own, which come first by name.

    What reads them strictly is imported only then: a window opens without it.
    """
    from buswalk.storage.profile_files import read_profile_library

    return read_profile_library([profile_folder()], _own_folder(data_folder))


def named_profile(name: str, data_folder: str = "") -> RegisterProfile:
    """Return the profile of a name, or of a file where the name ends in .toml. Raises WrongUse."""
    from buswalk.storage.profile_files import ProfileProblem, read_profile

    if name.endswith(FILE_ENDING):
        try:
            return read_profile(Path(name))
        except ProfileProblem as problem:
            raise WrongUse(*problem.problems) from problem
    library = read_profiles(data_folder)
    try:
        return library.named(name)
    except NoSuchProfile as reason:
        of_this = [one for one in library.problems if f"{name}{FILE_ENDING}:" in one]
        raise WrongUse(*(of_this or [reason.sentence])) from reason


def check_profile(path: Path) -> RegisterProfile:
    """Read one file. Raises WrongUse with every problem of it."""
    from buswalk.storage.profile_files import ProfileProblem, read_profile

    try:
        return read_profile(path)
    except ProfileProblem as problem:
        raise WrongUse(*problem.problems) from problem


def schema_text() -> str:
    """Return the JSON schema of the file format."""
    from buswalk.storage.profile_model import ProfileFile

    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **ProfileFile.model_json_schema()}
    return json.dumps(schema, indent=2)


def read_list(path: Path, sheet: str) -> ListRows:
    """Return the rows of a point list, of a workbook's sheet if one is named. Raises WrongUse."""
    try:
        return read_point_list_file(path, sheet)
    except UnreadableList as reason:
        raise WrongUse(reason.sentence) from reason


def write_list(path: Path, rows: Iterable[Sequence[str]]) -> None:
    """Put rows into a new list file. Raises Failed."""
    try:
        write_point_list_file(path, rows)
    except RecordProblem as problem:
        raise Failed(problem.sentence, ExitStatus.CANNOT_RECORD) from problem


def keep_profile(profile: RegisterProfile) -> str:
    """Keep a profile among the user's own; return its file. Raises Failed."""
    from buswalk.storage.profile_writing import CannotKeepProfile, save_profile

    try:
        return str(save_profile(_own_folder(""), profile))
    except CannotKeepProfile as reason:
        raise Failed(reason.sentence, ExitStatus.CANNOT_RECORD) from reason


def save_own_profile(profile: RegisterProfile, data_folder: str = "") -> str:
    """Keep a profile among the user's own; return one sentence of what came of it."""
    from buswalk.storage.profile_writing import CannotKeepProfile, save_profile

    try:
        path = save_profile(_own_folder(data_folder), profile)
    except CannotKeepProfile as reason:
        return f"{reason.sentence[0].upper()}{reason.sentence[1:]}."
    return f"Kept as {path.name}; commands call it {profile.name}."


def _own_folder(data_folder: str) -> Path:
    return data_folders(data_folder, os.environ).data / PROFILE_FOLDER
