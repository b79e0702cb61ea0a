"""What `faults` says to people: a table whose sums agree, figures with their limits, the latest abnormal exchanges."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from buswalk.cli.exchange_words import hex_bytes, milliseconds, outcome_words
from buswalk.cli.fault_events import ClaimChecked, InsideMarks
from buswalk.cli.find_words import duration_words
from buswalk.cli.reply_words import count_words
from buswalk.cli.share_words import chance_words, percent, percent_down, share_words
from buswalk.domain.record_reader import RecordedExchange, RecordedSession, RecordFacts
from buswalk.domain.search.events import LivingLine
from buswalk.domain.statistics.device_quality import DeviceQuality, is_clean
from buswalk.domain.statistics.fault_report import FaultReport
from buswalk.domain.statistics.live_faults import LIVE_SESSION
from buswalk.domain.statistics.outcome_table import OutcomeRow, has_stray
from buswalk.domain.statistics.reduction import credited_late, sent_at_s
from buswalk.domain.statistics.refusal_words import refusal_words
from buswalk.domain.statistics.turnarounds import TIME_OUT_RULE
from buswalk.domain.visit.marks import Mark
from buswalk.domain.visit.session_events import MarkSource
from buswalk.domain.watching.events import DeviceAbsent, DeviceBack, WatchEvent, WatchProgress

_HEADS = (
    "address",
    "asked",
    "answered",
    "refused",
    "no reply",
    "damaged",
    "short",
    "late",
    "other",
    "stray",
    "foreign",
)
_OTHER = {
    "foreign_reply": "foreign reply",
    "unexpected_reply": "wrong content",
    "echo_only": "own echo only",
    "damaged_echo": "damaged echo",
    "broadcast_sent": "to all",
    "not_sent": "not sent",
    "stopped": "stopped",
}
BUNCHED_BELOW = 0.01
"""What chance makes more rarely than this is called bunched."""
Sessions = Mapping[int, RecordedSession]


def heading_lines(facts: RecordFacts, report: FaultReport) -> list[str]:
    """Return which record it is, and how much of it was counted."""
    exchanges = sum(one.row.asked for one in report.devices)
    what = f"{count_words(exchanges, 'exchange')} with {count_words(len(report.devices), 'device')}"
    beside = [f"{count_words(report.broadcasts, 'request')} to all"] if report.broadcasts else []
    if report.strays:
        beside.append(f"{count_words(report.strays, 'lump')} of stray bytes between exchanges")
    return [name_line(facts), "; ".join([what, *beside])]


def name_line(facts: RecordFacts) -> str:
    """Return which record it is."""
    return f"{facts.name}  ({'simulated line: no evidence' if facts.is_simulated else 'real line'})"


def clock_jump_lines(marks: tuple[Mark, ...], sessions: Sessions) -> list[str]:
    """Return where the computer's clock jumped: line time goes on, but the wall is no longer where it was."""
    return [
        f"{wall_words(sessions, one.session, one.start_s)} {one.words}: times of the wall behind it are those of the "
        "clock before"
        for one in marks
        if one.source is MarkSource.CLOCK
    ]


def table_lines(rows: Iterable[OutcomeRow]) -> list[str]:
    """Return a row for each device with trouble, and one line for all that are clean."""
    rows = tuple(rows)
    troubled = [one for one in rows if one.not_clean or one.trials < one.asked]
    clean = [one for one in rows if one not in troubled]
    lines = ["  ".join([*_HEADS, "not clean (95 % limit)"])] if troubled else []
    lines += [_row_line(one) for one in troubled]
    if clean:
        each = ", ".join(f"{one.server_address} (0 of {one.trials}: {share_words(0, one.trials)})" for one in clean)
        lines.append(f"clean: {each}")
    return lines


def _row_line(row: OutcomeRow) -> str:
    others = sum(row.other.values())
    values = (
        row.server_address,
        row.asked,
        row.answered,
        row.refused,
        row.no_reply,
        row.damaged,
        row.short,
        row.late,
        others,
        row.beside.stray,
        row.beside.foreign,
    )
    cells = [f"{value:>{len(head)}}" for head, value in zip(_HEADS, values, strict=True)]
    named = ", ".join(f"{count} {_OTHER.get(name, name)}" for name, count in row.other.items())
    share = f"{row.not_clean} of {row.trials}: {share_words(row.not_clean, row.trials)}"
    return "  ".join([*cells, share + (f"  (other: {named})" if named else "")])


def figure_lines(quality: DeviceQuality, sessions: Sessions) -> list[str]:
    """Return what there is to say of one device beside its row; nothing of one that is clean and has no times."""
    if not has_answered(quality.row):
        return []
    lines = [
        *_outage_lines(quality, sessions),
        *_bunching_lines(quality),
        *_retry_lines(quality),
        *_turnaround_lines(quality),
    ]
    return [f"{quality.row.server_address}:", *(f"  {one}" for one in lines)] if lines else []


def refusal_lines(devices: tuple[DeviceQuality, ...]) -> list[str]:
    """Return which exception codes each device refused with: a refusal is clean, and says what it cannot do."""
    return [f"{one.row.server_address}: refused {refusal_words(one.refusals)}" for one in devices if one.refusals]


def has_answered(row: OutcomeRow) -> bool:
    """Tell whether anything right ever came from it, in time or late."""
    return bool(row.answered or row.refused or row.late)


def never_answered_lines(devices: tuple[DeviceQuality, ...]) -> list[str]:
    """Return one line for all devices that never answered: their figures would say the same of each."""
    named = [
        f"{row.server_address} ({count_words(row.trials, 'request')})"
        for row in (one.row for one in devices)
        if row.trials and not has_answered(row)
    ]
    return [f"never answered: {', '.join(named)}; shares and times of these say nothing of the line"] if named else []


def _outage_lines(quality: DeviceQuality, sessions: Sessions) -> list[str]:
    outage = quality.outage
    if not outage.requests:
        return []
    end = "" if outage.is_over else ", and not over when the session ended"
    began = wall_words(sessions, outage.session, outage.from_s)
    requests = count_words(outage.requests, "request")
    return [f"longest outage: {duration_words(outage.seconds)} from {began}, {requests} without an answer{end}"]


def _bunching_lines(quality: DeviceQuality) -> list[str]:
    bunching, between = quality.bunching, quality.between
    if bunching.not_clean < 2 or bunching.clean == 0:
        return []
    row = f"{bunching.longest_run} not clean in a row at most"
    times = f"{duration_words(between.mean_s)} between two on average, {duration_words(between.longest_s)} at most"
    if bunching.chance < BUNCHED_BELOW:
        chance = chance_words(bunching.chance)
        return [f"in bunches: {row}, {times}; chance alone makes so few runs in {chance} of cases"]
    return [f"no bunches seen: {row}, {times}"]


def _retry_lines(quality: DeviceQuality) -> list[str]:
    lines = []
    for loss in quality.retries:
        if loss.retries == 0 or not quality.retries[0].lost or not loss.windows:
            continue
        measured = f"{percent(loss.as_measured)} as measured" if loss.lost else "none as measured"
        lines.append(
            f"lost after {'1 retry' if loss.retries == 1 else f'{loss.retries} retries'}: "
            f"{chance_words(loss.if_independent)} if losses were independent, {measured} "
            f"({loss.lost} of {loss.windows} rows of {loss.retries + 1} requests)"
        )
    return lines


def _turnaround_lines(quality: DeviceQuality) -> list[str]:
    shown = quality.turnarounds
    if not shown.seen:
        return []
    late = f", {shown.late} of them late" if shown.late else ""
    unseen = f"; {count_words(shown.unseen, 'request')} without any answer are not in it" if shown.unseen else ""
    return [
        f"turnaround of {count_words(shown.seen, 'answer')}{late}: half within {milliseconds(shown.median_s)}, "
        f"95 % {milliseconds(shown.most_of_20_s)}, 99 % {milliseconds(shown.most_of_100_s)}, "
        f"longest {milliseconds(shown.longest_s)}{unseen}",
        f"proposed time-out: {milliseconds(shown.time_out_s)} ({TIME_OUT_RULE})",
    ]


def inside_line(one: InsideMarks) -> str:
    """Return one server's counts inside and outside of the marked spans."""
    ratio = "odds ratio not finite" if one.odds_ratio is None else f"odds ratio {one.odds_ratio:.3g}"
    across = f"; {count_words(one.across, 'exchange')} across an edge left out" if one.across else ""
    inside = f"{one.not_clean_inside} of {one.inside} not clean inside"
    outside = f"{one.not_clean_outside} of {one.outside} outside"
    return (
        f"{one.server_address}: {inside}, {outside}; {ratio}, by chance in {chance_words(one.chance)} of cases{across}"
    )


def claim_line(one: ClaimChecked) -> str:
    """Return whether a claim is proved, and if not, what it needs."""
    head = f"{one.server_address}: {one.not_clean} of {one.trials} not clean; below {percent(one.share)} is"
    if one.is_proved:
        return f"{head} proved (95 %)"
    if one.is_refuted:
        at_least = percent_down(one.at_least)
        return f"{head} disproved (95 %): over {at_least} are not clean; find the cause, then watch anew"
    time = f", about {duration_words(one.more_s)} at the pace of this record" if one.more_s is not None else ""
    return f"{head} not proved: {count_words(one.more, 'more request')}, all clean, would prove it{time}"


def abnormal_line(recorded: RecordedExchange, sessions: Sessions) -> str:
    """Return one exchange that was not clean in one line; `record export` has all that is known of it."""
    exchange = recorded.exchange
    words = outcome_words(exchange)
    if credited_late(recorded.exchange.number, recorded.late) is not None:
        words += ", answered late"
    if has_stray(exchange) and not is_clean(exchange):
        words += ", with stray bytes"
    came = f"  {hex_bytes(exchange.received)}" if exchange.received else ""
    at = wall_words(sessions, recorded.session, sent_at_s(exchange))
    return f"  {exchange.number}  {at}  {exchange.server_address}  {words}{came}"


def watch_lines(event: WatchEvent, sessions: Sessions) -> list[str]:
    """Return what a watch says beside its exchanges; nothing of what needs no words."""
    match event:
        case LivingLine(sentence=sentence):
            return [f"{sentence}; --live-line asks all the same, and may spoil what others ask"]
        case DeviceAbsent(server_address=address, silent=silent, since_s=since_s):
            since = wall_words(sessions, LIVE_SESSION, since_s)
            return [f"{address} is absent since {since}: silent {silent} times in a row, and asked rarely from now on"]
        case DeviceBack(server_address=address, after_s=after_s):
            return [f"{address} is back after {duration_words(after_s)}"]
        case WatchProgress(asked=asked, not_clean=not_clean, absent=absent):
            away = f"; absent: {', '.join(map(str, absent))}" if absent else ""
            return [f"asked {asked} so far, {not_clean} not clean{away}"]
        case _:
            return []


def wall_words(sessions: Sessions, session: int, at_s: float) -> str:
    """Return a time as a clock on the wall had it."""
    known = sessions.get(session)
    return f"{known.wall_time_at(at_s):%Y-%m-%d %H:%M:%S}" if known is not None else "a time not known"
