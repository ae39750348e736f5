"""Edits of documents."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from bridgewire.remedies.edits import Append, ConflictError, Remove, Set, combined, edited

SHOW: dict[str, Any] = {
    "title": "x",
    "cue": [{"id": "a", "pulse_s": 1.0}, {"id": "b"}, {"id": "c"}],
    "run": [{"to": "west", "length_m": {"min": 1, "max": 2}}],
}


def test_paths_are_those_before_any_edit() -> None:
    before = copy.deepcopy(SHOW)
    done = edited(
        SHOW,
        [
            Remove(("cue", 0)),
            Append(("cue",), {"id": "d"}),
            Set(("cue", 2, "pulse_s"), 3.0),
            Remove(("cue", 1)),
        ],
    )
    assert done["cue"] == [{"id": "c", "pulse_s": 3.0}, {"id": "d"}]
    assert before == SHOW


def test_set_makes_tables_that_are_not_there() -> None:
    assert edited(SHOW, [Set(("site", "ambient_C"), 5)])["site"] == {"ambient_C": 5}


def test_append_makes_lists_that_are_not_there() -> None:
    assert edited(SHOW, [Append(("splitter",), {"id": "s"})])["splitter"] == [{"id": "s"}]


def test_values_are_not_shared_with_the_edit() -> None:
    value = {"times": 1}
    done = edited(SHOW, [Set(("cue", 0, "repeat"), value)])
    value["times"] = 9
    assert done["cue"][0]["repeat"] == {"times": 1}


@pytest.mark.parametrize(
    "path", [("cue", 9, "pulse_s"), ("cue", "x", "y")], ids=["no such item", "no such key"]
)
def test_paths_that_lead_nowhere_raise(path: tuple[str | int, ...]) -> None:
    with pytest.raises((IndexError, KeyError, TypeError)):
        edited(SHOW, [Set(path, 1)])


def test_the_same_edit_twice_counts_once() -> None:
    edit = Set(("cue", 0, "pulse_s"), 2.0)
    assert combined([edit], [edit]) == (edit,)


def test_different_values_for_one_place_conflict() -> None:
    with pytest.raises(ConflictError, match=r"cue\[0\].pulse_s is set twice"):
        combined([Set(("cue", 0, "pulse_s"), 2.0)], [Set(("cue", 0, "pulse_s"), 3.0)])


def test_to_change_what_is_removed_is_a_conflict() -> None:
    with pytest.raises(ConflictError, match="changed and removed"):
        combined([Set(("cue", 0, "pulse_s"), 2.0)], [Remove(("cue", 0))])
