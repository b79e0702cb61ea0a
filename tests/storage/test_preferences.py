"""Preferences come back as they were kept; a damaged file costs one sentence and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize, WindowSize
from buswalk.storage.preferences import keep_preferences, read_preferences

CHOSEN = Preferences(PaletteChoice.DARK, TextSize.LARGE, True, "/dev/ttyUSB0", WindowSize(1366, 768))  # noqa: FBT003


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where preferences are kept, in a folder that is not there yet."""
    return tmp_path / "config" / "preferences.toml"


def test_what_is_kept_is_read_back(path: Path) -> None:
    said = keep_preferences(path, CHOSEN)

    read = read_preferences(path)

    assert said == ""
    assert (read.preferences, read.sentences) == (CHOSEN, ())


def test_the_first_start_has_no_file_and_nothing_to_say(path: Path) -> None:
    read = read_preferences(path)

    assert (read.preferences, read.sentences) == (Preferences(), ())
    assert not path.exists()


def test_keys_of_other_versions_are_kept(path: Path) -> None:
    path.parent.mkdir()
    path.write_text('palette = "light"\ntomorrow = [1, 2]\n[page]\nlast = "Find"\n', encoding="utf-8")

    keep_preferences(path, CHOSEN)

    text = path.read_text(encoding="utf-8")
    assert "tomorrow" in text and 'last = "Find"' in text
    assert read_preferences(path).preferences == CHOSEN


@pytest.mark.parametrize("content", [b'palette = "dark', b"\xff\xfe\x00", b"a = 1\na = 2\n"])
def test_a_damaged_file_is_set_aside_with_one_sentence(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)

    read = read_preferences(path)

    assert read.preferences == Preferences()
    assert read.sentences == (
        f"{path} is damaged: it is set aside as preferences.toml.damaged, and the window is as at the first start",
    )
    assert path.with_name("preferences.toml.damaged").read_bytes() == content
    assert read_preferences(path).sentences == ()


@pytest.mark.parametrize(
    "line",
    [
        'palette = "pink"',
        "text_size_percent = 110",
        "sound = 1",
        "last_port = 3",
        "window = 3",
        "window = {width = 10, height = 768}",
        "window = {width = 1366}",
        'window = {width = "1366", height = 768}',
    ],
)
def test_a_value_that_cannot_be_is_said_and_the_rest_is_taken(path: Path, line: str) -> None:
    path.parent.mkdir()
    others = {"sound": "sound = true\n", "palette": 'palette = "dark"\n'}
    key = line.split(" = ")[0]
    path.write_text("".join(text for other, text in others.items() if other != key) + line + "\n", encoding="utf-8")

    read = read_preferences(path)

    assert len(read.sentences) == 1
    assert key in read.sentences[0]
    assert read.preferences.has_sound is (key != "sound")


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "config").write_text("a file where a folder should be", encoding="utf-8")

    said = keep_preferences(tmp_path / "config" / "preferences.toml", CHOSEN)

    assert "cannot be kept" in said
    assert read_preferences(tmp_path / "config" / "preferences.toml").sentences
