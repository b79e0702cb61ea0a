"""Garbage and endless senders: each command ends in time, with a sentence and its exit status. All in virtual time."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.fakes.command_in_process import Ran, ran

CHARACTER_S = 10 / 9600
ENDLESS_BYTES = 13
"""The sender begins after its first period: early enough to meet the answer to a first question."""
PART_BYTES = 23
LONGEST_LINE = 240


def scenario(data: bytes, period_s: float) -> str:
    """A device at 37, and something that sends the same bytes again and again."""
    return (
        'name = "garbage"\nstory = "Somebody does not stop."\nseed = 5\n'
        '[[device]]\nname = "example"\naddress = 37\nsettings = "9600 8N1"\n'
        f'[[chatter]]\nname = "stuck"\nsettings = "9600 8N1"\ndata = "{data.hex(" ")}"\nperiod_s = {period_s}\n'
        "[expect]\nsilent = []\n"
    )


def garbage(folder: Path, *, is_endless: bool, seed: int = 1) -> str:
    """Return a port text: bytes without end and without a gap, or bursts with half a second between."""
    byte_count = ENDLESS_BYTES if is_endless else PART_BYTES
    data = Random(seed).randbytes(byte_count)
    path = folder / f"garbage-{is_endless}-{seed}.toml"
    path.write_text(scenario(data, byte_count * CHARACTER_S + (0.0 if is_endless else 0.5)), encoding="utf-8")
    return f"sim:{path}"


def ended_on(port: str, *arguments: str) -> Ran:
    ended = ran(*arguments, "--port", port, "--clock", "virtual")
    assert "Traceback" not in ended.err and "mistake in buswalk" not in ended.err
    return ended


def test_two_minutes_of_an_endless_sender_are_listened_to_and_named(tmp_path: Path) -> None:
    ended = ended_on(garbage(tmp_path, is_endless=True), "listen", "--seconds", "120")

    assert (ended.status, ended.err) == (0, "")
    assert "bytes in 2:00 min at 9600 8N1, and no frame in them" in ended.out.splitlines()[-1]
    assert max(map(len, ended.out.splitlines())) < LONGEST_LINE


@pytest.mark.long
@pytest.mark.parametrize("is_endless", [True, False])
def test_an_hour_of_garbage_is_listened_to_and_named(tmp_path: Path, is_endless: bool) -> None:
    ended = ended_on(garbage(tmp_path, is_endless=is_endless), "listen", "--seconds", "3600")

    assert (ended.status, ended.err) == (0, "")
    assert "bytes in 60:00 min at 9600 8N1, and no frame in them" in ended.out.splitlines()[-1]


@pytest.mark.parametrize("is_endless", [True, False])
def test_a_search_sends_nothing_where_somebody_talks(tmp_path: Path, is_endless: bool) -> None:
    ended = ended_on(garbage(tmp_path, is_endless=is_endless), "find")

    assert (ended.status, ended.err) == (1, "")
    assert "nothing was sent" in ended.out and "--live-line" in ended.out
    assert "0 devices answer; 0 requests" in ended.out


def test_a_search_gives_an_endless_sender_up(tmp_path: Path) -> None:
    ended = ended_on(garbage(tmp_path, is_endless=True), "find", "--live-line")

    assert (ended.status, ended.err) == (1, "")
    assert "somebody else keeps sending" in ended.out or "chatters without end" in ended.out


def test_a_search_between_bursts_of_garbage_finds_the_device(tmp_path: Path) -> None:
    ended = ended_on(
        garbage(tmp_path, is_endless=False), "find", "--live-line", "--addresses", "30-40", "--settings", "9600 8N1"
    )

    assert ended.status == 0
    assert "  37  9600 no parity" in ended.out and "1 device answers" in ended.out


@pytest.mark.parametrize(("pause", "outcome"), [("0", "damaged: "), ("0.1", "not sent: the line was not quiet")])
def test_a_question_among_endless_bytes_ends_with_what_to_do(tmp_path: Path, pause: str, outcome: str) -> None:
    ended = ended_on(garbage(tmp_path, is_endless=True), "ask", "--address", "37", "--retries", "2", "--pause", pause)

    assert (ended.status, ended.err) == (1, "")
    assert outcome in ended.out and "Try next: the command listen" in ended.out
    assert max(map(len, ended.out.splitlines())) < LONGEST_LINE


@pytest.mark.parametrize("name", ["held-at-space", "held-at-mark", "short-across-the-pair", "no-device"])
def test_a_dead_line_ends_a_search_without_a_find(name: str) -> None:
    ended = ended_on(f"demo:{name}", "find", "--alone", "--addresses", "36-38")

    assert (ended.status, ended.err) == (1, "")
    assert "0 devices answer" in ended.out
