"""docs/comparisons.md has every comparison that the tests make, as they make it."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from tests.agreements import Agreement, stated
from tests.docs.page_tools import DOCS, ROOT, script

STORE = json.loads((DOCS / "agreements.json").read_text(encoding="utf-8"))
MEASURED = ("worst", "times", "version")
WITHOUT_A_FIGURE = {
    "tests/browser/test_html_page.py",  # a browser looks at our pages
    "tests/report/sheets/test_browser.py",
    "tests/report/sheets/test_forms.py",  # PDF tools read our pages
    "tests/group/test_pre_commit.py",
    "tests/fuzz/test_corpus.py",  # a fuzzer feeds our loaders
    "tests/docs/test_notebooks.py",  # a kernel runs our notebooks
    "tests/docs/test_site.py",  # a browser looks at the documentation
}
"""Files of tests with outside programs that look on or run what we wrote: nothing is compared."""


def test_page_is_not_stale() -> None:
    text = script("make_comparisons").page_text(STORE)
    stored = (DOCS / "comparisons.md").read_text(encoding="utf-8")
    assert stored == text, "run: python docs/make_comparisons.py"


def test_store_has_every_comparison_as_the_tests_state_it() -> None:
    kept = {n: {k: v for k, v in e.items() if k not in MEASURED} for n, e in STORE.items()}
    assert kept == stated(), "note anew; see docs/make_comparisons.py"


@pytest.mark.parametrize("name", STORE)
def test_what_was_measured_is_within_what_is_allowed(name: str) -> None:
    entry = STORE[name]
    assert 0.0 <= entry["worst"] <= entry["limit"]
    assert entry["times"] >= 1
    assert bool(entry["package"]) == ("version" in entry)


def test_every_file_with_an_oracle_states_its_comparison() -> None:
    with_oracle = {
        file.relative_to(ROOT).as_posix()
        for file in (ROOT / "tests").rglob("test_*.py")
        if "mark.oracle" in file.read_text(encoding="utf-8") and file.name != "test_comparisons.py"
    }
    compared = {entry["test"] for entry in stated().values()}
    assert sorted(with_oracle - compared - WITHOUT_A_FIGURE) == []


def test_a_comparison_can_fail() -> None:
    near = Agreement(name="near", oracle="x", what="x", limit=1e-3)
    near.close([1.0, math.nan, math.inf], [1.0005, math.nan, math.inf])
    for ours, theirs in (([1.01], [1.0]), ([math.nan], [1.0]), ([1.0], [math.inf])):
        with pytest.raises(AssertionError):
            near.close(ours, theirs)
    near.close([1e-9], [0.0], floor=1.0)
    with pytest.raises(AssertionError):
        near.close([1e-9], [0.0])
    with pytest.raises(AssertionError):
        near.within(np.nan)
    answer = Agreement(name="read", oracle="x", what="x", limit=0.0, unit="yes or no")
    answer.agrees()
    with pytest.raises(AssertionError):
        answer.agrees(answer=False)
