"""Reading a bench record with the kits and models of installed plugins."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bridgewire.bench.wiring import LoadedRecord


def load(record: str, kit_dirs: Iterable[str]) -> LoadedRecord:
    """Read a record; what is wrong with plugins is said on standard error.

    Raises
    ------
    InputError
        With all that is wrong, plugins included.
    """
    from bridgewire.bench.wiring import load_record
    from bridgewire.cli.loaded_show import say_of_plugins
    from bridgewire.errors import InputError
    from bridgewire.plugins.manager import load_plugins

    plugins = load_plugins()
    try:
        loaded = load_record(
            Path(record),
            kit_dirs=[Path(d) for d in kit_dirs],
            extra_kits=plugins.kits,
            models=plugins.models,
        )
    except InputError as error:
        if not plugins.findings:
            raise
        raise InputError((*error.findings, *plugins.findings)) from None
    say_of_plugins(plugins.findings)
    return loaded
