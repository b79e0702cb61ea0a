"""Reads TOML and knows in which line each key stands, so that a wrong file can be mended. Standard library only."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

KeyPath = tuple[str | int, ...]
"""Keys and array positions from the top, such as `("device", 1, "address")`."""

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(
    r"\s*((?:\"[^\"]*\"|'[^']*'|[A-Za-z0-9_-]+)(?:\s*\.\s*(?:\"[^\"]*\"|'[^']*'|[A-Za-z0-9_-]+))*)\s*=(.*)$"
)
_PART = re.compile(r"\"([^\"]*)\"|'([^']*)'|([A-Za-z0-9_-]+)")
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


class TomlProblem(Exception):
    """A file that cannot be read as TOML.

    Attributes:
        sentence: What, where (file:line), what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class LocatedToml:
    """The values of a file and the line of each key, counted from 1.

    Attributes:
        values: Plain values as the TOML reader of Python gives them.
    """

    path: Path
    values: dict[str, Any]
    lines: dict[KeyPath, int]

    def line_of(self, key_path: KeyPath) -> int:
        """Return the line of a key; of the nearest table around it where it has none of its own."""
        for length in range(len(key_path), 0, -1):
            line = self.lines.get(key_path[:length])
            if line is not None:
                return line
        return 1

    def place_of(self, key_path: KeyPath) -> str:
        """Return file:line of a key."""
        return f"{self.path}:{self.line_of(key_path)}"


def read_located_toml(path: Path) -> LocatedToml:
    """Read a file.

    Raises:
        TomlProblem: It is not there, cannot be read, is no text, or breaks the rules of TOML.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError as reason:
        raise TomlProblem(f"{path} is not there: check the name") from reason
    except (OSError, UnicodeDecodeError) as reason:
        raise TomlProblem(f"{path} cannot be read as text: {reason}") from reason
    return parse_located_toml(text, path)


def parse_located_toml(text: str, path: Path) -> LocatedToml:
    """Read a text as if it stood in `path`.

    Raises:
        TomlProblem: It breaks the rules of TOML.
    """
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        matched = _AT_LINE.search(str(reason))
        line = matched.group(1) if matched and matched.group(1) else str(text.count("\n") + 1)
        what = _AT_LINE.sub("", str(reason)).strip()
        raise TomlProblem(f"{path}:{line}: {what}: mend this line, it is not TOML") from reason
    return LocatedToml(path, values, _key_lines(text))


def _key_lines(text: str) -> dict[KeyPath, int]:
    """Return the line of each header and key; keys of inline tables are found through their parent."""
    lines: dict[KeyPath, int] = {}
    table: KeyPath = ()
    counts: dict[KeyPath, int] = {}
    rest_of_value = _OpenValue()
    for number, line in enumerate(text.splitlines(), start=1):
        if rest_of_value.goes_on(line):
            continue
        header, key = _HEADER.match(line), _KEY.match(line)
        if header is not None and key is None:
            table = _header_path(_parts(header.group(2)), header.group(1) == "[[", counts)
            lines.setdefault(table, number)
        elif key is not None:
            lines[table + _parts(key.group(1))] = number
            rest_of_value.begins(key.group(2))
    return lines


def _header_path(parts: KeyPath, is_array: bool, counts: dict[KeyPath, int]) -> KeyPath:
    path: KeyPath = ()
    for part in parts[:-1]:
        path += (part,)
        if path in counts:
            path += (counts[path],)
    path += (parts[-1],)
    if is_array:
        counts[path] = counts.get(path, -1) + 1
    if path in counts:
        path += (counts[path],)
    return path


def _parts(text: str) -> KeyPath:
    return tuple(next(part for part in found.groups() if part is not None) for found in _PART.finditer(text))


class _OpenValue:
    """Follows a value over several lines: triple quotes and brackets."""

    def __init__(self) -> None:
        self._quote = ""
        self._depth = 0

    def begins(self, value: str) -> None:
        self._quote = ""
        self._depth = 0
        self._follow(value)

    def goes_on(self, line: str) -> bool:
        if not self._quote and self._depth <= 0:
            return False
        self._follow(line)
        return True

    def _follow(self, text: str) -> None:
        at = 0
        while at < len(text):
            if self._quote:
                end = text.find(self._quote, at)
                if end < 0:
                    if len(self._quote) == 1:
                        self._quote = ""
                    return
                at = end + len(self._quote)
                self._quote = ""
                continue
            character = text[at]
            if character == "#":
                return
            if character in "\"'":
                self._quote = character * 3 if text.startswith(character * 3, at) else character
                at += len(self._quote)
                continue
            self._depth += (character in "[{") - (character in "]}")
            at += 1
