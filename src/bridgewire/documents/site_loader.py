"""Loads plan sites."""

from __future__ import annotations

from pathlib import Path

from bridgewire.documents.opened import Opened
from bridgewire.documents.source import Document
from bridgewire.errors import InputError
from bridgewire.model.plan_site import PlanSite


def load_site(path: Path) -> tuple[PlanSite, Document]:
    """Read a plan site.

    Parameters
    ----------
    path : Path
        A TOML, YAML or JSON file.

    Returns
    -------
    tuple of PlanSite and Document

    Raises
    ------
    InputError
        With every problem found in the file, each with its place; never only the first.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> text = 'format = 1\\ntitle = "Lake"\\nkits = []\\nbox_places = []\\nposition = []\\n'
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "lake.toml")
    ...     _ = file.write_text(text + "wanted = []\\nstock = []")
    ...     load_site(file)[0].title
    'Lake'
    """
    opened = Opened.from_file(path, "site")
    site = opened.structure(PlanSite)
    if site is None or opened.problems:
        raise InputError(opened.findings())
    return site, opened.document()
