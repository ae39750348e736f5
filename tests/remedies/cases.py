"""Cases for the tests of remedies."""

from __future__ import annotations

from pathlib import Path

from bridgewire.api import load_show
from bridgewire.remedies.case import Case

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"


def case_of(file: Path) -> Case:
    """The case of a show file."""
    loaded = load_show(file)
    layout = loaded.layout
    return Case(loaded.show, loaded.document.data, layout.catalogue, layout.models)


def case_from(text: str, folder: Path) -> Case:
    """The case of a show written here."""
    file = folder / "show.toml"
    file.write_text(text, encoding="utf-8")
    return case_of(file)
