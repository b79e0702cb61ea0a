"""The rows of the planned list as they are drawn, and the lines of those that are not in it."""

from __future__ import annotations

from collections import Counter

from buswalk.domain.search.events import Found
from buswalk.domain.site.comparison import Compared
from buswalk.domain.site.planned_list import DraftDevice, DraftRead
from buswalk.ui.pages.plan.plan_state import StrangersState
from buswalk.ui.pages.plan.plan_words import now_words, stranger_line
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

STRANGERS_SHOWN = 4


def plan_row(
    place: int, draft: DraftDevice, read: DraftRead, compared: Compared | None, addresses: Counter[int]
) -> Row:
    """Return the cells of one planned device; it has no comparison while it has no address."""
    if compared is None:
        now = Cell("no address", Tone.DOUBT, Weight.BOLD)
        address_tone = Tone.DOUBT
    else:
        words, tone, shape = now_words(compared)
        weight = Weight.REGULAR if tone in (Tone.INK2, Tone.INK3) else Weight.BOLD
        now = Cell(words, tone, weight, shape)
        address_tone = Tone.DOUBT if addresses[compared.device.server_address] > 1 else Tone.INK
    is_open = bool(read.device is not None and read.open_points)
    return (
        Cell(str(place), Tone.INK2),
        Cell(draft.address or "none", address_tone, Weight.KEY),
        Cell(draft.name),
        Cell(draft.setting, Tone.DOUBT if is_open else Tone.INK),
        Cell(draft.board, Tone.INK2),
        Cell(draft.where, Tone.INK2),
        now,
    )


def strangers_state(found: tuple[Found, ...]) -> StrangersState | None:
    """Return the first of those that answer and are not planned; None if all are planned."""
    if not found:
        return None
    lines = [stranger_line(one) for one in found[:STRANGERS_SHOWN]]
    if len(found) > STRANGERS_SHOWN:
        lines.append(f"and {len(found) - STRANGERS_SHOWN} more")
    return StrangersState(f"{plural(len(found), 'answers', 'answer')}, not in plan", tuple(lines))
