"""Rules of this code base that no linter knows: sizes, headers, names, what may stand where. Looks at tracked files."""

from __future__ import annotations

import ast
import re
import subprocess
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


PYTHON = [name for name in tracked() if name.endswith(".py")]


def source(name: str) -> str:
    """Text of a file."""
    return (CHECKOUT / name).read_text(encoding="utf-8")


def test_there_are_files_to_look_at() -> None:
    assert len(PYTHON) > 50


def test_the_top_level_is_fixed() -> None:
    tops = {name.split("/")[0] for name in tracked() if not name.startswith(".")}

    assert tops <= TOP_LEVEL


@pytest.mark.parametrize("name", PYTHON)
def test_a_file_is_not_longer_than_a_reader_can_hold(name: str) -> None:
    assert source(name).count("\n") <= LONGEST_FILE


@pytest.mark.parametrize("name", PYTHON)
def test_no_function_is_longer_than_a_screen(name: str) -> None:
    long = [
        f"{node.name} ({(node.end_lineno or 0) - node.lineno + 1} lines)"
        for node in ast.walk(ast.parse(source(name)))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or 0) - node.lineno + 1 > LONGEST_FUNCTION
    ]

    assert long == []


@pytest.mark.parametrize("name", PYTHON)
def test_each_module_says_what_lives_there(name: str) -> None:
    header = ast.get_docstring(ast.parse(source(name)))

    assert header, "the file has no header"
    assert header.count("\n") < LONGEST_HEADER


@pytest.mark.parametrize("name", PYTHON)
def test_no_file_is_a_drawer(name: str) -> None:
    assert not set(Path(name).stem.split("_")) & DRAWERS


@pytest.mark.parametrize("name", PYTHON)
def test_the_standards_old_words_are_not_used(name: str) -> None:
    """The standard's master and slave are our client and server."""
    found = {match.group(0) for match in OLD_WORDS.finditer(source(name))}

    assert not found or name in OLD_WORDS_ALLOWED


@pytest.mark.parametrize("name", [one for one in tracked() if not one.endswith((".png", ".ico"))])
def test_no_file_names_a_path_of_one_machine(name: str) -> None:
    assert not MACHINE_PATH.search(source(name))


@pytest.mark.parametrize(
    "name", [one for one in PYTHON if one.startswith(("app/buswalk/", "simulators/simulated_line/"))]
)
def test_modules_keep_no_state(name: str) -> None:
    """A list, dict or set at the top of a module is a table: in capitals, and never assigned to again."""
    tree = ast.parse(source(name))
    mutable = [
        target.id
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.List | ast.Dict | ast.Set)
        for target in node.targets
        if isinstance(target, ast.Name) and not target.id.lstrip("_").isupper() and target.id != "__all__"
    ]
    globals_used = [node for node in ast.walk(tree) if isinstance(node, ast.Global)]

    assert mutable == []
    assert globals_used == []
