"""Lets the user choose files by the system's own dialogs. Names only: what is in a file is not known here."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication, QFileDialog


def choose_to_open(title: str, kinds: str) -> str:
    """Return the path of a file to read; empty if the user changes their mind. `kinds` as `Lists (*.csv *.xlsx)`."""
    path, _ = QFileDialog.getOpenFileName(QApplication.activeWindow(), title, "", kinds)
    return path


def choose_to_save(title: str, suggested: str, kinds: str) -> str:
    """Return the path of a file to write; empty if the user changes their mind."""
    path, _ = QFileDialog.getSaveFileName(QApplication.activeWindow(), title, suggested, kinds)
    return path
