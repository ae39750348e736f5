"""Pages of the public Python API, from docstrings."""

from __future__ import annotations

import importlib
import inspect

FOLDER = "reference/api/"
MODULES = {
    "bridgewire": "Load and check shows. [In words](../../api.md).",
    "bridgewire.plugins": "What plugins are given and give back. [In words](../../plugins.md).",
    "bridgewire.tables": "Reports as records, CSV and Parquet. [In words](../../notebooks.md).",
    "bridgewire.testing": "For tests of kits and plugins. [In words](../../testing-your-kit.md).",
}


def api_pages() -> dict[str, tuple[str, str]]:
    """Title and text by address, one for each public module."""
    described: set[str] = set()
    return {
        f"{FOLDER}{module}.md": (module, _page(module, head, described))
        for module, head in MODULES.items()
    }


def _page(module: str, head: str, described: set[str]) -> str:
    """Text of one page. What an earlier page has described is linked; `described` gets the rest."""
    found = importlib.import_module(module)
    here, elsewhere, plain = [], [], []
    for name in sorted(found.__all__):
        value = getattr(found, name)
        if inspect.isclass(value) or inspect.isroutine(value):
            home = f"{value.__module__}.{value.__qualname__}"
            if home in described:
                elsewhere.append(f"[`{name}`][{home}]")
            else:
                here.append(f"::: {home}")
                described.add(home)
        else:
            plain.append(f"| `{name}` | `{type(value).__name__}` | {_shown(value)} |")
    parts = [f"# {module}", head]
    if elsewhere:
        parts.append(f"Also here, described elsewhere: {', '.join(elsewhere)}.")
    if plain:
        parts.append("| Name | Type | Value |\n|---|---|---|\n" + "\n".join(plain))
    return "\n\n".join([*parts, *here]) + "\n"


def _shown(value: object) -> str:
    return f"`{value!r}`" if isinstance(value, (int, str, tuple)) else ""
