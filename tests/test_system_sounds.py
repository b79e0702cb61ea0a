"""Tones: their waves are measured, their player is a recorded fake. Nothing is heard in a test."""

from __future__ import annotations

import struct
import wave
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from buswalk.system_sounds import LONG_S, SystemSounds, write_tone


class Player:
    """Plays for ever, until it is told to be done."""

    def __init__(self) -> None:
        self.is_done = False

    def poll(self) -> int | None:
        return 0 if self.is_done else None


class Bench:
    """Sounds with a player that is not there."""

    def __init__(self, folder: Path, *installed: str) -> None:
        self.commands: list[Sequence[str]] = []
        self.players: list[Player] = []
        self.sounds = SystemSounds(
            folder, "linux", lambda name: f"/usr/bin/{name}" if name in installed else None, self._start
        )

    def _start(self, command: Sequence[str]) -> Player:
        self.commands.append(command)
        self.players.append(Player())
        return self.players[-1]


@pytest.mark.parametrize("frequency_hz", [220.0, 440.0, 880.0])
def test_a_tone_has_the_frequency_asked_for(tmp_path: Path, frequency_hz: float) -> None:
    """A sine crosses zero upwards once a period."""
    write_tone(tmp_path / "tone.wav", frequency_hz)

    with wave.open(str(tmp_path / "tone.wav"), "rb") as file:
        samples = struct.unpack(f"<{file.getnframes()}h", file.readframes(file.getnframes()))
        seconds = file.getnframes() / file.getframerate()
    crossings = sum(before < 0 <= after for before, after in pairwise(samples))
    assert seconds == pytest.approx(LONG_S, abs=0.001)
    assert crossings / seconds == pytest.approx(frequency_hz, rel=0.1)


def test_the_first_player_that_is_installed_is_used(tmp_path: Path) -> None:
    bench = Bench(tmp_path, "aplay", "paplay")

    bench.sounds.tone(880.0)

    assert bench.commands[0][0] == "/usr/bin/paplay"
    assert bench.sounds.problem == ""


def test_without_a_player_it_stays_silent_and_says_why(tmp_path: Path) -> None:
    bench = Bench(tmp_path)

    bench.sounds.tone(880.0)

    assert bench.commands == []
    assert "no player for tones" in bench.sounds.problem


def test_tones_do_not_pile_up(tmp_path: Path) -> None:
    bench = Bench(tmp_path, "aplay")

    for _ in range(10):
        bench.sounds.tone(440.0)
    for player in bench.players:
        player.is_done = True
    bench.sounds.chime()

    assert len(bench.commands) == 3


def test_a_player_that_is_gone_ends_the_sound_not_the_window(tmp_path: Path) -> None:
    def gone(_command: Sequence[str]) -> Player:
        raise FileNotFoundError

    sounds = SystemSounds(tmp_path, "linux", lambda name: name, gone)

    sounds.tone(440.0)

    assert sounds.problem
