"""The wiring of a show, resolved: which part hangs on which, what sits on which way."""

from __future__ import annotations

from functools import cached_property

from attrs import define, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.diagnostics import DocPath
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, CableSpec, IgniterClass, SplitterKind, StripKind
from bridgewire.model.show import Cue, Igniter, Show
from bridgewire.physics.laws import Models

OutputKey = tuple[str, int]
"""Box id and output number (from 1)."""
WayKey = tuple[str, int, int]
"""Box id, output number and way number (both from 1)."""


@define(eq=False)
class Part:
    """A strip or splitter with the run that feeds it."""

    id: str
    kind: StripKind | SplitterKind
    kind_id: str
    path: DocPath
    first_way: int = 1
    run: int | None = None
    """Index of the run that feeds it, None where it hangs on nothing."""
    parent: Part | None = None
    output: OutputKey | None = None
    depth: int = 0

    @property
    def is_strip(self) -> bool:
        """Whether the part is a strip (else a splitter)."""
        return isinstance(self.kind, StripKind)


@frozen
class PlacedIgniter:
    """An igniter entry of the show on its terminal."""

    index: int
    id: str
    igniter: Igniter
    klass: IgniterClass
    class_id: str
    part: Part
    way: int

    @property
    def path(self) -> DocPath:
        """Where the igniter stands in the show document."""
        return ("igniter", self.index)


@frozen
class ResolvedCue:
    """A cue with its circuit."""

    index: int
    cue: Cue
    way: WayKey | None
    """None where the cue names a box, output or way that does not exist."""
    lights: tuple[int, ...] | None
    """Indexes of the igniters it names, None where it names none."""

    @property
    def path(self) -> DocPath:
        """Where the cue stands in the show document."""
        return ("cue", self.index)


@define(eq=False)
class Layout:
    """A show's wiring, resolved."""

    show: Show
    catalogue: Catalogue
    boxes: dict[str, tuple[int, BoxKind, str]]
    """Box id -> index in the show, kind, kind's full id."""
    parts: dict[str, Part]
    run_lengths: list[Band | None]
    """One-way length of each run, m; None where neither length nor coordinates tell."""
    run_cables: list[CableSpec]
    igniters: list[PlacedIgniter]
    by_way: dict[WayKey, list[PlacedIgniter]]
    strips_on_output: dict[OutputKey, list[Part]]
    cues: list[ResolvedCue]
    igniter_ids: dict[str, int]
    models: Models
    """Models that plugins provide."""

    @cached_property
    def names(self) -> dict[int, str]:
        """Id of each igniter by its index in the show."""
        return {p.index: p.id for p in self.igniters}

    def way_of(self, placed: PlacedIgniter) -> WayKey | None:
        """The way an igniter is on, or None where its strip hangs on no output."""
        if placed.part.output is None:
            return None
        box, output = placed.part.output
        return (box, output, placed.way)
