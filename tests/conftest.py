"""What all tests share: a seed that is printed, and a data folder that is not the user's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from buswalk.storage.data_folders import VARIABLE, data_folders

TESTS = Path(__file__).resolve().parent

settings.register_profile("buswalk", deadline=None, print_blob=True)
settings.load_profile("buswalk")


LONGEST_FIRST = ("end_to_end", "bus", "ui", "jobs", "cli")
"""Folders whose files take longest, in this order; the many small ones come last."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let the long files begin first: two work side by side, a file each, and none should be alone at the end."""
    items.sort(key=_turn)


def _turn(item: pytest.Item) -> int:
    folder = item.path.relative_to(TESTS).parts[0]
    return LONGEST_FIRST.index(folder) if folder in LONGEST_FIRST else len(LONGEST_FIRST)


@pytest.fixture(scope="session", autouse=True)
def _own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Records and preferences of all tests, those of child processes too, go elsewhere; the user's are not touched."""
    of_user = data_folders("", {})
    before = _contents(of_user.data, of_user.preferences_file)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(VARIABLE, str(tmp_path_factory.mktemp("data")))
        yield
    assert _contents(of_user.data, of_user.preferences_file) == before, "a test wrote into the user's data folder"


def _contents(data: Path, preferences_file: Path) -> set[tuple[Path, int]]:
    """Return the files of the user and when each was last written."""
    files = [*data.rglob("*"), *([preferences_file] if preferences_file.exists() else [])]
    return {(file, file.stat().st_mtime_ns) for file in files}
