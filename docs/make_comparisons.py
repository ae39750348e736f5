"""Writes docs/comparisons.md from docs/agreements.json, which a run of the tests has noted.

Note anew: ``BRIDGEWIRE_WRITE_AGREEMENTS=1 pytest tests`` with every oracle installed; see
tests/agreements.py. Then run: python docs/make_comparisons.py
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
PAGE, STORE = FOLDER / "comparisons.md", FOLDER / "agreements.json"

HEAD = """# Comparisons

What bridgewire computes and writes is compared in its tests with other programs, with published
standards and with printed results. `python docs/make_comparisons.py` writes this page from what a
run of the tests has noted: a number under *worst* was measured, a number under *allowed* is the
limit at which the test fails.

{count} comparisons. They show that equations are solved rightly and that others can read the files.
They do not show that an igniter obeys the equations, or that your kit data are right: only trials
with your own kit do. See [go/no-go trials](go-no-go.md) and [the cautions](safety.md).
"""
PARTS = {
    "Circuits and heating": (
        "tests/oracles/",
        "tests/physics/",
        "tests/published/",
        "tests/uncertainty/",
    ),
    "Trials and statistics": ("tests/bench/", "tests/report/sheets/test_spares.py"),
    "Files that others read": ("tests/report/", "tests/diff/", "tests/group/"),
    "The rest": ("tests/",),
}
TAIL = """
## What stands behind the numbers

- A *relative* difference is divided by the other's value; where sets of currents are compared, by
  the largest of them. Event times count from the start of the pulse.
- The worst difference depends a little on the processor and on versions of libraries. It is that of
  one run; the limit is what every run must keep.
- The [physics page](physics.md#numerical-method) says how the error of event times falls with the
  step tolerance, and what a check uses.
- `yes or no`: the other program accepted or read everything that the test gave it.
- *n* counts values, or whole circuits, files or pages.
- Known differences are in italics. Behind them stands the test, under `tests/`.
"""
HEADINGS = ("Compared with", "What", "Allowed", "Worst", "n")


def page_text(entries: dict[str, dict[str, Any]]) -> str:
    """The whole page."""
    parts = [HEAD.format(count=len(entries))]
    left = dict(entries)
    for title, folders in PARTS.items():
        found = {n: e for n, e in left.items() if e["test"].startswith(folders)}
        left = {n: e for n, e in left.items() if n not in found}
        if found:
            rows = [_row(found[name]) for name in sorted(found, key=lambda n: _order(found[n]))]
            head = [f"\n## {title}\n", f"| {' | '.join(HEADINGS)} |", "|" + "---|" * len(HEADINGS)]
            parts.append("\n".join([*head, *rows]) + "\n")
    return "".join([*parts, TAIL])


def _order(entry: dict[str, Any]) -> tuple[str, str]:
    return entry["oracle"].casefold(), entry["what"].casefold()


def _row(entry: dict[str, Any]) -> str:
    version = f" {entry['version']}" if "version" in entry else ""
    package = f" ({entry['package']}{version})" if entry["package"] else ""
    if entry["unit"] == "yes or no":
        allowed, worst = "yes or no", "all yes"
    else:
        unit = "" if entry["unit"] == "relative" else f" {entry['unit']}"
        allowed, worst = f"{_number(entry['limit'])}{unit}", _number(entry["worst"])
    what = entry["what"][0].upper() + entry["what"][1:]
    note = f" *{entry['differences']}*" if entry["differences"] else ""
    test = f" `{entry['test'].removeprefix('tests/')}`"
    cells = (entry["oracle"] + package, f"{what}.{note}{test}", allowed, worst, str(entry["times"]))
    return "| " + " | ".join(cells) + " |"


def _number(value: float) -> str:
    """As the other pages write numbers: 1e-6, not 1e-06."""
    mantissa, _, power = f"{value:g}".partition("e")
    return f"{mantissa}e{int(power)}" if power else mantissa


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` only tell whether it is stale."""
    text = page_text(json.loads(STORE.read_text(encoding="utf-8")))
    if "--check" not in arguments:
        PAGE.write_text(text, encoding="utf-8")
    elif PAGE.read_text(encoding="utf-8") != text:
        print(f"{PAGE} is stale; run: python docs/make_comparisons.py")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
