"""Short tones through what the system offers: a generated wave, played by the system's own player. Never waits."""

from __future__ import annotations

import math
import shutil
import struct
import subprocess
import sys
import wave
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol

RATE_HZ = 22_050
LONG_S = 0.08
FADE_S = 0.008
"""A tone that begins and ends softly does not click."""
LOUDNESS = 0.4
CHIME_HZ = 660.0
PLAYERS = {"linux": ("pw-play", "paplay", "aplay"), "darwin": ("afplay",)}
MOST_AT_ONCE = 2


class Playing(Protocol):
    """A sound that plays."""

    def poll(self) -> int | None:
        """None while it plays."""


StartsPlayer = Callable[[Sequence[str]], Playing]


class SystemSounds:
    """Plays tones out of wave files in a folder of its own; where nothing can play, says why and stays silent."""

    def __init__(
        self,
        folder: Path,
        platform: str = sys.platform,
        find: Callable[[str], str | None] = shutil.which,
        start: StartsPlayer | None = None,
    ) -> None:
        self._start = start or _start
        self._player = _player_on(platform, find)
        self._is_windows = platform == "win32"
        self._folder = folder
        self._waves: dict[float, str] = {}
        self._playing: list[Playing] = []

    @property
    def problem(self) -> str:
        """Why nothing can be heard; empty where it can."""
        if self._is_windows or self._player:
            return ""
        return "this computer has no player for tones (looked for pw-play, paplay, aplay): results are shown only"

    def tone(self, frequency_hz: float) -> None:
        """Play one short tone, unless the ones before are still heard."""
        self._playing = [one for one in self._playing if one.poll() is None]
        if self.problem or len(self._playing) >= MOST_AT_ONCE:
            return
        path = self._wave_of(frequency_hz)
        if self._is_windows:
            _play_on_windows(path)
            return
        try:
            self._playing.append(self._start((self._player, path)))
        except OSError:
            self._player = ""

    def chime(self) -> None:
        """A port has returned, or a job has ended."""
        self.tone(CHIME_HZ)

    def _wave_of(self, frequency_hz: float) -> str:
        if frequency_hz not in self._waves:
            path = self._folder / f"{frequency_hz:.0f}.wav"
            write_tone(path, frequency_hz)
            self._waves[frequency_hz] = str(path)
        return self._waves[frequency_hz]


def write_tone(path: Path, frequency_hz: float) -> None:
    """Write one tone as a wave of 16 bits, one channel."""
    count, fade = round(RATE_HZ * LONG_S), round(RATE_HZ * FADE_S)
    samples = []
    for place in range(count):
        softly = min(1.0, place / fade, (count - 1 - place) / fade)
        samples.append(round(32_767 * LOUDNESS * softly * math.sin(2 * math.pi * frequency_hz * place / RATE_HZ)))
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(struct.pack(f"<{count}h", *samples))


def _player_on(platform: str, find: Callable[[str], str | None]) -> str:
    names = PLAYERS.get("linux" if platform.startswith("linux") else platform, ())
    return next((found for name in names if (found := find(name))), "")


def _start(command: Sequence[str]) -> Playing:
    nothing = subprocess.DEVNULL
    return subprocess.Popen(command, stdin=nothing, stdout=nothing, stderr=nothing)


def _play_on_windows(path: str) -> None:
    if sys.platform == "win32":
        import winsound

        winsound.PlaySound(path, winsound.SND_FILENAME | winsound.SND_ASYNC | winsound.SND_NODEFAULT)
