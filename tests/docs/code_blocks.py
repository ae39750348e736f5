"""Every code block of the documentation, with the words after its language.

The words say how the block is held to what it shows; `test_code_blocks.py` has one test for each
sort. A block of which nothing can be run or read says so: ``skip="the reason"``.
"""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

from attrs import frozen

from tests.docs.page_tools import PAGES, ROOT

SORTS = {
    "console": "run, its output and exit code compared (test_examples_in_docs.py)",
    "python": "run (test_examples_in_docs.py)",
    "pycon": "run as a doctest",
    "toml show": "loaded (test_examples_in_docs.py)",
    "toml kit": "loaded (test_examples_in_docs.py)",
    "toml bench": "accepted by the schema",
    "toml show-part": "accepted by the schema, as far as it goes",
    "toml kit-part": "accepted by the schema, as far as it goes",
    "toml site-part": "accepted by the schema, as far as it goes",
    "toml bench-part": "accepted by the schema, as far as it goes",
    "toml plugin": "installed and loaded with the page's module",
    "toml cues": "loaded with the cue list that the page shows",
    "csv cues": "loaded by the page's show",
    "csv trials": "read as trials",
    "csv file": "the same as a file of the examples",
    "text case": "read as the head of a rule's case",
    "text folders": "there in the example of a group's repository",
    "text label": "what a label of the example says",
    "text tests": "what the tests of a group print",
    "sh ci": "what .ci/run runs",
    "sh group": "run in a copy of the example of a group's repository",
    "ini group": "used for the tests of that repository",
    "yaml commands": "its commands run on the examples",
    "yaml pre-commit": "names hooks and arguments that are there",
    "yaml action": "names inputs of our action that are there",
    "json": "read",
}
"""Language and first word of a block -> what is done with it."""

_BLOCK = re.compile(r"^( *)```([\w-]*)([^\n`]*)\n(.*?)^\1```$", re.M | re.S)
_SKIP = re.compile(r'skip="([^"]+)"')


@frozen
class Block:
    """One block and where it stands."""

    page: Path
    line: int
    language: str
    words: str
    text: str

    @property
    def name(self) -> str:
        """Page and line, for the names of tests."""
        return f"{self.page.name}:{self.line}"

    @property
    def sort(self) -> str:
        """Language and the word that says what is done with it."""
        word = re.split(r"[ =]", self.words, maxsplit=1)[0]
        whole = f"{self.language} {word}".strip()
        return self.language if self.language in ("console", "python", "pycon", "json") else whole

    @property
    def skip(self) -> str:
        """Why nothing is done with it; empty where something is."""
        found = _SKIP.search(self.words)
        return found[1] if found else ""

    def field(self, name: str) -> str:
        """What ``name=`` says."""
        found = re.search(rf"\b{name}=(\S+)", self.words)
        assert found, f"{self.name}: no {name}="
        return found[1]


def _blocks(page: Path) -> list[Block]:
    text = page.read_text(encoding="utf-8")
    return [
        Block(
            page,
            text.count("\n", 0, m.start()) + 1,
            m[2],
            m[3].strip(),
            textwrap.dedent(m[4]),
        )
        for m in _BLOCK.finditer(text)
    ]


BLOCKS = [block for page in PAGES for block in _blocks(page)]


def of_sort(*sorts: str) -> list[Block]:
    """All blocks of some sorts, in order."""
    return [b for b in BLOCKS if b.sort in sorts and not b.skip]


def one(page: str, sort: str) -> Block:
    """The only block of a sort on a page."""
    found = [b for b in of_sort(sort) if b.page.name == page]
    assert len(found) == 1, f"{page}: {len(found)} blocks of sort {sort!r}"
    return found[0]


__all__ = ["BLOCKS", "PAGES", "ROOT", "SORTS", "Block", "of_sort", "one"]
