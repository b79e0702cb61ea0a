"""The one application of all window tests, in the style of the program; windows that are gone once closed."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QWidget

STYLE = "fusion"


def styled_application() -> QApplication:
    """Return the application; its style is set once, for setting it polishes every widget there is."""
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    if application.style().name() != STYLE:
        application.setStyle(STYLE)
    return application


def close_for_good(window: QWidget) -> None:
    """Close a window and delete it: a closed one would be polished with each that is opened later."""
    window.close()
    window.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
