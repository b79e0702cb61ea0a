"""What `profile` says to machines."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.registers.loss_timer import LossTimer, NoTimerDescribed


@dataclass(frozen=True, slots=True)
class ProfileListed:
    """A profile that is known.

    Attributes:
        points: How many it has.
        tells: Texts by which a device of this type is known.
    """

    name: str
    title: str
    points: int
    tells: tuple[str, ...]
    is_own: bool
    loss_timer: LossTimer | NoTimerDescribed


@dataclass(frozen=True, slots=True)
class PointListed:
    """One point of a profile; numbers as exact texts, `low` and `high` empty without a range."""

    profile: str
    name: str
    words: str
    table: str
    register_address: int
    type: str
    word_order: str
    byte_order: str
    scale: str
    offset: str
    unit: str
    low: str
    high: str
    access: str
    write_type: str
    clears_on_read: bool
    sets: str
    caution: str


@dataclass(frozen=True, slots=True)
class ProfileChecked:
    """What looking through a file found: one sentence for each thing that is wrong."""

    file: str
    points: int
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ListImported:
    """A point list that was read.

    Attributes:
        sheet: Of a workbook; empty for text.
        head_line: Row with the headings; 0 if there is none.
        columns: What each column was taken for, as `thing=heading`.
        kept: File of the profile it became; empty if it was only read.
    """

    file: str
    sheet: str
    head_line: int
    notation: str
    columns: tuple[str, ...]
    not_taken: tuple[str, ...]
    doubts: tuple[str, ...]
    troubles: tuple[str, ...]
    points: int
    kept: str
