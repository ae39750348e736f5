"""A small show that is complete, and variants of it."""

from __future__ import annotations

from pathlib import Path

from tests.rules.case_files import CASES, KITS

SHOW = (CASES / "WIR001" / "pass_complete.toml").read_text(encoding="utf-8")
KIT_DIRS = [KITS]


def write_show(folder: Path, *changes: tuple[str, str], more: str = "") -> Path:
    """Write the show with texts replaced, and more at its end."""
    text = SHOW
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    file = folder / "show.toml"
    file.write_text(text + more, encoding="utf-8")
    return file


def write_kit(folder: Path, kit_id: str, *changes: tuple[str, str]) -> Path:
    """Write the bench kit under another id, with texts replaced."""
    text = (KITS / "bench.toml").read_text(encoding="utf-8")
    for old, new in (('id = "bench"', f'id = "{kit_id}"'), *changes):
        assert old in text, old
        text = text.replace(old, new, 1)
    file = folder / f"{kit_id}.toml"
    file.write_text(text, encoding="utf-8")
    return file
