"""Each test of a command has a data folder of its own, so that records begin anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.storage.data_folders import VARIABLE


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return where the commands of this test record."""
    folder = tmp_path / "data"
    monkeypatch.setenv(VARIABLE, str(folder))
    return folder
