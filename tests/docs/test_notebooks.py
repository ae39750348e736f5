"""The notebooks run, and show what is kept in them."""

from __future__ import annotations

import doctest
import json
import os
import re
from pathlib import Path
from typing import Any

import pytest

from tests.docs.page_tools import DOCS, script

RUN = script("run_notebooks")
NOTEBOOKS = sorted((DOCS / "notebooks").glob("*.ipynb"))
MOST_BYTES = 60_000


def read(file: Path) -> dict[str, Any]:
    found = json.loads(file.read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def test_there_are_two() -> None:
    assert [f.stem for f in NOTEBOOKS] == ["a-show", "what-if-and-odds"]


@pytest.mark.oracle
@pytest.mark.slow
@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda f: f.stem)
@pytest.mark.filterwarnings("default")  # those of the notebook's own packages
def test_a_notebook_gives_what_is_kept_in_it(file: Path) -> None:
    if os.environ.get("BRIDGEWIRE_REQUIRE_ORACLES") != "1":
        pytest.importorskip("nbclient")
        pytest.importorskip("ipykernel")
    assert RUN.stale(file) == []


@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda f: f.stem)
def test_a_notebook_is_small_run_through_and_names_nobody(file: Path) -> None:
    notebook = read(file)
    assert file.stat().st_size < MOST_BYTES
    cells = notebook["cells"]
    code = [c for c in cells if c["cell_type"] == "code"]
    assert [c["execution_count"] for c in code] == list(range(1, len(code) + 1))
    outputs = [o for c in code for o in c["outputs"]]
    assert len(outputs) == len(code)
    assert {o["output_type"] for o in outputs} <= {"execute_result", "stream"}
    assert all(o.get("name", "stdout") == "stdout" for o in outputs)
    text = file.read_text(encoding="utf-8")
    assert not re.search(r"/work/|/home/|/root/|/tmp/|<script", text)
    assert "cautions" in text


@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda f: f.stem)
def test_links_of_a_notebook_lead_somewhere(file: Path) -> None:
    words = "".join(
        "".join(c["source"]) for c in read(file)["cells"] if c["cell_type"] == "markdown"
    )
    links = re.findall(r"\]\(([^)#]+)", words)
    assert links
    assert all((file.parent / link).is_file() for link in links)


def test_outputs_are_compared_by_words_and_by_numbers() -> None:
    assert doctest.testmod(RUN).failed == 0
    assert RUN.alike("a 1.00 b", "a  1.01 b")
    assert not RUN.alike("a 1.00 b", "a 1.10 b")
    assert not RUN.alike("a 1 b", "a 1 c")
    assert not RUN.alike("a 0 b", "a 1 b")
    assert not RUN.alike("1 2", "1")


def test_a_changed_output_is_stale(monkeypatch: pytest.MonkeyPatch) -> None:
    file = NOTEBOOKS[0]
    run = read(file)
    monkeypatch.setattr(RUN, "executed", lambda _: run)
    assert RUN.stale(file) == []
    run["cells"][1]["outputs"][0]["data"]["text/plain"] = ["<LoadedShow of nothing>"]
    (told,) = RUN.stale(file)
    assert "a-show.ipynb: output 1 was" in told
    run["cells"][1]["outputs"] = []
    assert "outputs are kept" in RUN.stale(file)[0]
