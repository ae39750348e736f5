"""What the site has beside the pages of docs/: generated reference, and links and formulas mended.

mkdocs calls these functions; see mkdocs.yml.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

from math_font import write_math_font  # noqa: E402
from mathml import with_mathml  # noqa: E402
from mkdocs.structure.files import File, Files  # noqa: E402
from reference_api import api_pages  # noqa: E402
from reference_commands import command_pages  # noqa: E402
from reference_hooks import hook_pages  # noqa: E402
from reference_rules import rule_pages, rules_overview  # noqa: E402
from reference_schemas import copy_schemas, schema_pages  # noqa: E402
from site_links import (  # noqa: E402
    DOCS,
    PROJECT_PAGES,
    fences_aside,
    outside_files,
    site_links,
    source_of,
)

_generated: dict[str, tuple[str, str]] = {}
"""Title and text of every generated page, by its address."""
_FENCE_WORDS = re.compile(r"^( *```[\w-]+)[^\n`]*$", re.M)
_RULE_LINK = re.compile(r"\]\(#([a-z]{3}\d{3})\)")


def on_config(config: Any) -> Any:
    """Generate the reference and put it into the navigation."""
    _generated.clear()
    for pages in (command_pages(), schema_pages(), hook_pages(), api_pages(), rule_pages()):
        _generated.update(pages)
    config.nav = _filled(config.nav)
    return config


def _filled(entries: list[Any]) -> list[Any]:
    """The navigation with each entry that ends in ``/`` replaced by the pages below it."""
    found: list[Any] = []
    for entry in entries:
        if isinstance(entry, str) and entry.endswith("/"):
            found += _below(entry)
        elif isinstance(entry, dict):
            title, value = next(iter(entry.items()))
            if isinstance(value, list):
                value = _filled(value)
            elif value == "rules/":
                value = ["rules.md", *_by_family()]
            elif value.endswith("/"):
                value = _below(value)
            found.append({title: value})
        else:
            found.append(entry)
    return found


def _below(folder: str) -> list[Any]:
    return [
        uri if uri.endswith("/index.md") else {title: uri}
        for uri, (title, _) in _generated.items()
        if uri.startswith(folder)
    ]


def _by_family() -> list[Any]:
    families: dict[str, list[Any]] = {}
    for uri, (title, _) in _generated.items():
        if uri.startswith("rules/"):
            families.setdefault(title[:3], []).append({title: uri})
    return [{letters: pages} for letters, pages in families.items()]


def on_files(files: Files, config: Any) -> Files:
    """Add the generated pages, those of the top folder, and every file that a page links to."""
    for uri, (_, text) in _generated.items():
        files.append(File.generated(config, uri, content=text))
    for name in ("style.css", "icon.svg", "iframe-worker.js"):
        _add(files, config, f"site-files/{name}", HERE / "files" / name)
    wanted = set(PROJECT_PAGES)
    for page in DOCS.glob("*.md"):
        wanted |= outside_files(page.name, page.read_text(encoding="utf-8"))
    done: set[str] = set()
    while wanted - done:
        uri = min(wanted - done)
        done.add(uri)
        _add(files, config, uri, source_of(uri))
        if uri.endswith(".md"):
            wanted |= outside_files(uri, source_of(uri).read_text(encoding="utf-8"))
    return files


def _add(files: Files, config: Any, uri: str, source: Path) -> None:
    if uri.endswith(".md"):
        text = source.read_text(encoding="utf-8")
        files.append(File.generated(config, uri, content=text))
    else:
        files.append(File.generated(config, uri, abs_src_path=str(source)))


def on_page_markdown(markdown: str, page: Any, config: Any, files: Files) -> str:
    """Mend links, and leave out the words after a block's language, which are for the tests."""
    uri = page.file.src_uri
    if uri == "index.md":
        page.meta["hide"] = ["navigation"]
    if uri == "rules.md":
        return rules_overview()
    if uri.startswith("rules/"):
        return fences_aside(markdown, lambda part: _RULE_LINK.sub(r"](\1.md)", part))
    if uri not in _generated:
        markdown = site_links(uri, markdown)
    return _FENCE_WORDS.sub(r"\1", markdown)


def on_page_content(html: str, page: Any, config: Any, files: Files) -> str:
    """Write formulas as MathML."""
    return with_mathml(html) if "arithmatex" in html else html


def on_post_build(config: Any) -> None:
    """Put the schemas beside their pages, and the font of formulas beside the styles."""
    copy_schemas(Path(config.site_dir))
    write_math_font(Path(config.site_dir) / "site-files" / "math.woff")
