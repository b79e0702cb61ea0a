"""Points of self-describing maps, held against pysunspec2, whose code and models are the open reference."""

from __future__ import annotations

import random
import struct
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from sunspec2 import device, mb  # type: ignore[import-untyped]

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.sunspec.chain import Chain, LocatedModel, chain_at, with_head
from buswalk.domain.registers.sunspec.definition import ModelGroup
from buswalk.domain.registers.sunspec.points import points_of
from buswalk.domain.registers.value import NoValue, NumberValue, TextValue
from buswalk.storage.sunspec_models import models_folder, sunspec_model

FIRST = 40002
NUMBERS = sorted(int(path.stem.removeprefix("model_")) for path in models_folder().glob("model_*.json"))


def words_of(model: Any) -> tuple[int, ...]:
    data = model.get_mb()
    return struct.unpack(f">{len(data) // 2}H", data)


def points_and_words(number: int, model: Any) -> tuple[tuple[Point, ...], tuple[int, ...]]:
    definition = sunspec_model(number)
    assert definition is not None
    words = words_of(model)
    located = LocatedModel(number, FIRST, len(words) - 2)
    return points_of(definition, located, words), words


def counting(group: ModelGroup) -> set[str]:
    """Names of the points that tell how often a group repeats."""
    return {one.count for one in group.groups} | {name for one in group.groups for name in counting(one)}


def filled(number: int, seed: int) -> Any:
    """A model of the reference with random numbers in it, powers of ten to compute with, and each group twice."""
    definition = sunspec_model(number)
    assert definition is not None
    counts = {name: 2 for name in counting(definition.group) if not name.isdigit()}
    model = device.Model(number, data=counts)
    rng = random.Random(seed)
    for point in points_in(model):
        kind, name = point.pdef["type"], point.pdef["name"]
        if kind == "sunssf":
            point.value = rng.randint(-3, 3)
        elif kind.startswith(("int", "uint", "acc", "enum")) and name not in ("ID", "L", *counts):
            point.value = rng.randint(1, 30000)
    model.set_mb(model.get_mb())
    return model


def points_in(group: Any) -> Iterator[Any]:
    """All points of the reference, those of groups and of groups inside them included."""
    yield from group.points.values()
    for one in group.groups.values():
        for inside in one if isinstance(one, list) else [one]:
            yield from points_in(inside)


@pytest.mark.parametrize("number", NUMBERS)
def test_every_point_stands_where_the_reference_has_it_and_says_the_same(number: int) -> None:
    """All shipped models: place, size, sign and power of ten of each number, in repeating groups too."""
    model = filled(number, number)
    points, words = points_and_words(number, model)
    by_place = {one.register_address: one for one in points}

    for reference in points_in(model):
        kind, name = reference.pdef["type"], reference.pdef["name"]
        if name in ("ID", "L") or not kind.startswith(("int", "uint", "acc", "enum", "count")):
            continue
        point = by_place[FIRST + reference.offset]
        start = point.register_address - FIRST
        value = value_of(point, words[start : start + point.value_type.words])
        if reference.value is None or not mb.point_type_info[kind].is_impl(reference.value):
            continue
        assert isinstance(value, NumberValue), name
        assert float(value.value) == pytest.approx(float(reference.cvalue)), name


@pytest.mark.parametrize(
    "kind", ["int16", "uint16", "acc32", "enum16", "bitfield32", "int32", "uint32", "uint64", "float32"]
)
def test_what_is_not_implemented_is_no_value(kind: str) -> None:
    """The reference's own pattern for 'not implemented' of each kind."""
    number, name = next(
        (number, one.name)
        for number in NUMBERS
        for definition in [sunspec_model(number)]
        if definition is not None
        for one in definition.group.points
        if one.kind == kind and one.name not in ("ID", "L")
    )
    model = filled(number, 1)
    reference = model.points[name]
    points, words = points_and_words(number, model)
    point = next(one for one in points if one.register_address == FIRST + reference.offset)
    data = mb.create_unimpl_value(kind)

    value = value_of(point, struct.unpack(f">{len(data) // 2}H", data))

    assert isinstance(value, NoValue), words[:4]


def test_texts_of_the_common_model_are_read_without_their_padding() -> None:
    model = device.Model(1)
    model.points["Mn"].value = "Example Weather"
    points, words = points_and_words(1, model)
    maker = next(one for one in points if one.name == "mn")
    start = maker.register_address - FIRST

    assert value_of(maker, words[start : start + maker.value_type.words]) == TextValue("Example Weather")


def test_repeating_groups_fill_the_length_and_are_numbered() -> None:
    """Model 160 repeats a group of 20 registers as often as the length has room (its definition, count 0)."""
    definition = sunspec_model(160)
    assert definition is not None
    fixed = definition.group.own_size
    words = (160, fixed - 2 + 40, *([1] * (fixed - 2 + 40)))

    points = points_of(definition, LocatedModel(160, FIRST, fixed - 2 + 40), words)

    ids = [one for one in points if one.name.startswith("module_") and one.name.endswith("_id")]
    assert [one.register_address for one in ids] == [FIRST + fixed, FIRST + fixed + 20]


def test_a_power_of_ten_that_the_device_has_not_is_said() -> None:
    model = filled(103, 3)
    model.points["A_SF"].value = None
    points, _ = points_and_words(103, model)
    ampere = next(one for one in points if one.name == "a")

    assert ampere.scale == Decimal(1)
    assert "power of ten is not implemented" in ampere.notes


def test_the_chain_is_walked_to_its_end() -> None:
    chain = chain_at(40000, (0x5375, 0x6E53))
    assert chain == Chain(40000, 40002)

    for head in ((1, 66), (307, 11), (0xFFFF, 0)):
        chain = with_head(chain, *head)

    assert chain.models == (LocatedModel(1, 40002, 66), LocatedModel(307, 40070, 11))
    assert chain.is_ended


def test_other_words_are_no_marker_and_nonsense_ends_the_chain_with_a_reason() -> None:
    assert chain_at(40000, (0x5375, 0)) is None

    broken = with_head(Chain(40000, 40002), 5, 60000)

    assert not broken.is_ended
    assert "number 5 and length 60000: no model" in broken.problem
