"""Says a fault report to people and to machines; the same for a record and for a line that was watched."""

from __future__ import annotations

from buswalk.cli.fault_events import claim_checked, device_faults, inside_marks
from buswalk.cli.fault_words import (
    Sessions,
    abnormal_line,
    claim_line,
    figure_lines,
    inside_line,
    never_answered_lines,
    refusal_lines,
    table_lines,
)
from buswalk.cli.output import Output
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.statistics.claim import claim_on
from buswalk.domain.statistics.fault_report import FaultReport


def say_table(output: Output, report: FaultReport) -> None:
    """Say the counts of each device."""
    output.text(*table_lines(one.row for one in report.devices))


def say_devices(output: Output, report: FaultReport, sessions: Sessions) -> None:
    """Say each device's figures, and what lies inside and outside of marks."""
    for quality in report.devices:
        output.event(device_faults(quality))
        if quality.row.not_clean:
            output.text(*figure_lines(quality, sessions))
    output.text(*refusal_lines(report.devices))
    output.text(*never_answered_lines(report.devices))
    inside = [inside_marks(one) for one in report.inside]
    output.text(*(["inside and outside of the marked spans:"] if inside else []))
    for one in inside:
        output.event(one)
        output.text("  " + inside_line(one))


def say_latest(output: Output, report: FaultReport, sessions: Sessions) -> None:
    """Say the latest exchanges that were not clean."""
    total = sum(one.row.not_clean for one in report.devices)
    if report.abnormal:
        output.text(f"the latest {len(report.abnormal)} of {total} not clean:")
    for recorded in report.abnormal:
        output.event(ExchangeDone(recorded.exchange))
        output.text(abnormal_line(recorded, sessions))


def say_claims(output: Output, report: FaultReport, share: float | None) -> bool:
    """Say of each device whether the claim is proved; tell whether it is of all. Without a claim all is well."""
    if share is None:
        return True
    is_proved = True
    output.text("claim:")
    for quality in report.devices:
        checked = claim_checked(claim_on(share, quality.row.not_clean, quality.row.trials), quality)
        is_proved = is_proved and checked.is_proved
        output.event(checked)
        output.text("  " + claim_line(checked))
    return is_proved
