"""What is installed on the computer that runs the tests must not change them."""

from __future__ import annotations

import pytest

from tests.agreements import write_notes
from tests.headless import browser

__all__ = ["browser"]


@pytest.fixture(autouse=True)
def no_plugins(monkeypatch: pytest.MonkeyPatch) -> None:
    """Load no installed plugin; the tests of plugins set the variable themselves."""
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")


def pytest_sessionfinish() -> None:
    """Note how well the oracles agreed, if asked to."""
    write_notes()
