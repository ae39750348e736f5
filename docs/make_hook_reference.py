"""Writes the reference in docs/plugins.md from the hooks and the classes that go in and out.

It goes between ``<!-- reference -->`` and ``<!-- end -->``. Run: python docs/make_hook_reference.py
"""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import bridgewire.plugins
from bridgewire.plugins import hookspecs
from bridgewire.plugins.hook_calls import HOOKS

PAGE = Path(__file__).parent / "plugins.md"
CLASSES = {
    "What hooks and functions are given": (
        "PluginContext",
        "BridgeState",
        "SupplyState",
        "Context",
        "CueImportContext",
        "ReportContext",
    ),
    "What hooks and functions give back": (
        "IgniterModel",
        "SupplyModel",
        "PluginRule",
        "Rule",
        "Finding",
        "CueImporter",
        "ImportedCue",
        "ImportProblem",
        "ReportWriter",
    ),
}
_BLOCK = re.compile(r"(<!-- reference -->\n)(.*?)(<!-- end -->)", re.S)
_TITLE = re.compile(r"\n\n([A-Z]\w+)\n-{3,}\n")


def heading(hook: str) -> str:
    """The hook with its exact arguments, as its heading has it."""
    return f"{hook}{inspect.signature(getattr(hookspecs, hook))}".replace("'", "")


def reference() -> str:
    """The whole reference."""
    parts = ["### Hooks"]
    for hook in HOOKS:
        parts.append(f"#### `{heading(hook)}`")
        parts += _prose(inspect.getdoc(getattr(hookspecs, hook)) or "", skip=("Parameters",))
    for title, names in CLASSES.items():
        parts.append(f"### {title}")
        for name in names:
            parts += _class(name)
    return "\n\n".join(parts) + "\n"


def _class(name: str) -> Iterator[str]:
    cls = getattr(bridgewire.plugins, name)
    yield f"#### `{name}`"
    yield from _prose(inspect.getdoc(cls) or "", further=[_row(*m) for m in _members(cls)])


def _prose(doc: str, skip: tuple[str, ...] = (), further: Sequence[str] = ()) -> Iterator[str]:
    """A docstring's text and its sections without examples; entries become tables.

    Rows of `further` members of a class follow those of what it is made from.
    """
    pieces = _TITLE.split("\n\n" + doc if doc[:1].isupper() else doc)
    yield _markdown(pieces[0].strip())
    for title, body in zip(pieces[1::2], pieces[2::2], strict=True):
        if title in (*skip, "Examples"):
            continue
        if title == "Notes":
            yield _markdown(" ".join(body.split()))
            continue
        entries = [_row(key, kind, text) for key, kind, text in _entries(body)]
        if title == "Returns":
            kind, text = next((k, t) for k, _, t in _entries(body))
            yield f"Gives back a {kind}. {text}".strip()
        elif title == "Parameters":
            yield _table([*entries, *further])
        else:
            yield f"{title}: " + "; ".join(f"`{k}`: {t}" for k, _, t in _entries(body))


def _entries(body: str) -> list[tuple[str, str, str]]:
    """``name : type`` lines with the indented text under each."""
    found: list[tuple[str, str, str]] = []
    for line in body.splitlines():
        if not line.strip():
            continue
        if not line.startswith(" "):
            name, _, kind = line.partition(" : ")
            found.append((name.strip(), kind.strip(), ""))
        else:
            name, kind, text = found[-1]
            found[-1] = (name, kind, f"{text} {line.strip()}".strip())
    return [(name, kind, _markdown(text)) for name, kind, text in found]


def _members(cls: type) -> Iterator[tuple[str, str, str]]:
    """Public properties and methods: how they are called, what they give, what they are for."""
    for name, member in vars(cls).items():
        inner = member
        for wrapped in ("fget", "func", "__func__"):
            inner = getattr(member, wrapped, None) or inner
        if not name.startswith("_") and callable(inner):
            doc = inspect.getdoc(inner) or ""
            call, _, kind = str(inspect.signature(inner)).replace("'", "").partition(" -> ")
            call = re.sub(r"\((self|cls)(, )?", "(", call)
            is_value = hasattr(member, "fget") or hasattr(member, "func")
            shown = name if is_value else name + call
            yield shown, f"`{kind}`", _markdown(doc.split("\n\n")[0])


def _row(key: str, kind: str, text: str) -> str:
    cells = [f"`{key}`", kind, text]
    return "| " + " | ".join(" ".join(c.split()).replace("|", "\\|") for c in cells) + " |"


def _table(rows: list[str]) -> str:
    return "\n".join(["| Name | Type | Meaning |", "|---|---|---|", *rows])


def _markdown(text: str) -> str:
    """Docstrings mark code with double backticks or single ones, and names with their module."""
    return re.sub(r"`bridgewire\.[\w.]*?\.([A-Z]\w+)`", r"`\1`", text.replace("``", "`"))


def page_text(stored: str) -> str:
    """The page with a fresh reference."""
    return _BLOCK.sub(lambda m: f"{m[1]}{reference()}{m[3]}", stored)


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` only tell whether it is stale."""
    stored = PAGE.read_text(encoding="utf-8")
    text = page_text(stored)
    if "--check" not in arguments:
        PAGE.write_text(text, encoding="utf-8")
    elif stored != text:
        print(f"{PAGE} is stale; run: python docs/make_hook_reference.py")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
