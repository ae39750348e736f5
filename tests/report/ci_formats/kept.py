"""Outputs kept in files, to notice any change. They prove nothing about the formats.

``BRIDGEWIRE_WRITE_REGRESSION=1`` writes them anew; look at the difference before committing it.
"""

from __future__ import annotations

import os
from pathlib import Path

from tests.report.ci_formats.runs import ROOT

FOLDER = Path(__file__).parent / "regression"


def assert_kept(name: str, text: str) -> None:
    """Compare an output with the one kept under a name; the project's own folder is ``<root>``."""
    text = text.replace(str(ROOT), "<root>")
    file = FOLDER / name
    if os.environ.get("BRIDGEWIRE_WRITE_REGRESSION") == "1":
        FOLDER.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8")
    assert text == file.read_text(encoding="utf-8"), f"{file} differs"
