"""Any change of the public API shows here; one that is meant is written down."""

from __future__ import annotations

import difflib
import subprocess
import sys
from pathlib import Path

import attrs
import pytest

from tests.api.listing import FILE, MODULES, described, listing


def test_the_public_api_is_what_is_written_down() -> None:
    stored, now = FILE.read_text(encoding="utf-8"), listing()
    told = "\n".join(difflib.unified_diff(stored.splitlines(), now.splitlines(), n=0, lineterm=""))
    assert stored == now, f"{told}\nif this is meant, run: python -m tests.api.listing"


@pytest.mark.parametrize("module", MODULES)
def test_every_public_module_is_listed(module: str) -> None:
    assert f"\n[{module}]\n" in FILE.read_text(encoding="utf-8")


def test_a_changed_signature_shows() -> None:
    @attrs.frozen
    class Before:
        a: int

        def ask(self, x: float) -> str:
            return ""

    @attrs.frozen
    class After:
        a: int
        b: int = 0

        def ask(self, x: float, y: float = 0.0) -> str:
            return ""

    assert list(described("C", Before)) != list(described("C", After))
    assert "    b: int = 0" in list(described("C", After))
    assert "    def ask(self, x: float, y: float = 0.0) -> str" in list(described("C", After))


def test_importing_the_package_imports_nothing_heavy() -> None:
    code = (
        "import sys, bridgewire, bridgewire.plugins; "
        "print([m for m in ('numpy', 'pluggy', 'click', 'yaml') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=Path.cwd()
    )
    assert done.stdout.strip() == "[]"
