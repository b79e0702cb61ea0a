"""The strict format of a board description: what keys there are and of which kind. What they mean is the domain's."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

SIDES = Literal["up", "down", "left", "right"]
LONGEST_WORDS = 600


class Table(BaseModel):
    """A table of the file: keys that are not known are refused, and no value is turned into another type."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class LeversTable(Table):
    """`[[block]]` with `kind = "levers"`."""

    kind: Literal["levers"]
    weights: list[Annotated[int, Field(ge=0, le=255)]] = Field(min_length=1, max_length=16)
    labels: list[str] = []
    first: SIDES = "left"
    on: SIDES = "up"
    counts_when: Literal["on", "off"] = "on"


class DialTable(Table):
    """`[[block]]` with `kind = "dial"`."""

    kind: Literal["dial"]
    label: str
    positions: Literal[10, 16]
    weight: int = Field(ge=0, le=255)


class MeaningTable(Table):
    """`[[meaning]]`: what levers say that are not for the address."""

    of: list[str] = Field(min_length=1)
    kind: Literal["speed", "parity", "line end", "polarization", "nothing", "other"]
    values: dict[str, str] = {}


class SpecialTable(Table):
    """`[[special]]`: a pattern that is no plain address."""

    pattern: str
    kind: Literal["invalid", "firmware loader", "address from parameter", "address"]
    words: str = Field(max_length=LONGEST_WORDS)
    address: int | None = None


class BoardFile(Table):
    """The whole file."""

    title: str = Field(max_length=60)
    about: str = Field(default="", max_length=LONGEST_WORDS)
    adds: int = Field(default=0, ge=0, le=255)
    stored_base: int | None = Field(default=None, ge=0, le=255)
    factory_address: int | None = Field(default=None, ge=1, le=247)
    takes_effect: Literal["at once", "after power-up"] = "after power-up"
    block: list[Annotated[LeversTable | DialTable, Field(discriminator="kind")]] = Field(min_length=1, max_length=8)
    meaning: list[MeaningTable] = []
    special: list[SpecialTable] = []
