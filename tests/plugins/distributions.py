"""Small installed packages with plugins, laid out in a folder as an installer would."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from pathlib import Path

HEAD = """
from bridgewire.plugins import *
BRIDGEWIRE_API = 1
"""


def install(
    site: Path,
    source: str = "",
    *,
    name: str = "lakeside",
    module: str = "",
    project: str = "",
    version: str = "1.2",
    head: str = HEAD,
    points: str = "",
    files: Mapping[str, str] | None = None,
) -> str:
    """Install one plugin.

    Parameters
    ----------
    site : Path
        A folder on ``sys.path``.
    source : str
        Of the plugin's module, after `head`.
    name, project : str
        Of the entry point and of the distribution; the latter is ``<name>-plugin`` where absent.
    module : str
        ``<name>_plugin`` where absent.
    points : str
        The whole ``entry_points.txt``, in place of the usual one.
    files : mapping of str to str
        Further files in the folder.

    Returns
    -------
    str
        Name of the module.
    """
    module = module or f"{name.replace('-', '_')}_plugin"
    project = project or f"{name}-plugin"
    (site / f"{module}.py").write_text(head + textwrap.dedent(source), encoding="utf-8")
    for file, text in (files or {}).items():
        (site / file).write_text(text, encoding="utf-8")
    metadata = site / f"{project.replace('-', '_')}-{version}.dist-info"
    metadata.mkdir()
    text = f"Metadata-Version: 2.1\nName: {project}\nVersion: {version}\n"
    (metadata / "METADATA").write_text(text, encoding="utf-8")
    points = points or f"[bridgewire]\n{name} = {module}\n"
    (metadata / "entry_points.txt").write_text(points, encoding="utf-8")
    return module


RULE_PAGE = '''"""A cue carries the name that nobody wants.

What it checks
--------------
The ids of all cues.

Why it matters
--------------
The crew of the lake has had bad luck with it.

Model and limits
----------------
Ids are compared letter by letter.

Example
-------
id = "go"

Do instead
----------
Choose another id.

Settings
--------
None.

References
----------
None: a custom of the society.
"""
'''

RULE = (
    RULE_PAGE
    + """
from bridgewire.plugins import Rule, Severity

RULE = Rule("XLK001", "unlucky-cue-id", Severity.WARNING)


def check(context):
    for cue in context.cues:
        if cue.id == "go":
            yield RULE.finding(
                f"cue {cue.id!r} has an unlucky id", ("cue", cue.cue, "id"), subjects=(cue.id,)
            )
"""
)
