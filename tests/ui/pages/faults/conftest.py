"""A page on a small record with known faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.ui.pages.faults.faults_stage import Opened


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """The record is the one being written."""
    return Opened(tmp_path)
