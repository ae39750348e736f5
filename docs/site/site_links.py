"""Where things are on the site: pages that come from outside docs/, and links that lead there."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PROJECT_PAGES = {
    "project/overview.md": "README.md",
    "project/contributing.md": "DEVELOPERS.md",
    "project/changes.md": "CHANGELOG.md",
}
"""Pages of the site that are files of the project's top folder."""
FILES = "files/"
"""Folder of the site for other files of the project that pages link to."""

_FENCE = re.compile(r"^ *```.*?^ *```$", re.M | re.S)
_LINK = re.compile(r"(\]\()([^)\s]+)(\))")


def fences_aside(text: str, change: Callable[[str], str]) -> str:
    """Change the text of a page, but none of its code blocks."""
    parts, at = [], 0
    for fence in _FENCE.finditer(text):
        parts += [change(text[at : fence.start()]), fence[0]]
        at = fence.end()
    return "".join(parts) + change(text[at:])


def source_of(uri: str) -> Path:
    """The project's file that a page of the site is written from."""
    if uri in PROJECT_PAGES:
        return ROOT / PROJECT_PAGES[uri]
    if uri.startswith(FILES):
        return ROOT / uri.removeprefix(FILES)
    return DOCS / uri


def uri_of(file: Path) -> str:
    """Where a file of the project is on the site."""
    if file.is_relative_to(DOCS):
        return file.relative_to(DOCS).as_posix()
    path = file.relative_to(ROOT).as_posix()
    return next((uri for uri, name in PROJECT_PAGES.items() if name == path), FILES + path)


def outside_files(uri: str, text: str) -> set[str]:
    """Addresses on the site of the files outside docs/ that a page links to."""
    found: set[str] = set()

    def note(part: str) -> str:
        for match in _LINK.finditer(part):
            target = _file(uri, match[2])
            if target is not None and not target.is_relative_to(DOCS) and target.is_file():
                found.add(uri_of(target))
        return part

    fences_aside(text, note)
    return found


def site_links(uri: str, text: str) -> str:
    """The text of a page with links as they are on the site."""

    def change(part: str) -> str:
        return _LINK.sub(lambda m: m[1] + _site_link(uri, m[2]) + m[3], part)

    return fences_aside(text, change)


def _file(uri: str, target: str) -> Path | None:
    path = target.partition("#")[0]
    if not path or "://" in target or target.startswith("mailto:"):
        return None
    return Path(posixpath.normpath((source_of(uri).parent / path).as_posix()))


def _site_link(uri: str, target: str) -> str:
    file = _file(uri, target)
    if file is None or not file.is_relative_to(ROOT):
        return target
    anchor = target.partition("#")[2]
    there = uri_of(file)
    if there == "rules.md" and re.fullmatch(r"[a-z]{3}\d{3}", anchor):
        there, anchor = f"rules/{anchor}.md", ""
    return posixpath.relpath(there, posixpath.dirname(uri) or ".") + (
        f"#{anchor}" if anchor else ""
    )
