"""All that the page Registers shows, finished: words with units, rows, what can be pressed and why not."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from buswalk.ui.pages.registers.other_state import OtherWritesState
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class Chooser:
    """A list to choose one from."""

    words: tuple[str, ...] = ()
    chosen: int = 0


@dataclass(frozen=True, slots=True)
class RawState:
    """Which addresses are read where no profile describes them; texts as typed."""

    tables: Chooser
    notations: Chooser
    first: str
    quantity: str
    problem: str = ""


@dataclass(frozen=True, slots=True)
class PointRows:
    """The table; `groups` says which rows are heads of a table of the data model."""

    rows: tuple[Row, ...] = ()
    groups: tuple[int, ...] = ()
    chosen: int = -1


@dataclass(frozen=True, slots=True)
class ReadingsState:
    """Every reading of the focused registers."""

    title: str = ""
    raw_words: str = ""
    aside: str = ""
    rows: tuple[Row, ...] = ()
    below: tuple[str, ...] = ()
    trouble: str = ""
    trouble_tone: Tone = Tone.DOUBT


class WriteFace(Enum):
    """What the write box shows."""

    LOCKED = "locked"
    QUESTION = "question"
    OPEN = "open"
    SECOND = "second question"
    """Writing is open, and one write waits until it was confirmed apart."""


class StepKind(Enum):
    """A look at a written value."""

    DONE = "done"
    WAITING = "waiting"
    SKIPPED = "skipped"


@dataclass(frozen=True, slots=True)
class WriteStep:
    """One look: when, what was read, and what that means."""

    kind: StepKind
    when: str
    value: str
    verdict: str


@dataclass(frozen=True, slots=True)
class SecondQuestion:
    """What is asked before a write that is confirmed apart; the first sentence says what would be written."""

    title: str = ""
    sentences: tuple[str, ...] = ()
    button: str = ""


@dataclass(frozen=True, slots=True)
class WriteState:
    """The write box.

    Attributes:
        refusal: Why nothing can be written to the focused point; empty if it can.
        write_words: Of the button; three dots where a second question follows.
        second: What is asked before the write that waits.
        changes_note: Which of them earlier sessions left.
        beside: What to know before writing where another client was heard.
        put_back: Words of the button; empty where nothing can be put back.
        focus_wanted: Rises by one when Put back is to have the focus.
    """

    face: WriteFace = WriteFace.LOCKED
    title: str = "Writing is locked"
    name: str = ""
    old_value: str = ""
    hint: str = ""
    cautions: tuple[str, ...] = ()
    refusal: str = ""
    write_words: str = "Write and read back"
    second: SecondQuestion = SecondQuestion()
    told: str = ""
    told_tone: Tone = Tone.INK2
    headline: str = ""
    steps: tuple[WriteStep, ...] = ()
    verdict: str = ""
    put_back: str = ""
    put_back_refusal: str = ""
    changes: tuple[Row, ...] = ()
    changes_note: str = ""
    beside: str = ""
    focus_wanted: int = 0

    @property
    def needs_room(self) -> bool:
        """Whether more than the value stands in the box: what explains the readings gives way."""
        is_question = self.face in (WriteFace.QUESTION, WriteFace.SECOND)
        return is_question or bool(self.steps or self.told or self.changes)


@dataclass(frozen=True, slots=True)
class FinderState:
    """The value finder: looks taken, what fits, the list shifted, the scale by pairs."""

    told: str = ""
    tone: Tone = Tone.INK2
    rows: tuple[Row, ...] = ()
    chosen: int = 0
    shift: str = ""
    shift_button: str = ""
    scale: str = ""
    of_point: str = ""
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class DescribeState:
    """The description of the focused point, to be changed; `undo` says what Ctrl+Z takes back."""

    title: str = ""
    words: str = ""
    types: Chooser = Chooser()
    scale: str = ""
    offset: str = ""
    unit: str = ""
    decimals: str = ""
    own_name: str = ""
    refusal: str = ""
    told: str = ""
    tone: Tone = Tone.INK2
    undo: str = ""
    export_notations: Chooser = Chooser()


@dataclass(frozen=True, slots=True)
class BroughtState:
    """A list that was brought in, before its points are taken: what it was taken for, to be changed.

    Attributes:
        sheets: Of a workbook; nothing to choose in a text.
        heads: Which row has the headings; the last choice is none.
        columns: Each column with what stands in it and what it is taken for; `column` is the chosen one.
        meanings: What the chosen column can be taken for.
        doubts: What the list itself does not prove.
        preview: The first points as they would be taken.
        points: How many, and which is the first as sent, to compare with the list.
        caution: What to do before a write by this list; empty where nothing of it can be written.
        refusal: Why its points cannot be taken; empty if they can.
    """

    title: str
    sheets: Chooser
    heads: Chooser
    notations: Chooser
    tables: Chooser
    columns: tuple[Row, ...]
    column: int
    meanings: Chooser
    meaning_of: str
    why_notation: str
    why_tone: Tone
    doubts: tuple[str, ...]
    troubles: tuple[str, ...]
    troubles_tone: Tone
    preview: tuple[Row, ...]
    points: str
    caution: str = ""
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class LearnState:
    """The map learner; `has_living` offers the tick that another client may be disturbed."""

    tables: Chooser = Chooser()
    spans: Chooser = Chooser()
    first: str = ""
    last: str = ""
    why_safe: str = ""
    caution: str = ""
    forecast: str = ""
    button: str = ""
    is_running: bool = False
    has_living: bool = False
    may_disturb: bool = False
    told: str = ""
    tone: Tone = Tone.INK2
    rows: tuple[Row, ...] = ()


class RegistersFace(Enum):
    """Views of the page; changing the view stops nothing."""

    VALUES = "Values"
    FIND = "Look for"
    DESCRIBE = "Describe"
    LEARN = "Map"
    MOVE = "Move"
    BYTES = "Bytes"

    @property
    def writes_otherwise(self) -> bool:
        """Whether what is written here is no value of the focused point."""
        return self in (RegistersFace.MOVE, RegistersFace.BYTES)


@dataclass(frozen=True, slots=True)
class RegistersState:
    """The whole page."""

    is_empty: bool = True
    sentence: str = ""
    sentence_tone: Tone = Tone.INK2
    devices: Chooser = Chooser()
    profiles: Chooser = Chooser()
    periods: Chooser = Chooser()
    shift: int = 0
    raw: RawState | None = None
    points: PointRows = PointRows()
    readings: ReadingsState = ReadingsState()
    write: WriteState = field(default_factory=WriteState)
    face: RegistersFace = RegistersFace.VALUES
    finder: FinderState = FinderState()
    describe: DescribeState = DescribeState()
    brought: BroughtState | None = None
    learn: LearnState = LearnState()
    other: OtherWritesState = field(default_factory=OtherWritesState)
    main_words: str = "Read once"
    main_refusal: str = ""
    question: str = ""
    falls_back: str = ""
