"""The table of devices: those with trouble, those that refused, and one line for all that are clean."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from buswalk.bus.fault_sums import ShareLimit
from buswalk.domain.statistics.outcome_table import NEVER_TRIED, OutcomeRow
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.kind_words import kind_named
from buswalk.ui.share_words import limited_words, share_words
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, plural

NONE = "·"
CLEAN_LINE, NOBODY_LINE = -1, -2
"""Stand in place of an address for the lines in which several are folded."""


@dataclass(frozen=True, slots=True)
class DeviceTable:
    """The rows.

    Attributes:
        lines: For each row its address, or what is folded in it.
        not_clean, trials: Over all rows that are no strangers' silence.
    """

    rows: tuple[Row, ...]
    lines: tuple[int, ...]
    shown: tuple[OutcomeRow, ...]
    not_clean: int
    trials: int
    asked: int

    @property
    def worst_first(self) -> tuple[int, ...]:
        """The same, those with most that was not clean first."""
        ordered = sorted(self.shown, key=lambda one: (-one.not_clean, one.server_address))
        return tuple(one.server_address for one in ordered)

    @property
    def troubled(self) -> tuple[int, ...]:
        """Addresses that have a line of their own."""
        return tuple(one for one in self.lines if one > 0)


Limits = Mapping[tuple[int, int], ShareLimit]
"""By seen and trials."""


def device_table(
    rows: Sequence[OutcomeRow], names: Mapping[int, str], known: frozenset[int], limits: Limits
) -> DeviceTable:
    """Return the table; `known` are planned and found devices: silence of others is no fault."""
    nobody = [one for one in rows if one.server_address not in known and _is_mere_silence(one)]
    real = [one for one in rows if one not in nobody]
    troubled = [one for one in real if one.not_clean]
    odd = [one for one in real if not one.not_clean and (one.refused or sum(one.other.values()))]
    clean = [one for one in real if one not in troubled and one not in odd]
    shown = (*troubled, *odd)
    if len(clean) == 1 and not shown:
        shown, clean = (clean[0],), []
    lines: list[int] = [one.server_address for one in shown]
    cells: list[Row] = [_row(one, names.get(one.server_address, "not in plan"), limits) for one in shown]
    if clean:
        lines.append(CLEAN_LINE)
        trials = sum(one.trials for one in clean)
        words = "others, all clean" if shown else "devices, all clean"
        cells.append(_folded_row(clean, words, _share(0, trials)))
    if nobody:
        lines.append(NOBODY_LINE)
        cells.append(_folded_row(nobody, "nobody there: silent, as expected", "not counted"))
    return DeviceTable(
        tuple(cells),
        tuple(lines),
        tuple(shown),
        sum(one.not_clean for one in real),
        sum(one.trials for one in real),
        sum(one.asked for one in real),
    )


def _is_mere_silence(row: OutcomeRow) -> bool:
    return row.asked == row.no_reply + row.other.get("stopped", 0) and row.beside.foreign == 0


def _row(row: OutcomeRow, name: str, limits: Limits) -> Row:
    others = sum(row.other.values())
    return (
        Cell(str(row.server_address), Tone.INK, Weight.KEY),
        Cell(name),
        _count(row.asked, None),
        Cell(counted(row.answered), Tone.INK if row.answered else Tone.INK3, Weight.KEY),
        _count(row.refused, OutcomeKind.REFUSED),
        _count(row.no_reply, OutcomeKind.NO_REPLY),
        _count(row.damaged, OutcomeKind.DAMAGED),
        _count(row.short, OutcomeKind.CUT_SHORT),
        _count(row.late, OutcomeKind.LATE_REPLY),
        Cell(counted(others), Tone.INK, Weight.KEY) if others else Cell(NONE, Tone.INK3, spoken="0"),
        _count(row.beside.stray, OutcomeKind.STRAY_BYTE),
        Cell(_limited(row, limits)),
    )


def _count(count: int, kind: OutcomeKind | None) -> Cell:
    if kind is None:
        return Cell(counted(count))
    if not count:
        return Cell(NONE, Tone.INK3, spoken=f"0 {kind.word}")
    return Cell(counted(count), Tone.INK, Weight.KEY, kind, spoken=f"{counted(count)} {kind.word}")


def _limited(row: OutcomeRow, limits: Limits) -> str:
    limit = limits.get((row.not_clean, row.trials))
    if limit is None:
        return _share(0, row.trials) if not row.not_clean else "…"
    return limited_words((limit.seen, limit.trials), limit.lower, limit.upper)


def _share(not_clean: int, trials: int) -> str:
    return share_words(not_clean, trials) if trials else "no trial"


def _folded_row(rows: Sequence[OutcomeRow], words: str, share: str) -> Row:
    def sum_of(take: Callable[[OutcomeRow], int]) -> int:
        return sum(take(one) for one in rows)

    def small(count: int) -> Cell:
        return Cell(counted(count), Tone.INK2) if count else Cell(NONE, Tone.INK3, spoken="0")

    return (
        Cell(counted(len(rows)), Tone.INK2),
        Cell(words, Tone.INK2),
        Cell(counted(sum_of(lambda one: one.asked)), Tone.INK2),
        small(sum_of(lambda one: one.answered)),
        small(sum_of(lambda one: one.refused)),
        small(sum_of(lambda one: one.no_reply)),
        *(small(0) for _ in range(3)),
        small(sum_of(lambda one: sum(one.other.values()))),
        small(0),
        Cell(share, Tone.INK2),
    )


def sum_words(row: OutcomeRow) -> str:
    """Return how what was asked is made up: 260 = 257 answered + 2 damaged + 1 cut short."""
    parts = [
        (row.answered, "answered"),
        (row.refused, "refused"),
        (row.no_reply, "no reply"),
        (row.damaged, "damaged"),
        (row.short, "cut short"),
        (row.late, "late"),
        *((count, kind_named(name).word) for name, count in row.other.items()),
    ]
    told = " + ".join(f"{counted(count)} {word}" for count, word in parts if count)
    return f"{counted(row.asked)} = {told}" if told else "nothing asked"


def beside_words(row: OutcomeRow) -> str:
    """Return what is counted beside the sum; empty where there is nothing."""
    parts = []
    if row.beside.stray:
        parts.append(f"{plural(row.beside.stray, 'exchange')} with stray bytes")
    if row.beside.foreign:
        parts.append(f"{plural(row.beside.foreign, 'exchange')} with a foreign frame")
    never = sum(count for name, count in row.other.items() if name in NEVER_TRIED)
    if never:
        parts.append(f"{counted(never)} of them no trials: nobody was to answer, or nobody waited")
    return "; ".join(parts)
