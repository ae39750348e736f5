"""Shows as plain data."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.documents.problems import Problem
from bridgewire.documents.structure import structure
from bridgewire.model.show import Show
from bridgewire.remedies.plain import plain_item
from tests.remedies.cases import EXAMPLES, case_of

SHOWS = (
    EXAMPLES / "boathouse-troubles.toml",
    EXAMPLES / "midwinter-small.toml",
    EXAMPLES / "regatta-night" / "show.toml",
)


@pytest.mark.parametrize("file", SHOWS, ids=lambda f: f.parent.name + "-" + f.stem)
def test_plain_data_make_the_same_show_again(file: Path) -> None:
    """The cue list is taken in; nothing else changes."""
    case = case_of(file)
    problems: list[Problem] = []
    again = structure(case.plain, Show, problems)
    assert problems == []
    assert again is not None
    assert again.cue == case.show.cue
    assert (again.run, again.igniter, again.box) == (
        case.show.run,
        case.show.igniter,
        case.show.box,
    )


@pytest.mark.parametrize("file", SHOWS, ids=lambda f: f.parent.name + "-" + f.stem)
def test_every_item_survives_the_way_out_and_back(file: Path) -> None:
    show = case_of(file).show
    for group in (show.cue, show.run, show.igniter, show.strip, show.box, show.position):
        for item in group:
            cls: type = type(item)
            assert structure(plain_item(item), cls, []) == item
