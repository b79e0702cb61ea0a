"""Rules of this code base that no linter knows: sizes, headers, names, what may stand where. Looks at tracked files."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
LONGEST_FILE = 400
LONGEST_FUNCTION = 60
LONGEST_HEADER = 45
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "app", "tests", "simulators", "profiles"}
DRAWERS = {"utils", "util", "helpers", "helper", "common", "misc", "base", "manager", "handler", "processor"}
OLD_WORDS = re.compile(r"\b(master|slave|unit[_ ]id|slave[_ ]id|device[_ ]id)s?\b", re.IGNORECASE)
OLD_WORDS_ALLOWED = {
    "simulators/simulated_line/attachments/pseudo_terminal.py": "the two ends of a pseudo terminal are called so",
    "tests/house/test_house_rules.py": "names them to forbid them",
    "app/buswalk/domain/site/list_columns.py": "headings that stand in people's lists",
    "tests/attachments/test_served_line.py": "a parameter of another library",
    "tests/benchmarks/bench_exchange.py": "a parameter of another library",
    "tests/benchmarks/bench_read_plan.py": "a parameter of another library",
    "tests/benchmarks/bench_watch.py": "a parameter of another library",
    "tests/end_to_end/test_read_on_other_servers.py": "a parameter of another library",
    "tests/simulated_line/servers/test_against_other_servers.py": "functions of another library, and pty ends",
}
MACHINE_PATH = re.compile(r"(?<![\w.])/(work|farm|root|home/\w+)/\w")


def tracked() -> list[str]:
    """Files under version control, and new ones that are not ignored."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [name for name in listed.stdout.splitlines() if (CHECKOUT / name).is_file()]


@dataclass(frozen=True, slots=True)
class SourceFile:
    """A file of Python, parsed once for all rules."""

    name: str
    text: str
    tree: ast.Module


def is_longer_than_a_reader_can_hold(file: SourceFile) -> Iterator[str]:
    """Yield how long it is."""
    lines = file.text.count("\n")
    if lines > LONGEST_FILE:
        yield f"{lines} lines"


def has_functions_longer_than_a_screen(file: SourceFile) -> Iterator[str]:
    """Yield them with their lengths."""
    for node in ast.walk(file.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = (node.end_lineno or 0) - node.lineno + 1
            if lines > LONGEST_FUNCTION:
                yield f"{node.name} ({lines} lines)"


def does_not_say_what_lives_there(file: SourceFile) -> Iterator[str]:
    """Yield what is wrong with its header."""
    header = ast.get_docstring(file.tree)
    if not header:
        yield "the file has no header"
    elif header.count("\n") >= LONGEST_HEADER:
        yield "the header is too long"


def is_a_drawer(file: SourceFile) -> Iterator[str]:
    """Yield the words of its name that name no concept."""
    yield from set(Path(file.name).stem.split("_")) & DRAWERS


def uses_the_standards_old_words(file: SourceFile) -> Iterator[str]:
    """The standard's master and slave are our client and server."""
    if file.name not in OLD_WORDS_ALLOWED:
        yield from {match.group(0) for match in OLD_WORDS.finditer(file.text)}


def keeps_state_in_the_module(file: SourceFile) -> Iterator[str]:
    """A list, dict or set at the top of a module is a table: in capitals, and never assigned to again."""
    if not file.name.startswith(("app/buswalk/", "simulators/simulated_line/")):
        return
    for node in file.tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.List | ast.Dict | ast.Set):
            for target in node.targets:
                if isinstance(target, ast.Name) and not _is_table(target.id):
                    yield target.id
    yield from (f"global in line {node.lineno}" for node in ast.walk(file.tree) if isinstance(node, ast.Global))


def _is_table(name: str) -> bool:
    return name.lstrip("_").isupper() or name == "__all__"


Rule = Callable[[SourceFile], Iterator[str]]
RULES: tuple[Rule, ...] = (
    is_longer_than_a_reader_can_hold,
    has_functions_longer_than_a_screen,
    does_not_say_what_lives_there,
    is_a_drawer,
    uses_the_standards_old_words,
    keeps_state_in_the_module,
)


def parsed(name: str, text: str) -> SourceFile:
    """Parse a file."""
    return SourceFile(name, text, ast.parse(text))


@cache
def broken_rules() -> dict[str, list[str]]:
    """Return what is wrong in all files of Python, by the name of the rule: each file is read and parsed once."""
    found: dict[str, list[str]] = {rule.__name__: [] for rule in RULES}
    for name in tracked():
        if name.endswith(".py"):
            file = parsed(name, source(name))
            for rule in RULES:
                found[rule.__name__] += [f"{name}: {what}" for what in rule(file)]
    return found


def source(name: str) -> str:
    """Text of a file."""
    return (CHECKOUT / name).read_text(encoding="utf-8")


def test_there_are_files_to_look_at() -> None:
    assert len([name for name in tracked() if name.endswith(".py")]) > 50


def test_the_top_level_is_fixed() -> None:
    tops = {name.split("/")[0] for name in tracked() if not name.startswith(".")}

    assert tops <= TOP_LEVEL


@pytest.mark.parametrize("rule", [one.__name__ for one in RULES])
def test_no_file_breaks_a_rule(rule: str) -> None:
    assert broken_rules()[rule] == []


def test_no_file_names_a_path_of_one_machine() -> None:
    texts = [name for name in tracked() if not name.endswith((".png", ".ico"))]

    assert [name for name in texts if MACHINE_PATH.search(source(name))] == []


@pytest.mark.parametrize(
    ("rule", "name", "text"),
    [
        (is_longer_than_a_reader_can_hold, "app/buswalk/one.py", "\n" * (LONGEST_FILE + 1)),
        (has_functions_longer_than_a_screen, "app/buswalk/one.py", "def f():" + "\n    pass" * LONGEST_FUNCTION),
        (does_not_say_what_lives_there, "app/buswalk/one.py", "X = 1\n"),
        (does_not_say_what_lives_there, "app/buswalk/one.py", '"""Much.' + "\nmore" * LONGEST_HEADER + '"""'),
        (is_a_drawer, "app/buswalk/line_" + "utils.py", ""),
        (uses_the_standards_old_words, "app/buswalk/one.py", "# the " + "mas" + "ter asks"),
        (keeps_state_in_the_module, "app/buswalk/one.py", "seen = {}\n"),
        (keeps_state_in_the_module, "app/buswalk/one.py", "def f():\n    global seen\n"),
    ],
)
def test_each_rule_sees_what_breaks_it(rule: Rule, name: str, text: str) -> None:
    broken = [one for one in RULES if list(one(parsed(name, text)))]

    assert rule in broken


def test_a_path_of_one_machine_is_seen() -> None:
    assert MACHINE_PATH.search("/" + "root/notes")
