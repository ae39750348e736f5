"""The documentation's pages and the scripts that write parts of them."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md")))
_BLOCK = re.compile(r"^```(\w+)([^\n]*)\n(.*?)^```$", re.M | re.S)


def script(name: str) -> ModuleType:
    """A script of the docs folder as a module."""
    spec = importlib.util.spec_from_file_location(name, DOCS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def code_blocks(language: str) -> list[tuple[str, str, str]]:
    """Name (page and line), words after the language, and text of every block of a language."""
    found: list[tuple[str, str, str]] = []
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        for match in _BLOCK.finditer(text):
            if match[1] == language:
                line = text.count("\n", 0, match.start()) + 1
                found.append((f"{page.name}:{line}", match[2].strip(), match[3]))
    return found
