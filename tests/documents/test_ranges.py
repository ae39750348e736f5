"""Every number of the model has a range, and every range belongs to a number."""

from __future__ import annotations

import math

import attrs
import pytest

from bridgewire.documents.fields import is_table, is_union, item_of, keys_of, tagged
from bridgewire.documents.ranges import RANGES, TEXT_PATTERNS, Range
from bridgewire.model import bench, kit, plan_site, show
from bridgewire.model.band import Band

CLASSES = [c for m in (bench, kit, plan_site, show) for c in vars(m).values() if is_table(c)]


def numeric(cls: type) -> set[tuple[type, str]]:
    found = set()
    for key in keys_of(cls).values():
        shape = key.shape
        item = item_of(shape)
        if item is not None:
            shape = item[0]
        if shape in (int, float, Band):
            found.add((cls, key.attribute))
    return found


def test_every_number_has_a_range() -> None:
    wanted = set().union(*(numeric(c) for c in CLASSES))
    assert len(wanted) > 80
    assert set(RANGES) == wanted


def test_every_id_has_a_pattern() -> None:
    ids = {(c, "id") for c in CLASSES if "id" in {a.name for a in attrs.fields(c)}}
    assert ids <= set(TEXT_PATTERNS)


@pytest.mark.parametrize("within", sorted(set(RANGES.values()), key=repr))
def test_no_range_takes_what_is_not_finite(within: Range) -> None:
    assert within.low < within.high
    for value in (math.nan, math.inf, -math.inf):
        assert not within.accepts(value)


def test_defaults_lie_in_their_ranges() -> None:
    for (cls, name), within in RANGES.items():
        default = getattr(attrs.fields(cls), name).default
        if isinstance(default, (int, float)):
            assert within.accepts(default)


def test_unions_of_the_model_are_tagged() -> None:
    shape = keys_of(kit.BoxKind)["supply"].shape
    assert is_union(shape)
    assert set(tagged(shape) or ()) == {"battery", "regulated", "capacitor", "model"}
