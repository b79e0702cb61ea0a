"""What all tests share: a seed that is printed, and a data folder that is not the user's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from buswalk.storage.data_folders import VARIABLE, data_folders

settings.register_profile("buswalk", deadline=None, print_blob=True)
settings.load_profile("buswalk")


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
