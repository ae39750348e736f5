"""What a sheet is made of, whatever it is about and however it is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import AttrsInstance, evolve, field, frozen

from bridgewire.diagnostics import Finding


@frozen
class Column:
    """One column of a grid."""

    heading: str
    width: float = 1.0
    """Its share of the page's width, in comparison with the other columns."""
    right: bool = False
    write: bool = False
    """Left empty, to be written into by hand."""
    optional: bool = False
    """Left out of a grid in which nothing stands in it."""


@frozen
class Grid:
    """A table. Every row has a text for every column that is not to be written into."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    row_mm: float | None = None
    """Least height of a row, where people write; as high as its text where None."""
    heads: tuple[tuple[int, str], ...] = ()
    """Number of a row, and a line that goes over it and those up to the next such line."""

    def __attrs_post_init__(self) -> None:
        filled = sum(not c.write for c in self.columns)
        if any(len(row) != filled for row in self.rows):
            raise ValueError(f"every row has {filled} cells")

    def groups(self) -> list[tuple[str, tuple[tuple[str, ...], ...]]]:
        """Rows that belong together, with the line over them (may be empty)."""
        if not self.heads:
            return [("", self.rows)]
        starts = [n for n, _ in self.heads]
        ends = [*starts[1:], len(self.rows)]
        return [
            (text, self.rows[start:end])
            for (start, text), end in zip(self.heads, ends, strict=True)
        ]

    def without_empty_columns(self) -> Grid:
        """The same without optional columns in which nothing stands."""
        filled = [c for c in self.columns if not c.write]
        empty = {n for n, c in enumerate(filled) if c.optional and not any(r[n] for r in self.rows)}
        gone = {id(filled[n]) for n in empty}
        return evolve(
            self,
            columns=tuple(c for c in self.columns if id(c) not in gone),
            rows=tuple(tuple(t for n, t in enumerate(r) if n not in empty) for r in self.rows),
        )

    @property
    def headed(self) -> bool:
        """Whether any column has a heading."""
        return any(c.heading for c in self.columns)

    def cells(self, row: Sequence[str]) -> list[tuple[Column, str]]:
        """The cells of a row with their columns, those to be written into empty."""
        texts = iter(row)
        return [(c, "" if c.write else next(texts)) for c in self.columns]


@frozen
class Label:
    """A sticker: a heading, lines under it, and the text of its QR code."""

    heading: str
    lines: tuple[str, ...]
    code: str


@frozen
class Section:
    """Part of a sheet."""

    title: str
    lines: tuple[str, ...] = ()
    grids: tuple[Grid, ...] = ()
    alerts: tuple[str, ...] = ()
    """What must be settled first; stands out, before the lines."""
    labels: tuple[Label, ...] = ()
    new_page: bool = False


@frozen
class Sheet:
    """A sheet for the field: what is on it, and the records it was made from."""

    name: str
    """Of its files: ``cut-list``."""
    title: str
    lines: tuple[str, ...]
    sections: tuple[Section, ...]
    records: Mapping[str, tuple[type[AttrsInstance], Sequence[AttrsInstance]]] = field(
        factory=dict, repr=False
    )
    """By name of the CSV file: what one row is, and the rows."""
    cautions: tuple[str, ...] = ()
    """Besides those that every sheet has."""
    alerts: tuple[str, ...] = ()
    """What must be settled first; stands out, before the lines."""
    landscape: bool = False
    findings: tuple[Finding, ...] = ()
