"""Docstrings of what others call are whole: numpydoc finds every part of them.

Another part of the library joins by a line in `TARGETS`.
"""

from __future__ import annotations

import enum
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from types import ModuleType

import pytest
from numpydoc.validate import validate

TARGETS = (
    "every module of bridgewire.physics",
    "bridgewire",
    "bridgewire.plugins",
    "bridgewire.tables",
    "bridgewire.testing",
)
"""What is looked at: ``every module of <package>`` is all that does not begin with an underscore;
the name of a module alone is what its ``__all__`` names, with public methods and properties."""

DEMANDED = {
    "GL08": "a docstring",
    "SS01": "a summary",
    "SS02": "a summary that starts with a capital letter",
    "SS03": "a summary that ends with a full stop",
    "PR01": "every parameter",
    "PR02": "no parameter that is not there",
    "PR03": "parameters in their order",
    "PR07": "what each parameter is",
    "RT01": "what is returned",
    "RT03": "what the returned value is",
    "YD01": "what is yielded",
    "EX01": "an example",
}
"""Codes of numpydoc. Types of parameters (PR04) may be left to the annotations."""
NO_MAKING = {"PR01", "PR02", "PR03"}
"""Not asked of protocols, exceptions and enums, which nobody makes by their parameters."""


def _named(module: ModuleType, names: list[str]) -> Iterator[str]:
    for name in names:
        if _has_docstring(getattr(module, name)):
            yield f"{module.__name__}.{name}"


def _has_docstring(value: object) -> bool:
    return inspect.isfunction(value) or inspect.isclass(value)


def _with_members(module: ModuleType, name: str) -> Iterator[str]:
    """A public name, and what a class of that name has for its users."""
    yield name
    value = getattr(module, name.rpartition(".")[2])
    for own, member in vars(value).items() if inspect.isclass(value) else ():
        called = getattr(member, "__func__", member)
        if not own.startswith("_") and (inspect.isfunction(called) or isinstance(called, property)):
            yield f"{name}.{own}"


def _value(name: str) -> object:
    """What a full name stands for."""
    module, rest = name, ""
    while True:
        try:
            value: object = importlib.import_module(module)
            break
        except ModuleNotFoundError:
            module, _, last = module.rpartition(".")
            rest = f"{last}.{rest}" if rest else last
    for step in rest.split("."):
        value = inspect.getattr_static(value, step, None) or getattr(value, step)
    return value


def members(target: str) -> list[str]:
    """Full names of the functions and classes of a target."""
    package = target.removeprefix("every module of ")
    module = importlib.import_module(package)
    if package == target:
        public = _named(module, module.__all__)
        return [n for name in public for n in _with_members(module, name)]
    found: list[str] = []
    for info in pkgutil.iter_modules(module.__path__, package + "."):
        if info.name.rpartition(".")[2].startswith("_"):
            continue
        inner = importlib.import_module(info.name)
        own = [
            name
            for name, value in vars(inner).items()
            if not name.startswith("_") and getattr(value, "__module__", "") == info.name
        ]
        found += _named(inner, own)
    return found


def faults(name: str) -> list[str]:
    """What numpydoc finds wanting in a docstring, of what is demanded."""
    value = _value(name)
    spared: set[str] = set()
    if inspect.isclass(value) and (
        getattr(value, "_is_protocol", False) or issubclass(value, (BaseException, enum.Enum))
    ):
        spared = NO_MAKING
    elif isinstance(value, property):
        spared = {"EX01"}  # that of its class shows it
    return [
        f"{code} {text}"
        for code, text in validate(name)["errors"]
        if code in DEMANDED and code not in spared
    ]


@pytest.mark.parametrize("name", [n for target in TARGETS for n in members(target)])
def test_docstring_is_whole(name: str) -> None:
    assert faults(name) == []


def test_all_of_physics_is_looked_at() -> None:
    found = members("every module of bridgewire.physics")
    assert "bridgewire.physics.bridge_heating.light_time" in found
    assert "bridgewire.physics.laws.IgniterModel" in found
    assert len(found) > 70


def test_what_is_public_is_looked_at_with_its_methods() -> None:
    found = members("bridgewire")
    assert {"bridgewire.check", "bridgewire.Report.table", "bridgewire.Report.worst"} < set(found)
    assert all(members(module) for module in TARGETS)


def test_wanting_docstrings_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    from bridgewire.physics import supply

    def half(emf_V: float) -> float:
        """say a part"""
        return emf_V

    monkeypatch.setattr(half, "__module__", supply.__name__)
    monkeypatch.setattr(supply, "half", half, raising=False)
    found = {text.split()[0] for text in faults("bridgewire.physics.supply.half")}
    assert found == {"SS02", "SS03", "PR01", "RT01", "EX01"}
