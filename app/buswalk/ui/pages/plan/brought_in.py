"""A list that was brought in, side by side with the one that stands: what each row would change. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.site.list_cells import CannotBe, address_of
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
    by_address = {draft.address: draft for draft in present}
    rows = tuple(_row(place, draft, by_address.get(draft.address)) for place, draft in enumerate(drafts, start=1))
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


def _row(place: int, draft: DraftDevice, stands: DraftDevice | None) -> Row:
    read = read_draft(draft, place)
    if read.open_points:
        happens = Cell("to be written", Tone.DOUBT, Weight.BOLD)
    elif stands is None:
        happens = Cell("new", Tone.INK, Weight.BOLD)
    elif stands == draft:
        happens = Cell("the same", Tone.INK2)
    else:
        happens = Cell("changed", Tone.INK, Weight.BOLD)
    return (
        Cell(str(place), Tone.INK2),
        Cell(draft.address or "none", _address_tone(draft), Weight.KEY),
        Cell(draft.name, Tone.INK2 if stands is not None and stands.name == draft.name else Tone.INK),
        Cell(draft.setting, Tone.INK2 if stands is not None and stands.setting == draft.setting else Tone.INK),
        Cell(draft.board, Tone.INK2),
        Cell(draft.where, Tone.INK2),
        happens,
    )


def _address_tone(draft: DraftDevice) -> Tone:
    return Tone.DOUBT if isinstance(address_of(draft.address), CannotBe) else Tone.INK
