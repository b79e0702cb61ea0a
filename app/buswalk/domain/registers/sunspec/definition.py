"""What the standard's open model files say of a model: its points and repeating groups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from buswalk.domain.registers.point import NamedValue


@dataclass(frozen=True, slots=True)
class ModelPoint:
    """One point of a model.

    Attributes:
        kind: Type name of the standard, such as `int16`, `acc32`, `sunssf`.
        scale: Name of the point that holds its power of ten, a written power, or empty.
    """

    name: str
    kind: str
    size: int
    scale: str = ""
    unit: str = ""
    words: str = ""
    can_be_written: bool = False
    symbols: tuple[NamedValue, ...] = ()


@dataclass(frozen=True, slots=True)
class ModelGroup:
    """Points that repeat.

    Attributes:
        count: A number, or the name of the point that tells how often; '0' for as often as the length has room.
    """

    name: str
    count: str
    points: tuple[ModelPoint, ...]
    groups: tuple[ModelGroup, ...] = ()

    @property
    def own_size(self) -> int:
        """Registers of its points, without those of groups inside."""
        return sum(one.size for one in self.points)


@dataclass(frozen=True, slots=True)
class ModelDefinition:
    """A model; its first two points are number and length."""

    number: int
    name: str
    words: str
    group: ModelGroup


def model_definition(json: Mapping[str, Any]) -> ModelDefinition:
    """Return a model from its JSON.

    Raises:
        ValueError: It is no model file.
    """
    try:
        group = json["group"]
        return ModelDefinition(int(json["id"]), str(group["name"]), str(group.get("label", "")), _group(group))
    except (KeyError, TypeError) as reason:
        raise ValueError(f"this is no model file of the standard: {reason} is missing") from reason


def _group(json: Mapping[str, Any]) -> ModelGroup:
    return ModelGroup(
        name=str(json["name"]),
        count=str(json.get("count", 1)),
        points=tuple(_point(one) for one in json.get("points", ())),
        groups=tuple(_group(one) for one in json.get("groups", ())),
    )


def _point(json: Mapping[str, Any]) -> ModelPoint:
    return ModelPoint(
        name=str(json["name"]),
        kind=str(json["type"]),
        size=int(json["size"]),
        scale=str(json.get("sf", "")),
        unit=str(json.get("units", "")),
        words=str(json.get("label", "") or json["name"]),
        can_be_written="W" in str(json.get("access", "R")),
        symbols=_symbols(json.get("symbols", ())),
    )


def _symbols(json: Sequence[Mapping[str, Any]]) -> tuple[NamedValue, ...]:
    return tuple(NamedValue(int(one["value"]), str(one.get("label") or one["name"])) for one in json)
