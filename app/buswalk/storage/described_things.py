"""Reads a folder of description files, one thing a file: the user's own take the place of shipped ones of that name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

ENDING = ".toml"
MOST_FILES = 1000
Thing = TypeVar("Thing")


class WrongDescription(Exception):
    """A file that describes nothing that can be used.

    Attributes:
        problems: One sentence each: file:line, what, what to do.
    """

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class DescribedThings(Generic[Thing]):
    """What was read, by name; `own` are the user's names, `problems` the sentences of files that cannot be used."""

    things: tuple[Thing, ...]
    own: frozenset[str]
    problems: tuple[str, ...]


def read_described(folders: Sequence[Path], own: Path | None, read: Callable[[Path], Thing]) -> DescribedThings[Thing]:
    """Read all files of the folders; `read` raises WrongDescription for one that cannot be used."""
    things: dict[str, Thing] = {}
    problems: list[str] = []
    of_user: set[str] = set()
    for folder in (*folders, *([own] if own is not None else [])):
        for path in sorted(folder.glob(f"*{ENDING}"))[:MOST_FILES]:
            try:
                things[path.stem] = read(path)
            except WrongDescription as problem:
                problems += problem.problems
                continue
            if folder == own:
                of_user.add(path.stem)
    return DescribedThings(tuple(things[name] for name in sorted(things)), frozenset(of_user), tuple(problems))
