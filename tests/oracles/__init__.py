"""Comparison of the solvers with outside ones: scipy, ngspice and power-grid-model."""

from __future__ import annotations

import ctypes.util
import importlib
import importlib.util
import os

import pytest

REQUIRE = "BRIDGEWIRE_REQUIRE_ORACLES"
"""Environment variable; 1 makes a missing oracle a failure instead of a skip."""


def _present(oracle: str) -> bool:
    if oracle == "ngspice":
        return ctypes.util.find_library("ngspice") is not None
    return importlib.util.find_spec(oracle) is not None


def oracle_or_skip(oracle: str) -> None:
    """Skip a test or a module whose oracle is not installed; fail where oracles are required."""
    if _present(oracle):
        return
    if os.environ.get(REQUIRE) == "1":
        pytest.fail(f"the oracle {oracle} is missing, and {REQUIRE}=1", pytrace=False)
    pytest.skip(f"the oracle {oracle} is not installed", allow_module_level=True)
