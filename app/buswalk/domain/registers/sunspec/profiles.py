"""A register profile of what a self-describing device holds, so that it is read, watched and handed on like others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from buswalk.domain.registers.profile import Block, HoldsWords, ReadRules, RegisterProfile
from buswalk.domain.registers.sunspec.chain import HEAD_REGISTERS, MARKER, LocatedModel
from buswalk.domain.registers.sunspec.definition import ModelDefinition
from buswalk.domain.registers.sunspec.points import points_of
from buswalk.domain.registers.tables import Table

NOTES = (
    "Read out of the device's own map. Powers of ten are as they stood then: the standard lets a device change them, "
    "though hardly any does."
)


@dataclass(frozen=True, slots=True)
class DescribedModel:
    """A model as it was read: what it is, where it stands, all its registers."""

    definition: ModelDefinition
    located: LocatedModel
    words: tuple[int, ...]


def profile_of(name: str, models: Sequence[DescribedModel]) -> RegisterProfile:
    """Return a profile of these models, at least one; points are called by model number and name."""
    base = models[0].located.first - len(MARKER)
    points = tuple(
        replace(point, name=f"m{one.located.number}_{point.name}{_again(models, place)}")
        for place, one in enumerate(models)
        for point in points_of(one.definition, one.located, one.words)
    )
    holding = Table.HOLDING_REGISTERS
    blocks = tuple(
        Block(holding, one.located.first, one.located.first + HEAD_REGISTERS + one.located.length - 1)
        for one in models
        if len(one.words) == one.located.quantity
    )
    return RegisterProfile(
        name=name,
        title=", ".join(dict.fromkeys(one.definition.words or one.definition.name for one in models)),
        points=points,
        rules=ReadRules(blocks=(Block(holding, base, base + len(MARKER) - 1), *blocks)),
        fingerprint=(HoldsWords(holding, base, MARKER),),
        notes=NOTES,
    )


def _again(models: Sequence[DescribedModel], place: int) -> str:
    """Return what tells the points of a model from those of the same model before it."""
    before = sum(one.located.number == models[place].located.number for one in models[:place])
    return f"_{before + 1}" if before else ""
