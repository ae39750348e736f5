"""What the shell offers when the user presses the tabulator key: kit ids, rule codes, shows.

Nothing is imported before it is needed, and whatever goes wrong gives no candidates: a slip in a
file must not spoil the line that is being typed.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

Candidates: TypeAlias = "Callable[[click.Context, click.Parameter, str], list[CompletionItem]]"

_MOST_FILES = 200
"""Files in a folder that are looked into."""


def _quiet(find: Callable[[click.Context, str], Iterable[tuple[str, str]]]) -> Candidates:
    """Make a function that click can ask, of one that yields words and their help."""

    def candidates(
        ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        from click.shell_completion import CompletionItem

        try:
            return [CompletionItem(w, help=h or None) for w, h in find(ctx, incomplete)]
        except Exception:
            return []

    return candidates


def _rule_codes(ctx: click.Context, incomplete: str) -> Iterator[tuple[str, str]]:
    from bridgewire.rules import files

    folder = Path(files.__file__).parent
    for code, module in files.rule_files().items():
        if code.startswith(incomplete.upper()):
            with (folder / f"{module.rpartition('.')[2]}.py").open(encoding="utf-8") as lines:
                yield code, lines.readline().strip().strip('"').rstrip(".")


def _kit_ids(ctx: click.Context, incomplete: str) -> Iterator[tuple[str, str]]:
    from bridgewire.kits.folders import kit_folders
    from bridgewire.kits.heads import profile_files

    before, plus, begun = incomplete.rpartition("+")
    named = ctx.params.get("show") or next(iter(ctx.params.get("shows") or ()), "show")
    further = [Path(d) for d in ctx.params.get("kit_dirs") or ()]
    found = {kit_id for _, kit_id in profile_files(kit_folders(Path(named), further))}
    for kit_id in sorted(found):
        if kit_id and kit_id.startswith(begun):
            yield f"{before}{plus}{kit_id}", ""


def _shows(incomplete: str) -> Iterator[str]:
    """Shows in the folder that is being typed, and one folder further down."""
    from bridgewire.documents.document_kind import document_kind
    from bridgewire.documents.opened import PARSERS

    typed, begun = os.path.split(incomplete)
    folder = Path(os.path.expanduser(typed) or ".")
    looked = 0
    for path in sorted(p for depth in ("*", "*/*") for p in folder.glob(depth)):
        inner = path.relative_to(folder)
        if any(part.startswith(".") for part in inner.parts) or not str(inner).startswith(begun):
            continue
        if path.suffix.lower() not in PARSERS or not path.is_file():
            continue
        looked += 1
        if looked > _MOST_FILES:
            return
        if document_kind(path) == "show":
            yield os.path.join(typed, str(inner))


def show_files(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Shows; what the shell itself makes of files where there are none.

    A name with a space in it would come apart in some shells, so the shell then does it alone.
    """
    from click.shell_completion import CompletionItem

    try:
        found = list(_shows(incomplete))
    except Exception:
        found = []
    if not found or any(len(name.split()) > 1 for name in found):
        return [CompletionItem(incomplete, type="file")]
    return [CompletionItem(name) for name in found]


rule_codes = _quiet(_rule_codes)
kit_ids = _quiet(_kit_ids)
