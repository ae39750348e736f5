"""The tables of keys in the documentation are those of the model."""

from __future__ import annotations

import pytest

from bridgewire.documents.ranges import RANGES
from tests.docs.page_tools import DOCS, script

TABLES = script("make_key_tables")


@pytest.mark.parametrize("page", ["show-file.md", "kit-file.md", "bench-record.md"])
def test_tables_are_not_stale(page: str) -> None:
    stored = (DOCS / page).read_text(encoding="utf-8")
    assert stored == TABLES.page_text(stored), "run: python docs/make_key_tables.py"


def test_every_class_of_the_model_has_its_table() -> None:
    text = "".join(page.read_text(encoding="utf-8") for page in TABLES.PAGES)
    names = {cls.__name__ for cls, _ in RANGES} | {"Show", "Kit", "Checks", "Ignore", "CueList"}
    missing = [name for name in sorted(names) if f"<!-- keys: {name} -->" not in text]
    assert missing == []


def test_notes_describe_no_class_that_is_not_there() -> None:
    for name in TABLES.NOTES:
        assert TABLES.table_text(name)
