"""What one version of a show has more than another."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.remedies.bill import bill, difference
from bridgewire.remedies.case import Trial
from bridgewire.remedies.change import Effort, Item
from bridgewire.remedies.edits import Append, Edit, Set
from tests.remedies import shows
from tests.remedies.cases import case_from


def test_the_bill_of_a_small_show(tmp_path: Path) -> None:
    case = case_from(shows.CHAIN, tmp_path)
    assert dict(bill(case.as_written.layout)) == {
        ("cable", "harrowmere:shore-cable"): 32.0,
        ("igniter_class", "generic:clip-on-short"): 2,
        ("strip", "harrowmere:jetty-strip-8"): 2,
        ("box", "harrowmere:heron"): 1,
    }


def test_changes_together_cost_what_the_whole_costs(tmp_path: Path) -> None:
    """A longer run of another cable: neither change alone tells how many metres of it."""
    case = case_from(shows.CHAIN, tmp_path)
    edits: list[Edit] = [
        Set(("run", 1, "from"), "heron-1/2"),
        Set(("run", 1, "length_m"), 32),
        Set(("run", 1, "cable"), "harrowmere:raft-cable"),
        Set(("run", 0, "parallel"), 2),
        Append(("splitter",), {"id": "spare", "kind": "harrowmere:mooring-2"}),
        Set(("igniter", 0, "extra_lead_m"), 3),
        Set(("igniter", 0, "lead_cable"), "harrowmere:reed-lead"),
    ]
    after = case.trial(edits)
    assert isinstance(after, Trial)
    told = Effort(shift_s=1.5, metres=99, igniters=1)
    found = difference(case.as_written.layout, after.layout, told)
    # 16 m of the second run are gone, 16 m beside the first are new.
    assert set(found.items) == {
        Item("cable", "harrowmere:raft-cable", 32),
        Item("cable", "harrowmere:reed-lead", 3),
        Item("splitter", "harrowmere:mooring-2", 1),
    }
    assert found.metres == pytest.approx(35)
    assert (found.outputs, found.runs, found.parts) == (1, 1, 1)
    assert (found.shift_s, found.igniters) == (1.5, 1)


def test_nothing_changed_costs_nothing(tmp_path: Path) -> None:
    layout = case_from(shows.CHAIN, tmp_path).as_written.layout
    assert difference(layout, layout, Effort()) == Effort()
