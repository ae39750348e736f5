"""Pages of the public Python API, from docstrings."""

from __future__ import annotations

import importlib
import inspect

FOLDER = "reference/api/"
MODULES = {
    "bridgewire": "Load and check shows. [In words](../../api.md).",
    "bridgewire.plugins": "What plugins are given and give back. [In words](../../plugins.md).",
    "bridgewire.testing": "For tests of kits and plugins. [In words](../../testing-your-kit.md).",
}


def api_pages() -> dict[str, tuple[str, str]]:
    """Title and text by address, one for each public module."""
    return {
        f"{FOLDER}{module}.md": (module, _page(module, head)) for module, head in MODULES.items()
    }


def _page(module: str, head: str) -> str:
    found = importlib.import_module(module)
    described, plain = [], []
    for name in sorted(found.__all__):
        value = getattr(found, name)
        if inspect.isclass(value) or inspect.isroutine(value):
            described.append(f"::: {value.__module__}.{value.__qualname__}")
        else:
            plain.append(f"| `{name}` | `{type(value).__name__}` | {_shown(value)} |")
    parts = [f"# {module}", head]
    if plain:
        parts.append("| Name | Type | Value |\n|---|---|---|\n" + "\n".join(plain))
    return "\n\n".join([*parts, *described]) + "\n"


def _shown(value: object) -> str:
    return f"`{value!r}`" if isinstance(value, (int, str, tuple)) else ""
