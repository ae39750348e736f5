"""The accuracy that docs/physics.md states is that of the solver today."""

from __future__ import annotations

import re

from tests.docs.page_tools import DOCS
from tests.oracles import oracle_or_skip

oracle_or_skip("scipy")

from tests.oracles import ours, reference  # noqa: E402
from tests.oracles.case import reference_ladder  # noqa: E402

ROW = re.compile(r"^\| (1e-\d) \| (\d+) \| (\S+) \|$", re.M)


def test_table_of_accuracy_on_the_reference_ladder() -> None:
    case = reference_ladder()
    exact = reference.events(case)
    rows = ROW.findall((DOCS / "physics.md").read_text(encoding="utf-8"))
    assert len(rows) == 4
    for tolerance, steps, error in rows:
        outcome, _ = ours.solve([case], tolerance=float(tolerance))
        assert outcome.steps == int(steps)
        found = ours.events(case, tolerance=float(tolerance)).worst_error(exact)
        assert 0.8 * float(error) < found <= float(error)
