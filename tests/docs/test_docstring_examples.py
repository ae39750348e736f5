"""The examples in the docstrings run and print what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import bridgewire

MODULES = sorted(
    m.name
    for m in pkgutil.walk_packages(bridgewire.__path__, "bridgewire.")
    if not m.name.endswith("__main__")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_of_a_module_run(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.failed == 0


def test_there_are_examples() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    found = [
        test
        for name in MODULES
        if name.startswith("bridgewire.physics.")
        for test in finder.find(importlib.import_module(name))
        if test.examples
    ]
    assert len(found) >= 25
