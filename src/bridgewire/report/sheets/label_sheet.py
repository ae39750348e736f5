"""The labels as a sheet of stickers, row by row on the page."""

from __future__ import annotations

from bridgewire.circuit.layout import Layout
from bridgewire.report.plain_text import count
from bridgewire.report.sheets.contents import Label, Section, Sheet
from bridgewire.report.sheets.labels import LabelRow, labels

NAME = "labels"

COLUMNS, ROWS, WIDTH_MM, HEIGHT_MM = 3, 7, 62.0, 34.0
"""Labels across and down a page of either paper, between its head and its foot."""


def label_sheet(layout: Layout, title: str, revision: str) -> Sheet:
    """Make the labels of a show.

    Parameters
    ----------
    layout : Layout
    title, revision : str
        Of the report.
    """
    found = labels(layout, title, revision)
    each = COLUMNS * ROWS
    pages: list[tuple[Label, ...]] = [
        tuple(label for _, label in found[i : i + each]) for i in range(0, len(found), each)
    ]
    return Sheet(
        NAME,
        "Labels",
        (
            f"{count(len(found), 'label')} of {WIDTH_MM:g} mm × {HEIGHT_MM:g} mm, {COLUMNS} across "
            f"and {ROWS} down; they begin on the next page. Print at 100 %, without fitting "
            "to the page, on paper to be cut along the lines or on plain sticker sheets.",
            "A code holds the same words as the label, the show's title and its revision. It holds "
            "no address and opens nothing.",
            "Labels of another revision may name other ends: take them off.",
        ),
        tuple(Section("", labels=page, new_page=True) for page in pages),
        {NAME: (LabelRow, [row for row, _ in found])},
    )
