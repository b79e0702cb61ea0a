"""Reads scenario and type files; all errors at once, each with file:line, what, and what to do."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from buswalk.located_toml import LocatedToml, TomlProblem, read_located_toml
from simulated_line.scenario.building import habits_of, registers_of
from simulated_line.scenario.device_tables import BehindTable, DeviceTable, TypeFile
from simulated_line.scenario.model import ScenarioFile
from simulated_line.shipped_files import scenario_folder

FileModel = TypeVar("FileModel", bound=BaseModel)


class ScenarioError(Exception):
    """A scenario that cannot be used.

    Attributes:
        problems: One sentence each: file:line, what, what to do.
    """

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def scenario_names(folder: Path | None = None) -> tuple[str, ...]:
    """Return the names of the shipped scenarios, sites first."""
    return tuple(sorted(path.stem for path in (folder or scenario_folder()).glob("*.toml")))


def named_scenario(name: str) -> Path:
    """Return the file of a shipped scenario.

    Raises:
        ScenarioError: There is none of that name; the nearest one is said.
    """
    path = scenario_folder() / f"{name}.toml"
    if path.is_file():
        return path
    near = get_close_matches(name, scenario_names(), 1)
    hint = f"did you mean '{near[0]}'?" if near else "`python3 simulators list` shows them"
    raise ScenarioError((f"no scenario is called '{name}': {hint}",))


def load_scenario(path: Path) -> ScenarioFile:
    """Read a scenario and check it, with the types that it names.

    Raises:
        ScenarioError: With every problem found.
    """
    located, scenario = _load(path, ScenarioFile)
    problems = [*_double_names(located, scenario), *_unknown_types(located, scenario)]
    if not problems:
        problems = _missing_registers(located, scenario)
    if problems:
        raise ScenarioError(tuple(problems))
    return scenario


@lru_cache(maxsize=128)
def load_type(name: str) -> TypeFile:
    """Read a device type by name.

    Raises:
        ScenarioError: With every problem found.
    """
    return _load(scenario_folder() / "types" / f"{name}.toml", TypeFile)[1]


def type_names() -> tuple[str, ...]:
    """Return the names of the shipped device types."""
    return tuple(sorted(path.stem for path in (scenario_folder() / "types").glob("*.toml")))


def _load(path: Path, model: type[FileModel]) -> tuple[LocatedToml, FileModel]:
    try:
        located = read_located_toml(path)
    except TomlProblem as problem:
        raise ScenarioError((problem.sentence,)) from problem
    try:
        return located, model.model_validate(located.values)
    except ValidationError as reason:
        raise ScenarioError(tuple(_sentence(located, model, error) for error in reason.errors())) from reason


def _sentence(located: LocatedToml, model: type[BaseModel], error: ErrorDetails) -> str:
    where = located.place_of(tuple(error["loc"]))
    key = ".".join(str(part + 1 if isinstance(part, int) else part) for part in error["loc"])
    if error["type"] == "extra_forbidden":
        near = get_close_matches(str(error["loc"][-1]), _keys_at(model, tuple(error["loc"][:-1])), 1)
        hint = f"did you mean '{near[0]}'?" if near else "take it out"
        return f"{where}: '{key}' is not known here: {hint}"
    if error["type"] == "missing":
        return f"{where}: '{key}' is missing: write it"
    what = error["msg"].removeprefix("Value error, ")
    return f"{where}: '{key}' cannot be {error['input']!r}: {what[0].lower()}{what[1:]}"


def _keys_at(model: type[BaseModel], key_path: tuple[str | int, ...]) -> list[str]:
    """Return the keys that the table at a path may have."""
    current: type[BaseModel] = model
    for part in key_path:
        if isinstance(part, int) or part not in current.model_fields:
            continue
        inner = _table_of(current.model_fields[part].annotation)
        if inner is not None:
            current = inner
    return list(current.model_fields)


def _table_of(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _table_of(argument)
        if found is not None:
            return found
    return None


def _named(scenario: ScenarioFile) -> Iterator[tuple[tuple[str | int, ...], DeviceTable | BehindTable]]:
    """Yield every device with its path in the file, those behind a second port too."""
    for index, device in enumerate(scenario.device):
        yield ("device", index), device
        behind = device.second_port.behind if device.second_port is not None else []
        for inner, one in enumerate(behind):
            yield ("device", index, "second_port", "behind", inner), one


def _double_names(located: LocatedToml, scenario: ScenarioFile) -> list[str]:
    seen: set[str] = set()
    problems: list[str] = []
    for path, device in _named(scenario):
        if device.name in seen:
            where = located.place_of((*path, "name"))
            problems.append(f"{where}: two devices are called '{device.name}': give one another name")
        seen.add(device.name)
    return problems


def _unknown_types(located: LocatedToml, scenario: ScenarioFile) -> list[str]:
    known = type_names()
    problems: list[str] = []
    for path, device in _named(scenario):
        if device.type not in known:
            near = get_close_matches(device.type, known, 1)
            hint = f"did you mean '{near[0]}'?" if near else f"choose one of {', '.join(known)}"
            where = located.place_of((*path, "type"))
            problems.append(f"{where}: no device type is called '{device.type}': {hint}")
    return problems


def _missing_registers(located: LocatedToml, scenario: ScenarioFile) -> list[str]:
    """A device can only fall back to values in registers that it has."""
    problems: list[str] = []
    for index, device in enumerate(scenario.device):
        type_file = load_type(device.type)
        habits = habits_of(device, type_file)
        registers = registers_of([*type_file.cell, *device.cell], habits, scenario.seed, device.name)
        for one in habits.safe_values:
            if not registers.has(one.table, one.address, len(one.words)):
                where = located.place_of(("device", index, "habits", "safe_values"))
                what = f"{one.table.value} {one.address} to {one.address + len(one.words) - 1}"
                problems.append(f"{where}: '{device.name}' has no {what} for its safe values: add a cell")
    return problems
