"""Folders for plugins and shows."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from bridgewire.kits import installed
from bridgewire.plugins import entry_points


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder for installed packages; what else is installed does not count."""
    folder = tmp_path / "site"
    folder.mkdir()
    monkeypatch.delenv("BRIDGEWIRE_PLUGINS", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.syspath_prepend(folder)
    monkeypatch.setattr(
        entry_points,
        "metadata_folders",
        lambda group: [f for f in installed.metadata_folders(group) if f.parent == folder],
    )
    before = set(sys.modules)
    yield folder
    for name in set(sys.modules) - before:
        file = getattr(sys.modules[name], "__file__", None) or ""
        if file.startswith(str(folder)):
            del sys.modules[name]
