"""Prints reports to PDF for commands. Qt is imported only where something is drawn: it takes time, or is lacking."""

from __future__ import annotations

from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import Failed
from buswalk.domain.report_sheet import ReportSheet


def write_report(path: Path, sheet: ReportSheet) -> int:
    """Write a report into a new PDF file; return the count of pages. Raises Failed."""
    try:
        from buswalk.ui.printing.pdf import CannotWrite, without_a_screen
        from buswalk.ui.printing.pdf import write_report as write
        from buswalk.ui.printing.report_layout import report_pages
    except ImportError as reason:
        sentence = f"a page cannot be drawn ({reason}): install the system libraries that are missing"
        raise Failed(sentence, ExitStatus.NOT_FOUND) from reason
    pages = report_pages(sheet)
    try:
        with without_a_screen():
            write(path, sheet.title, pages)
    except CannotWrite as reason:
        raise Failed(reason.sentence, ExitStatus.CANNOT_RECORD) from reason
    return len(pages)
