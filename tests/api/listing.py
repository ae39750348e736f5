"""The public API as one text: every public name with its signature.

Run ``python -m tests.api.listing`` to write it anew after a change that is meant.
"""

from __future__ import annotations

import enum
import importlib
import inspect
import sys
from collections.abc import Iterator
from pathlib import Path

import attrs

MODULES = ("bridgewire", "bridgewire.plugins", "bridgewire.tables", "bridgewire.testing")
FILE = Path(__file__).parent / "public_api.txt"
HEAD = """# The public API: every name in __all__ of the public modules, with signatures.
# A change here is a change for users: note it in CHANGELOG.md, and see "Changing the public API" in
# DEVELOPERS.md. Written by: python -m tests.api.listing
"""


def listing() -> str:
    """The whole text."""
    lines = [HEAD.rstrip()]
    for module in MODULES:
        found = importlib.import_module(module)
        lines += ["", f"[{module}]"]
        for name in sorted(found.__all__):
            lines += described(name, getattr(found, name))
    return "\n".join(lines) + "\n"


def described(name: str, value: object) -> Iterator[str]:
    if inspect.isclass(value):
        home = value.__module__
        bases = ", ".join(b.__name__ for b in value.__bases__ if b is not object)
        yield f"class {name}" + (f"({bases})" if bases else "") + f"  from {home}"
        yield from (f"    {line}" for line in _members(value))
    elif inspect.isroutine(value):
        yield f"def {name}{_signature(value)}"
    elif isinstance(value, (int, str, tuple, frozenset)):
        yield f"{name} = {value!r}"
    else:
        yield f"{name}: {type(value).__name__}"


def _members(cls: type) -> Iterator[str]:
    if issubclass(cls, enum.Enum):
        for member in cls:
            yield f"{member.name} = {member.value!r}"
    elif attrs.has(cls):
        for field in attrs.fields(cls):
            default = "" if field.default is attrs.NOTHING else f" = {_default(field.default)}"
            only = " (keyword)" if field.kw_only else ""
            yield f"{field.name}: {_type(field.type)}{default}{only}"
    elif "__init__" in vars(cls):
        yield f"__init__{_signature(vars(cls)['__init__'])}"
    for name, member in sorted(vars(cls).items()):
        if name.startswith("_"):
            continue
        inner = getattr(member, "__func__", member)
        if isinstance(member, property):
            yield f"property {name} -> {_returns(member.fget)}"
        elif hasattr(member, "attrname"):  # a cached property
            yield f"property {name} -> {_returns(member.func)}"
        elif inspect.isfunction(inner):
            kind = type(member).__name__ if inner is not member else "def"
            yield f"{kind} {name}{_signature(inner)}"


def _default(value: object) -> str:
    plain = isinstance(value, (bool, int, float, str, tuple, enum.Enum)) or value is None
    return str(value) if isinstance(value, enum.Enum) else repr(value) if plain else "..."


def _type(hint: object) -> str:
    return hint if isinstance(hint, str) else getattr(hint, "__name__", str(hint))


def _signature(function: object) -> str:
    assert callable(function)
    return str(inspect.signature(function)).replace("'", "")


def _returns(function: object) -> str:
    assert callable(function)
    return str(inspect.signature(function).return_annotation).replace("'", "")


if __name__ == "__main__":
    FILE.write_text(listing(), encoding="utf-8")
    sys.exit(0)
