"""docs/reach-tables.md is what the shipped kits give. All of it is checked by ``.ci/run``."""

from __future__ import annotations

from tests.docs.page_tools import DOCS, script


def test_a_table_of_the_page_is_not_stale() -> None:
    """The quickest one; ``docs/make_reach_tables.py --check`` does all."""
    maker = script("make_reach_tables")
    page = (DOCS / "reach-tables.md").read_text(encoding="utf-8")
    (table,) = (t for t in maker.TABLES if t.box == "harrowmere:heron" and t.pulse_s == 0.05)
    text = "\n".join(maker._table(table, maker.catalogue()))
    assert text in page, "run: python docs/make_reach_tables.py"


def test_the_page_names_kits_with_versions_and_every_table() -> None:
    maker = script("make_reach_tables")
    page = (DOCS / "reach-tables.md").read_text(encoding="utf-8")
    assert maker.HEAD in page
    for kit_id, kit in maker.catalogue().kits.items():
        assert f"`{kit_id}` {kit.version}" in page
    for table in maker.TABLES:
        assert page.count(f"## {table.title}\n") == 1
