"""TOML with the line of each key."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.located_toml import TomlProblem, parse_located_toml, read_located_toml

TEXT = '''name = "a"   # a comment with = and [x]
text = """
[not a header]
key = 1
"""
list = [
  1,
  2,  # = inside
]

[line]
rate = 0.5
"quoted key" = 1

[line.glitches]
before = 1.0

[[device]]
address = 1

[[device]]
address = 2
habits = { boot_s = 2.0 }

[device.more]
deep = true
'''
PATH = Path("somewhere.toml")


@pytest.mark.parametrize(
    ("key_path", "line"),
    [
        (("name",), 1),
        (("text",), 2),
        (("list",), 6),
        (("line",), 11),
        (("line", "rate"), 12),
        (("line", "quoted key"), 13),
        (("line", "glitches", "before"), 16),
        (("device", 0, "address"), 19),
        (("device", 1, "address"), 22),
        (("device", 1, "habits", "boot_s"), 23),
        (("device", 1, "more", "deep"), 26),
        (("device", 1, "absent"), 21),
    ],
)
def test_each_key_has_its_line(key_path: tuple[str | int, ...], line: int) -> None:
    """A key of an inline table is found through its parent, one that is not there through its table."""
    assert parse_located_toml(TEXT, PATH).line_of(key_path) == line


def test_what_only_looks_like_a_key_is_none() -> None:
    located = parse_located_toml(TEXT, PATH)

    assert ("key",) not in located.lines
    assert ("not a header",) not in located.lines


@pytest.mark.parametrize(("text", "place"), [("a = 1\nb =\n", ":2:"), ("a = 1\na = 2\n", ":2:"), ('a = "x\n', ":1:")])
def test_what_is_no_toml_is_said_with_its_line(text: str, place: str) -> None:
    with pytest.raises(TomlProblem) as problem:
        parse_located_toml(text, PATH)

    assert f"{PATH}{place}" in problem.value.sentence


def test_a_missing_file_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(TomlProblem, match="is not there"):
        read_located_toml(tmp_path / "none.toml")


def test_a_file_that_is_no_text_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "binary.toml"
    path.write_bytes(b"\xff\xfe\x00")

    with pytest.raises(TomlProblem, match="cannot be read as text"):
        read_located_toml(path)
