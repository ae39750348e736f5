"""Settings to try."""

from __future__ import annotations

from typing import Any

import pytest

from bridgewire.remedies.edits import Set
from bridgewire.remedies.setting import SettingError, parse_setting

SHOW: dict[str, Any] = {
    "site": {"ambient_C": {"min": 0, "typical": 5, "max": 10}},
    "box": [{"id": "heron-1", "kind": "heron"}],
    "run": [
        {"from": "heron-1/1", "to": "west", "length_m": 20},
        {"id": "long one", "from": "west", "to": "east", "length_m": {"typical": 30, "tol_pct": 5}},
    ],
    "cue": [{"id": "a.b", "pulse_s": 0.5}],
}


@pytest.mark.parametrize(
    ("text", "paths", "values"),
    [
        ("site.ambient_C=-10,0", [("site", "ambient_C")], (-10, 0)),
        ("run[west].length_m=10..30/10", [("run", 0, "length_m")], (10, 20, 30)),
        ("run[long one].length_m=1", [("run", 1, "length_m")], (1,)),
        ("run[*].cable=pier, raft", [("run", 0, "cable"), ("run", 1, "cable")], ("pier", "raft")),
        ("cue[a.b].pulse_s=0.1..0.3/0.1", [("cue", 0, "pulse_s")], (0.1, 0.2, 0.3)),
        ("cue[a.b].repeat.times=1..2/1", [("cue", 0, "repeat", "times")], (1, 2)),
        ("box[heron-1].supply_V = -3..-1/1", [("box", 0, "supply_V")], (-3, -2, -1)),
    ],
)
def test_places_and_values(text: str, paths: list[Any], values: tuple[Any, ...]) -> None:
    setting = parse_setting(text, SHOW)
    assert list(setting.paths) == paths
    assert setting.values == pytest.approx(values)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("run[west].length_m", "expected PLACE=VALUES"),
        ("=3", "expected PLACE=VALUES"),
        ("run[west].length_m=", "expected PLACE=VALUES"),
        ("run[wets].length_m=3", "did you mean 'west'"),
        ("strip[*].first_way=3", "the show has no strip"),
        ("runs[west].length_m=3", "is no list of the show"),
        ("run[west]=3", "name a key within it"),
        ("site=3", "name a key within it"),
        ("run[west]length_m=3", "expected '.'"),
        ("run[west].length_m=1,,2", "a value is missing"),
        ("run[west].length_m=5..1/1", "LOW at most HIGH"),
        ("run[west].length_m=1..5/0", "LOW at most HIGH"),
        ("run[west].length_m=a..5/1", "expected LOW..HIGH/STEP"),
        ("run[west].length_m=5..60", "5..60 has no step; expected LOW..HIGH/STEP"),
        ("site.ambient_C=0,-5..1.5", "has no step"),
        ("run[west].length_m=0..1e9/1", "more than 200 values"),
        ("[x]=1", "cannot read"),
    ],
)
def test_what_cannot_be_read_is_said(text: str, words: str) -> None:
    with pytest.raises(SettingError) as error:
        parse_setting(text, SHOW)
    assert words in str(error.value)


def test_factors_multiply_numbers_and_bands_but_not_per_cent() -> None:
    setting = parse_setting("run[*].length_m=x0.5", SHOW)
    assert setting.edits("x0.5", SHOW) == (
        Set(("run", 0, "length_m"), 10.0),
        Set(("run", 1, "length_m"), {"typical": 15.0, "tol_pct": 5}),
    )


def test_whole_numbers_stay_whole_where_they_can() -> None:
    show = {"igniter": [{"at": "west/1", "count": 2}]}
    for factor, count in (("x1", 2), ("x2.5", 5), ("x1.3", 2.6)):
        (edit,) = parse_setting(f"igniter[*].count={factor}", show).edits(factor, show)
        assert edit.value == pytest.approx(count)
        assert isinstance(edit.value, type(count))


def test_a_key_that_was_meant_is_named() -> None:
    with pytest.raises(SettingError, match="did you mean 'length_m'"):
        parse_setting("run[*].length=x2", SHOW).edits("x2", SHOW)


@pytest.mark.parametrize("place", ["run[west].parallel", "run[west].to"])
def test_nothing_to_multiply_is_said(place: str) -> None:
    with pytest.raises(SettingError, match="multiply"):
        parse_setting(f"{place}=x2", SHOW).edits("x2", SHOW)
