"""Window tests need no screen, and leave no window behind: it would be styled and painted on in the next test."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(autouse=True)
def _deleted_windows() -> Iterator[None]:
    """Delete what a test has closed, at once: Qt waits for an event loop that never runs here."""
    yield
    from PySide6.QtCore import QCoreApplication, QEvent

    if QCoreApplication.instance() is not None:
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
