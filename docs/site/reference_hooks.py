"""The page of the hooks: the reference of docs/plugins.md by itself."""

from __future__ import annotations

import re

import make_hook_reference

PAGE = "reference/hooks.md"
HEAD = """# Hooks

What a plugin can bring, and what its functions are given and give back. How to write one, step by
step, is on the page about [plugins](../plugins.md).
"""


def hook_pages() -> dict[str, tuple[str, str]]:
    """Title and text by address."""
    text = re.sub(r"^##(#+ )", r"\1", make_hook_reference.reference(), flags=re.M)
    return {PAGE: ("Hooks", HEAD + "\n" + re.sub(r"^(#+ )", r"#\1", text, flags=re.M))}
