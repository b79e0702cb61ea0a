"""The printed page of `faults`: what stands on it. Where it stands is the printing's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from buswalk.cli.exchange_words import SHOWN_BYTES, hex_bytes, milliseconds, observation_words, outcome_words
from buswalk.cli.fault_filter_options import KINDS, Looked
from buswalk.cli.fault_words import figure_lines, has_answered, never_answered_lines, refusal_lines, wall_words
from buswalk.cli.find_words import duration_words
from buswalk.cli.mark_words import mark_line, numbered_mark
from buswalk.cli.reply_words import count_words
from buswalk.cli.share_words import chance_words, percent, percent_down, percent_up, share_words
from buswalk.cli.trait_words import trait_sentences
from buswalk.domain.record_faults import AbnormalPage
from buswalk.domain.record_reader import RecordedExchange, RecordedSession, RecordFacts, RecordReader
from buswalk.domain.report_sheet import ReportPart, ReportSheet, ReportTable, part
from buswalk.domain.statistics.device_quality import DeviceQuality
from buswalk.domain.statistics.fault_filter import FaultFilter, FaultKind
from buswalk.domain.statistics.fault_report import FaultReport, InsideTable
from buswalk.domain.statistics.limits import clean_trials_needed, lower_limit, upper_limit
from buswalk.domain.statistics.reduction import credited_late, sent_at_s
from buswalk.domain.visit.marks import Mark
from buswalk.domain.visit.record_time import seconds_of
from buswalk.domain.visit.session_events import EchoTested, JobStarted, PortOpened, TraitsLearnt

CASES_OF_EACH = 2
MOST_CASES = 40
CASES_HEADING = "Cases with their bytes: the latest of each device and kind, the worst devices first"
SIMULATED = "SIMULATED LINE: no evidence of any real installation"
_HEADS = (
    "device",
    "asked",
    "answered",
    "refused",
    "no reply",
    "damaged",
    "short",
    "late",
    "other",
    "stray",
    "not clean",
    "share",
    "limits",
)
NOT_MEASURED = (
    "Not measured: voltages, waveforms, cable, supply; what happened while nobody asked; devices that were not asked.",
    "Limits are exact (Clopper and Pearson) and one-sided, 95 % each; they hold if exchanges fail independently, and "
    "are too narrow where failures come in bunches.",
    "No cause is named here. A share is of requests as they were asked: another speed or wait gives another one.",
)


def fault_sheet(
    facts: RecordFacts, looked: Looked, report: FaultReport, marks: tuple[Mark, ...], reader: RecordReader
) -> ReportSheet:
    """Return the page. Raises RecordProblem."""
    sessions = {one.session: one for one in facts.sessions}
    cases = _worst(report, looked.wanted, reader)
    return ReportSheet(
        f"What was not clean: {facts.name}",
        SIMULATED if facts.is_simulated else "",
        (
            part("Where and when", [*_session_lines(facts), *_filter_lines(looked)]),
            part("Port and conditions", _condition_lines(reader)),
            _table_part(report),
            part("Figures of each device", _figures(report, sessions)),
            _marks_part(report, marks, facts.sessions),
            part("What was measured, and what not", [*_measured(report), *NOT_MEASURED]),
            part(CASES_HEADING, _cases(cases, sessions)),
        ),
    )


def _session_lines(facts: RecordFacts) -> Iterator[str]:
    yield f"Record {facts.path}, visit {facts.visit_id}."
    for one in facts.sessions:
        if one.exchanges:
            length = duration_words(seconds_of(one)) if seconds_of(one) < 1e9 else "an end that is not recorded"
            yield (
                f"Session {one.session}: from {one.wall_time_at(0.0):%Y-%m-%d %H:%M:%S %z} for {length}, "
                f"{count_words(one.exchanges, 'exchange')}, by {one.started.program}."
            )


def _filter_lines(looked: Looked) -> Iterator[str]:
    wanted = looked.wanted
    if wanted.addresses:
        yield f"Only of addresses {', '.join(map(str, sorted(wanted.addresses)))}."
    if wanted.times or wanted.inside:
        for one in (*wanted.times, *wanted.inside):
            until = duration_words(one.to_s) if one.to_s < 1e9 else "its end"
            yield f"Only of session {one.session}, line time from {duration_words(one.from_s)} to {until}."
    if wanted.jobs:
        yield f"Only of jobs: {', '.join(sorted(wanted.jobs))}."
    if wanted.but_jobs:
        yield f"Not counted: {', '.join(sorted(wanted.but_jobs))}; nobody is expected at most of what it asks."
    if wanted.settings:
        yield f"Only asked in {', '.join(sorted(str(one) for one in wanted.settings))}."
    if wanted.kinds:
        words = [word for word, kind in KINDS.items() if kind in wanted.kinds]
        yield f"Cases listed are of these kinds only: {', '.join(words)}; counts are of all."


def _condition_lines(reader: RecordReader) -> Iterator[str]:
    """Each way in which it was asked, once."""
    said: dict[str, None] = {}
    for recorded in reader.events_of((PortOpened, JobStarted, EchoTested)):
        match recorded.event:
            case PortOpened() as event:
                said[f"Port {event.port}, opened at {event.settings}; adapter: {event.adapter or 'not known'}."] = None
            case JobStarted(name=name):
                said[f"Job: {name}."] = None
            case EchoTested(sentence=sentence):
                said[f"Echo: {sentence}."] = None
            case _:
                pass
    yield from said
    latest = [one.event for one in reader.events_of((PortOpened, TraitsLearnt))]
    if latest and isinstance(latest[-1], PortOpened | TraitsLearnt):
        yield from trait_sentences(latest[-1].traits)


def _table_part(report: FaultReport) -> ReportPart:
    troubled = [one for one in report.devices if one.row.not_clean or one.row.trials < one.row.asked]
    clean = [one for one in report.devices if one not in troubled]
    paragraphs = [f"Clean: {_clean_words(clean)}."] if clean else []
    paragraphs.append(
        "asked = answered + refused + no reply + damaged + short + late + other. Stray stands beside: such an exchange "
        "is in a column too, and not clean."
    )
    return ReportPart("Counts", tuple(paragraphs), ReportTable(_HEADS, tuple(_table_row(one) for one in troubled)))


def _clean_words(clean: list[DeviceQuality]) -> str:
    return ", ".join(
        f"{one.row.server_address} (0 of {one.row.trials}: {share_words(0, one.row.trials)})" for one in clean
    )


def _table_row(quality: DeviceQuality) -> tuple[str, ...]:
    row = quality.row
    counts = (row.answered, row.refused, row.no_reply, row.damaged, row.short, row.late, sum(row.other.values()))
    return (
        str(row.server_address),
        str(row.asked),
        *(str(one) for one in counts),
        str(row.beside.stray),
        str(row.not_clean),
        *_limit_words(row.not_clean, row.trials),
    )


def _limit_words(seen: int, trials: int) -> tuple[str, str]:
    """Return the share, and its lower and upper limit."""
    if not trials:
        return "-", "not tried"
    low, high = lower_limit(seen, trials), upper_limit(seen, trials)
    return percent(seen / trials), f"{percent_down(low)} to {percent_up(high)}"


def _figures(report: FaultReport, sessions: Mapping[int, RecordedSession]) -> Iterator[str]:
    yield from refusal_lines(report.devices)
    yield from never_answered_lines(report.devices)
    for quality in report.devices:
        lines = figure_lines(quality, sessions) if quality.row.not_clean else []
        yield from (f"Device {line}" if not number else f"  {line}" for number, line in enumerate(lines))


def _marks_part(report: FaultReport, marks: tuple[Mark, ...], sessions: tuple[RecordedSession, ...]) -> ReportPart:
    heads = ("mark", "not clean inside", "not clean outside", "odds ratio", "by chance in")
    rows = tuple((str(mark.number), *_inside_cells(inside)) for mark, inside in zip(marks, report.each, strict=True))
    chance = (
        "By chance in so many of cases as far apart or farther, if inside and outside were alike (Fisher's exact test, "
        "two-sided). Of many marks some come out small by chance alone; exchanges across an edge are left out.",
    )
    said = tuple(mark_line(numbered_mark(one, sessions)).strip() for one in marks)
    words = (*said, *chance) if rows else ("No mark was made.",)
    return ReportPart("Marks, over all devices", words, ReportTable(heads, rows))


def _inside_cells(inside: InsideTable) -> tuple[str, ...]:
    table = inside.table
    ratio = f"{table.odds_ratio:.3g}" if table.inside and table.outside else "-"
    return (
        f"{table.not_clean_inside} of {table.inside}",
        f"{table.not_clean_outside} of {table.outside}",
        ratio.replace("inf", "not finite").replace("nan", "-"),
        chance_words(table.chance) if table.inside and table.outside else "-",
    )


def _measured(report: FaultReport) -> Iterator[str]:
    asked = sum(one.row.asked for one in report.devices)
    yield (
        f"Measured: {count_words(asked, 'exchange')} with {count_words(len(report.devices), 'device')}, each with "
        "every byte that came and the times between which it came."
    )
    if report.broadcasts or report.strays:
        yield (
            f"Beside them {count_words(report.broadcasts, 'request')} to all, and {count_words(report.strays, 'lump')} "
            "of stray bytes between exchanges."
        )
    few = [one.row for one in report.devices if one.row.trials < clean_trials_needed(0.01)]
    if few:
        named = ", ".join(f"{one.server_address} ({one.trials})" for one in few)
        yield f"Too few to say 'below 1 %' of: {named}; that takes {clean_trials_needed(0.01)} clean requests."


def _worst(report: FaultReport, wanted: FaultFilter, reader: RecordReader) -> list[RecordedExchange]:
    """Return the latest of each device and kind, the largest share first; none of who never answered."""
    troubled = [one.row for one in report.devices if one.row.not_clean and has_answered(one.row)]
    troubled.sort(key=lambda row: row.not_clean / row.trials, reverse=True)
    kinds = wanted.kinds or frozenset(FaultKind) - {FaultKind.REFUSED}
    found: dict[int, RecordedExchange] = {}
    for row in troubled:
        for kind in sorted(kinds, key=lambda one: one.value):
            one = replace(wanted, addresses=frozenset({row.server_address}), kinds=frozenset({kind}))
            page = reader.last_abnormal_exchanges(AbnormalPage(one, limit=CASES_OF_EACH))
            found |= {recorded.exchange.number: recorded for recorded in page}
    return list(found.values())[:MOST_CASES]


def _cases(cases: list[RecordedExchange], sessions: Mapping[int, RecordedSession]) -> Iterator[str]:
    if not cases:
        yield "None of a device that ever answered."
    for recorded in cases:
        exchange = recorded.exchange
        late = ", answered late" if credited_late(recorded.exchange.number, recorded.late) is not None else ""
        at = wall_words(sessions, recorded.session, sent_at_s(exchange))
        asked = f"address {exchange.server_address} at {exchange.settings}"
        yield f"{exchange.number}  {at}  {asked}: {outcome_words(exchange)}{late}"
        yield f"    sent {hex_bytes(exchange.request_adu)}"
        if exchange.received:
            first, last = exchange.arrivals[0], exchange.arrivals[-1]
            since_s = (first.not_before_s - sent_at_s(exchange), last.not_after_s - sent_at_s(exchange))
            came = f"between {milliseconds(since_s[0])} and {milliseconds(since_s[1])} after the sending began"
            yield f"    came {_shown_bytes(exchange.received)}, {came}"
        yield from (f"    {one}" for one in _folded(observation_words(one) for one in exchange.observations))


def _folded(lines: Iterable[str]) -> Iterator[str]:
    """Say the same line once, with how often: traffic of others repeats itself over pages."""
    for line, count in Counter(lines).items():
        yield line if count == 1 else f"{line} ({count} times)"


def _shown_bytes(received: bytes) -> str:
    more = len(received) - SHOWN_BYTES
    return hex_bytes(received) if more <= 0 else f"{hex_bytes(received[:SHOWN_BYTES])} and {more} more"
