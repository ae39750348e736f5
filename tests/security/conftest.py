"""All commands, once on the examples and once on the same with hostile names."""

from __future__ import annotations

import pytest

from tests.security.commands import Ran, run_all
from tests.security.hostile import Files, hostile_files, plain_files


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Files:
    """Files with hostile names."""
    return hostile_files(tmp_path_factory.mktemp("hostile") / "files")


@pytest.fixture(scope="session")
def hostile_runs(hostile: Files) -> list[Ran]:
    """What all commands make of them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BRIDGEWIRE_PLUGINS", "none")
        return run_all(hostile)


@pytest.fixture(scope="session")
def plain_runs(tmp_path_factory: pytest.TempPathFactory) -> list[Ran]:
    """What all commands make of the examples."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BRIDGEWIRE_PLUGINS", "none")
        return run_all(plain_files(tmp_path_factory.mktemp("plain") / "files"))
