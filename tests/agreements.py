"""How well our results agree with those of others, held by tests and noted for the documentation.

A test module states each comparison once, in literals, and holds it::

    EVENTS = Agreement(
        "scipy-events", oracle="scipy", what="times of events", limit=1e-6, unit="relative"
    )
    EVENTS.within(worst)

`limit` is the tolerance of the test. With ``BRIDGEWIRE_WRITE_AGREEMENTS=1`` a run of the tests
notes the worst difference that it has seen in docs/agreements.json, from which
``python docs/make_comparisons.py`` writes docs/comparisons.md.
"""

from __future__ import annotations

import ast
import json
import math
import os
from importlib import metadata
from pathlib import Path
from typing import Any

import numpy as np
from attrs import frozen

ROOT = Path(__file__).resolve().parents[1]
STORE = ROOT / "docs" / "agreements.json"
WRITE = "BRIDGEWIRE_WRITE_AGREEMENTS"

_worst: dict[str, float] = {}
_count: dict[str, int] = {}


@frozen
class Agreement:
    """One comparison with an outside program, standard or paper.

    Attributes
    ----------
    name : str
        Unique; by it the store knows the comparison again.
    oracle : str
        The program with its method, or the standard with its table.
    what : str
        What is compared.
    limit : float
        Largest difference that the test allows; 0 with the unit ``yes or no``.
    unit : str
        ``relative``, ``yes or no``, or the unit of an absolute difference.
    differences : str
        Where the two are known to differ, and why.
    package : str
        Python package whose version is noted.
    """

    name: str
    oracle: str
    what: str
    limit: float
    unit: str = "relative"
    differences: str = ""
    package: str = ""

    def within(self, worst: float, count: int = 1) -> None:
        """Hold that a difference, the worst of so many, is within the limit, and note it."""
        size = abs(float(worst))
        assert size <= self.limit, f"{self.name}: {size:.3g} is above {self.limit:g} {self.unit}"
        _worst[self.name] = max(_worst.get(self.name, 0.0), size)
        _count[self.name] = _count.get(self.name, 0) + count

    def close(self, ours: Any, theirs: Any, *, floor: float = 0.0) -> None:
        """Hold that arrays agree: relative to theirs, or to `floor` where that is larger.

        With another unit than ``relative`` the plain difference counts. Not-a-number agrees with
        itself only.
        """
        a, b = np.broadcast_arrays(np.asarray(ours, float), np.asarray(theirs, float))
        assert np.array_equal(np.isnan(a), np.isnan(b)), f"{self.name}: not a number in one only"
        same = (a == b) | np.isnan(a)
        scale = np.maximum(np.abs(b), floor) if self.unit == "relative" else np.ones_like(b)
        with np.errstate(invalid="ignore", divide="ignore"):
            error = np.where(same, 0.0, np.abs(a - b) / scale)
        self.within(float(np.max(error, initial=0.0)), error.size)

    def agrees(self, answer: bool = True) -> None:
        """Hold that the other program accepts or reads what we wrote."""
        assert self.unit == "yes or no"
        self.within(0.0 if answer else math.inf)


def stated() -> dict[str, dict[str, Any]]:
    """Every comparison as the test modules state it, without importing them."""
    found: dict[str, dict[str, Any]] = {}
    for file in sorted((ROOT / "tests").rglob("test_*.py")):
        text = file.read_text(encoding="utf-8")
        imports = "from tests.agreements import Agreement" in text
        if not imports or file.name == "test_comparisons.py":
            continue
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Agreement":
                (name,) = (ast.literal_eval(a) for a in node.args)
                assert name not in found, f"two comparisons are called {name}"
                fields = {k.arg: ast.literal_eval(k.value) for k in node.keywords if k.arg}
                found[name] = {
                    "unit": "relative",
                    "differences": "",
                    "package": "",
                    **fields,
                    "test": file.relative_to(ROOT).as_posix(),
                }
    return found


def write_notes() -> None:
    """Write what this run has noted into the store, if asked to; leave out what is not stated."""
    if os.environ.get(WRITE) != "1" or not _worst:
        return
    known = json.loads(STORE.read_text(encoding="utf-8")) if STORE.is_file() else {}
    kept: dict[str, dict[str, Any]] = {}
    for name, fields in stated().items():
        entry = {**known.get(name, {}), **fields}
        if name in _worst:
            entry |= {"worst": float(f"{_worst[name]:.2g}"), "times": _count[name]}
            if fields["package"]:
                entry["version"] = metadata.version(fields["package"])
        kept[name] = entry
    text = json.dumps(kept, indent=1, ensure_ascii=False, sort_keys=True) + "\n"
    STORE.write_text(text, encoding="utf-8")
