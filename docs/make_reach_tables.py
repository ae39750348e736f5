"""Writes docs/reach-tables.md: how far the cables of the shipped kits reach.

Run ``python docs/make_reach_tables.py`` to write the page, with ``--check`` to tell whether it is
stale. The page names the kits with their versions; it holds no date, so that the same kits give
the same page.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from attrs import evolve, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.model.band import Band
from bridgewire.remedies.reach import ReachQuestion, reaches
from bridgewire.report.reach_table import question_words, reach_markdown

PAGE = Path(__file__).resolve().parent / "reach-tables.md"
KITS = ("harrowmere", "generic")
AMBIENT_C = Band(-5.0, 10.0, 25.0)
LONGEST_M = 200.0


@frozen
class Table:
    """One table of the page."""

    title: str
    box: str
    igniter_class: str
    pulse_s: float
    cables: tuple[str, ...]
    counts: tuple[int, ...]

    def question(self) -> ReachQuestion:
        """What is asked, but for the cable."""
        return ReachQuestion(
            self.box,
            "harrowmere:jetty-strip-8",
            "",
            self.igniter_class,
            self.pulse_s,
            AMBIENT_C,
            counts=self.counts,
            longest_m=LONGEST_M,
        )


TABLES = (
    Table(
        "Heron, clip-on nichrome igniters, 2 s",
        "harrowmere:heron",
        "generic:clip-on-short",
        2.0,
        ("harrowmere:shore-cable", "harrowmere:pier-cable", "harrowmere:raft-cable"),
        (1, 2, 3),
    ),
    Table(
        "Heron, electric matches sorted by the society, 50 ms",
        "harrowmere:heron",
        "harrowmere:lantern-match",
        0.05,
        ("harrowmere:shore-cable", "harrowmere:pier-cable", "harrowmere:raft-cable"),
        (1, 2, 4, 6),
    ),
    Table(
        "Teal, electric matches sorted by the society, 20 ms",
        "harrowmere:teal",
        "harrowmere:lantern-match",
        0.02,
        ("harrowmere:shore-cable", "harrowmere:raft-cable"),
        (4, 8, 16),
    ),
)

HEAD = """\
<!-- Written by docs/make_reach_tables.py; change that script, not this page. -->

# Reach tables

How many metres of cable may lie between a box and so many igniters, and all of them are still
*sure* to light at the worst corner of every tolerance. In brackets: the length up to which they
light at typical values; beyond the first figure they are *marginal*. Both are rounded down. A dash
means that not even half a metre does.

*Sure* is no margin: who asks for one must stay shorter.

Computed by the same solver as a check, for one way that is fired alone, with a box that has used
none of its charge, igniters all in parallel on one strip at the end of one run. A show adds what is
not in a table: chains, joints, other cues at the same time, a battery half empty. So a table helps
to plan; check the show all the same, and read the [cautions](safety.md). Nothing here says that a
circuit may be fired, and nothing replaces the meter on site.

For your own kit, pulse or weather: `bridgewire reach`, see [what if](what-if.md).
"""


def catalogue() -> Catalogue:
    """The shipped kits."""
    found = find_kits(list(KITS), kit_folders(PAGE, []))
    return Catalogue({k: v.kit for k, v in found.items()})


def page_text() -> str:
    """The whole page."""
    kits = catalogue()
    named = ", ".join(f"`{k}` {kit.version}".strip() for k, kit in kits.kits.items())
    note = f"Kits: {named}. The figures of these kits are in part invented, see each kit.\n"
    parts = [HEAD, note]
    parts += [part for table in TABLES for part in _table(table, kits)]
    return "\n".join(parts)


def _table(table: Table, kits: Catalogue) -> Iterator[str]:
    question = table.question()
    yield f"## {table.title}\n"
    yield "".join(f"- {name}: {text}\n" for name, text in question_words(question))
    answers = {c: reaches(evolve(question, cable=c), kits) for c in table.cables}
    yield reach_markdown(question, answers)


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` only tell whether it is stale."""
    text = page_text()
    if "--check" not in arguments:
        PAGE.write_text(text, encoding="utf-8")
    elif not PAGE.is_file() or PAGE.read_text(encoding="utf-8") != text:
        print(f"{PAGE} is stale; run: python docs/make_reach_tables.py")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
