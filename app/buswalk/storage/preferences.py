"""preferences.toml: what the user has chosen. Keys of other versions are kept, a damaged file is set aside."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import tomli_w

from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize, WindowSize

DAMAGED_ENDING = ".damaged"
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ReadPreferences:
    """What was read, and one sentence each for what could not be; such a thing is as at the first start."""

    preferences: Preferences
    sentences: tuple[str, ...] = ()


def read_preferences(path: Path) -> ReadPreferences:
    """Read the file; one that is no TOML is set aside under another name, so that nothing in it is lost."""
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return ReadPreferences(Preferences())
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return ReadPreferences(Preferences(), (_set_aside(path),))
    except OSError as reason:
        sentence = f"{path} cannot be read ({_words(reason)}): the window is as at the first start"
        return ReadPreferences(Preferences(), (sentence,))
    return _from_values(path, values)


def keep_preferences(path: Path, preferences: Preferences) -> str:
    """Write them, keys that this version does not know included; return '' or why they could not be kept."""
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError):
        values = {}
    values.update(_to_values(preferences))
    if preferences.window is None:
        values.pop("window", None)
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # Written beside and moved: a power cut leaves the old file or the new one, never half of it.
        beside.write_text(tomli_w.dumps(values), encoding="utf-8")
        beside.replace(path)
    except OSError as reason:
        return f"preferences cannot be kept in {path} ({_words(reason)}): they hold until the window is closed"
    return ""


def _from_values(path: Path, values: dict[str, Any]) -> ReadPreferences:
    sentences: list[str] = []
    usual = Preferences()

    def chosen(key: str, turn: Callable[[Any], T], otherwise: T) -> T:
        if key not in values:
            return otherwise
        try:
            return turn(values[key])
        except (ValueError, TypeError, KeyError):
            sentences.append(f"{path}: {key} = {values[key]!r} cannot be: it is as at the first start")
            return otherwise

    preferences = Preferences(
        palette=chosen("palette", PaletteChoice, usual.palette),
        text_size=chosen("text_size_percent", TextSize, usual.text_size),
        has_sound=chosen("sound", _of_type(bool), usual.has_sound),
        last_port=chosen("last_port", _of_type(str), usual.last_port),
        window=chosen("window", _window, usual.window),
    )
    return ReadPreferences(preferences, tuple(sentences))


def _to_values(preferences: Preferences) -> dict[str, Any]:
    values: dict[str, Any] = {
        "palette": preferences.palette.value,
        "text_size_percent": preferences.text_size.value,
        "sound": preferences.has_sound,
        "last_port": preferences.last_port,
    }
    if preferences.window is not None:
        values["window"] = {"width": preferences.window.width, "height": preferences.window.height}
    return values


def _of_type(wanted: type[T]) -> Callable[[Any], T]:
    def turn(value: Any) -> T:
        if type(value) is not wanted:
            raise TypeError(f"{value!r} is no {wanted.__name__}")
        return value

    return turn


def _window(value: Any) -> WindowSize | None:
    whole = _of_type(int)
    return WindowSize(whole(value["width"]), whole(value["height"]))


def _set_aside(path: Path) -> str:
    aside = path.with_name(path.name + DAMAGED_ENDING)
    try:
        path.replace(aside)
    except OSError as reason:
        return f"{path} is damaged and cannot be set aside ({_words(reason)}): the window is as at the first start"
    return f"{path} is damaged: it is set aside as {aside.name}, and the window is as at the first start"


def _words(reason: OSError) -> str:
    return (reason.strerror or "refused by the system").lower()
