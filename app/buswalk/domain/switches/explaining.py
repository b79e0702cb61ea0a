"""Set here, found there: every single and double mistake that explains an address, commonest and simplest first."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.switches.board import Board, Pattern
from buswalk.domain.switches.mistakes import not_obeyed, stored_number_differs
from buswalk.domain.switches.mistakes.course import Course, Ground, Mistake
from buswalk.domain.switches.mistakes.kinds import MistakeKind, Stage
from buswalk.domain.switches.mistakes.table import mistakes_on
from buswalk.domain.switches.setting import SettingTable

TWO_AT_ONCE = 0.05
"""How much rarer two mistakes at once are than their shares say: our judgement."""
NO_MISTAKE = 0.01
"""Share left for 'it is another device, or something else': our judgement."""
AS_COMMON = 2.0
"""Two explanations are equally good as long as their shares differ by no more than this factor: they are rough."""


TURNINGS = frozenset({MistakeKind.READ_FROM_OTHER_END, MistakeKind.ON_TAKEN_AS_OFF, MistakeKind.UPSIDE_DOWN})
"""Two of these are the third, which is a single mistake."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way in which the device came to the address where it was found.

    Attributes:
        mistakes: One, or two in the order in which they were made.
        weight: How common, among all ways; comparable between explanations of any address.
        is_open: True where it would explain every address, for want of knowledge.
        set_pattern: What is set on the board, if this is so.
        should_be: What is to be set so that the board answers as intended; None where it cannot.
    """

    mistakes: tuple[Mistake, ...]
    weight: float
    is_open: bool
    real: Board
    set_pattern: Pattern
    should_be: Pattern | None


@dataclass(frozen=True, slots=True)
class Explained:
    """What was made of an intended and a found address.

    Attributes:
        explanations: Single ones first, then double ones, each by weight.
        other_share: Share of 'another device, or something else'.
    """

    intended: int
    found: int
    intended_pattern: Pattern | None
    explanations: tuple[Explanation, ...]
    other_share: float

    @property
    def shares(self) -> tuple[float, ...]:
        """Share of each explanation; with `other_share` they add up to 1."""
        total = sum(one.weight for one in self.explanations) + NO_MISTAKE
        return tuple(one.weight / total for one in self.explanations)

    @property
    def best(self) -> tuple[Explanation, ...]:
        """The first explanation and those that explain it equally well."""
        if not self.explanations:
            return ()
        first = self.explanations[0]
        return tuple(one for one in self.explanations if is_as_good(one, first))


@dataclass(frozen=True, slots=True)
class Image:
    """An address to which one mistake leads."""

    mistake: Mistake
    course: Course
    server_address: int


def is_as_good(one: Explanation, other: Explanation) -> bool:
    """Whether two explanations are equally simple and about equally common."""
    if len(one.mistakes) != len(other.mistakes) or one.is_open != other.is_open:
        return False
    low, high = sorted((one.weight, other.weight))
    return high <= low * AS_COMMON


def intended_course(ground: Ground, intended: int, others: Pattern | None = None) -> Course | None:
    """Return the course without a mistake; None where the address cannot be set on this board.

    Attributes of levers that are not for the address are taken from `others`, or at rest.
    """
    board = ground.board
    pattern = ground.table.pattern(intended, others or board.rest)
    return None if pattern is None else Course(intended, board.sum_of(pattern), ground.table, board, pattern)


def images(ground: Ground, intended: int) -> tuple[Image, ...]:
    """Return where each single mistake leads that changes the address to one of a server."""
    start = intended_course(ground, intended)
    if start is None:
        return ()
    courses = [(one, one.apply(start)) for one in mistakes_on(ground)]
    return tuple(
        Image(mistake, course, course.answers_at)
        for mistake, course in courses
        if course is not None and course.answers_at is not None and course.answers_at != intended
    )


def likely_addresses(ground: Ground, intended: int) -> dict[int, float]:
    """Return where to look for a device that is silent at its address, likeliest first; weights add up to 1."""
    weights: dict[int, float] = {}
    for image in images(ground, intended):
        weights[image.server_address] = weights.get(image.server_address, 0.0) + image.mistake.share
    total = sum(weights.values())
    return {one: weight / total for one, weight in sorted(weights.items(), key=lambda item: (-item[1], item[0]))}


def explain(ground: Ground, intended: int, found: int) -> Explained:
    """Return every single and double mistake that leads from one address to the other.

    Raises:
        ValueError: Both are the same, or one is no server's address.
    """
    if intended not in SERVER_ADDRESSES or found not in SERVER_ADDRESSES:
        raise ValueError("servers have addresses 1 to 247")
    if intended == found:
        raise ValueError("the device answers where it was intended: there is nothing to explain")
    start = intended_course(ground, intended)
    explanations = [] if start is None else _all(ground, start, found)
    explanations.sort(key=lambda one: (len(one.mistakes), one.is_open, -one.weight))
    total = sum(one.weight for one in explanations) + NO_MISTAKE
    pattern = None if start is None else start.pattern
    return Explained(intended, found, pattern, tuple(explanations), NO_MISTAKE / total)


def _all(ground: Ground, start: Course, found: int) -> list[Explanation]:
    tables = _Tables(ground)
    return [*_singles(tables, ground, start, found), *_doubles(tables, ground, start, found)]


def _singles(tables: _Tables, ground: Ground, start: Course, found: int) -> list[Explanation]:
    known = [
        _explanation(tables, (one,), course)
        for one in mistakes_on(ground)
        if (course := one.apply(start)) is not None and course.answers_at == found
    ]
    unknown: list[Mistake | None] = [
        stored_number_differs.that_explains(ground, start, found),
        not_obeyed.that_explains(ground, found),
    ]
    for mistake in unknown:
        course = None if mistake is None else mistake.apply(start)
        if mistake is not None and course is not None and course.answers_at == found:
            known.append(_explanation(tables, (mistake,), course, is_open=True))
    return known


def _doubles(tables: _Tables, ground: Ground, start: Course, found: int) -> list[Explanation]:
    """Return pairs in which each mistake is needed: none where one of them alone would lead there."""
    made = [one for one in mistakes_on(ground) if one.stage is not Stage.AFTERWARDS and not _leads(one, start, found)]
    explanations: list[Explanation] = []
    for at, first in enumerate(made):
        after_first = first.apply(start)
        if after_first is None:
            continue
        for second in made[at + 1 :]:
            if {first.kind, second.kind} <= TURNINGS:
                continue
            course = second.apply(after_first)
            if course is not None and course.answers_at == found:
                explanations.append(_explanation(tables, (first, second), course))
    return explanations


def _leads(mistake: Mistake, start: Course, found: int) -> bool:
    course = mistake.apply(start)
    return course is not None and course.answers_at == found


class _Tables:
    """Setting tables of the boards that come up, each reckoned once."""

    def __init__(self, ground: Ground) -> None:
        self._tables = {ground.board: ground.table}

    def of(self, board: Board) -> SettingTable:
        if board not in self._tables:
            self._tables[board] = SettingTable(board)
        return self._tables[board]


def _explanation(
    tables: _Tables, mistakes: tuple[Mistake, ...], course: Course, *, is_open: bool = False
) -> Explanation:
    weight = mistakes[0].share
    for one in mistakes[1:]:
        weight *= one.share * TWO_AT_ONCE
    should_be = tables.of(course.real).pattern(course.intended, course.pattern)
    return Explanation(mistakes, weight, is_open, course.real, course.pattern, should_be)
