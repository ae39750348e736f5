"""What is installed on the computer that runs the tests must not change them."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def no_plugins(monkeypatch: pytest.MonkeyPatch) -> None:
    """Load no installed plugin; the tests of plugins set the variable themselves."""
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")
