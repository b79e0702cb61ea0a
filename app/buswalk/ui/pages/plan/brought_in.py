"""A list that was brought in, side by side with the one that stands: what each row would change. Plain Python."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from buswalk.domain.site.list_cells import CannotBe, address_of, setting_of
from buswalk.domain.site.planned_list import DraftDevice, ReadList, read_draft
from buswalk.ui.pages.plan.plan_state import PreviewState
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural


@dataclass(frozen=True, slots=True)
class BroughtIn:
    """What was read, and from where."""

    source: str
    read: ReadList


def preview_of(brought: BroughtIn, present: tuple[DraftDevice, ...]) -> PreviewState:
    """Return what is shown before anything is taken."""
    drafts = brought.read.drafts
    counts = Counter(draft.address for draft in drafts)
    by_address = {draft.address: draft for draft in present}
    rows = tuple(
        _row(place, draft, by_address.get(draft.address), is_doubled=counts[draft.address] > 1)
        for place, draft in enumerate(drafts, start=1)
    )
    stays = {draft.address for draft in drafts}
    lost = [draft for draft in present if draft.address not in stays]
    gone = f" {plural(len(lost), 'planned device')} of now would go." if lost and drafts else ""
    return PreviewState(
        title=f"{brought.source}: {plural(len(drafts), 'device')}",
        sentence=f"Nothing is taken yet.{gone}",
        rows=rows,
        troubles=tuple(str(one) for one in brought.read.troubles),
        replace_words=("Put in its place" if present else "Take the list") if drafts else "",
        add_words="Add at the end" if drafts and present else "",
    )


def _row(place: int, draft: DraftDevice, stands: DraftDevice | None, *, is_doubled: bool) -> Row:
    read = read_draft(draft, place)
    if read.open_points:
        happens = Cell("to be written", Tone.DOUBT, Weight.BOLD)
    elif is_doubled:
        happens = Cell("address twice", Tone.DOUBT, Weight.BOLD)
    elif stands is None:
        happens = Cell("new", Tone.INK, Weight.BOLD)
    elif stands == draft:
        happens = Cell("the same", Tone.INK2)
    else:
        happens = Cell("changed", Tone.INK, Weight.BOLD)
    return (
        Cell(str(place), Tone.INK2),
        Cell(draft.address or "none", Tone.DOUBT if is_doubled else _tone(address_of(draft.address)), Weight.KEY),
        Cell(draft.name, Tone.INK2 if stands is not None and stands.name == draft.name else Tone.INK),
        Cell(draft.setting, _tone(setting_of(draft.setting))),
        Cell(draft.board, Tone.INK2),
        Cell(draft.where, Tone.INK2),
        happens,
    )


def _tone(read: object) -> Tone:
    return Tone.DOUBT if isinstance(read, CannotBe) else Tone.INK
