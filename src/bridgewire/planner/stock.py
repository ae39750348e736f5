"""What the crew has, by kit entry."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import TypeVar

from attrs import frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.problems import Problems
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, CableSpec, SplitterKind, StripKind
from bridgewire.model.plan_site import Stock

T = TypeVar("T")
PLENTY = 10_000
"""Of anything whose stock does not count."""


@frozen
class BoxStock:
    """Boxes alike."""

    item: str
    kind: BoxKind
    count: int
    supply_V: Band | None = None
    charge_pct: Band | None = None
    standby_s: float | None = None


@frozen
class CablePieces:
    """Pieces of cable of one length: drums to cut from, or made-up cables that stay whole."""

    length_m: float
    count: int
    cut: bool


@frozen
class CableStock:
    """Pieces of one kind of cable."""

    item: str
    spec: CableSpec
    pieces: tuple[CablePieces, ...]

    @property
    def drums(self) -> tuple[CablePieces, ...]:
        """What runs are cut from, longest first."""
        return tuple(sorted((p for p in self.pieces if p.cut), key=lambda p: -p.length_m))

    @property
    def whole(self) -> tuple[CablePieces, ...]:
        """What is laid as it is, shortest first."""
        return tuple(sorted((p for p in self.pieces if not p.cut), key=lambda p: p.length_m))

    @property
    def on_drums_m(self) -> float:
        """All that can be cut, m."""
        return sum(p.length_m * p.count for p in self.drums)


@frozen
class Shelf:
    """Everything in stock."""

    boxes: tuple[BoxStock, ...]
    cables: tuple[CableStock, ...]
    strips: tuple[tuple[str, StripKind, int], ...]
    """Full id, kind and count; fewest ways first."""
    splitters: tuple[tuple[str, SplitterKind, int], ...]
    igniters: tuple[tuple[str, int], ...]

    def cable(self, item: str) -> CableStock:
        """The stock of a cable by its full id."""
        return next(c for c in self.cables if c.item == item)


def shelf_of(stock: Sequence[Stock], catalogue: Catalogue, problems: Problems) -> Shelf:
    """Sort the stock; what no kit has, and cable without a length, are problems."""
    boxes: dict[tuple[str, Band | None, Band | None, float | None], int] = defaultdict(int)
    cables: dict[str, dict[tuple[float, bool], int]] = defaultdict(lambda: defaultdict(int))
    counts: dict[str, dict[str, int]] = {k: defaultdict(int) for k in ("strip", "split", "ign")}
    for i, entry in enumerate(stock):
        ref = entry.item
        if (full := catalogue.boxes.full_id(ref)) is not None:
            boxes[full, entry.supply_V, entry.charge_pct, entry.standby_s] += entry.count
        elif (full := catalogue.cables.full_id(ref)) is not None:
            if entry.length_m is None:
                problems.add(
                    "DOC005",
                    ("stock", i),
                    f"nothing says how long the pieces of {ref!r} are",
                    expected='"length_m" of each piece',
                )
            else:
                cables[full][entry.length_m, entry.cut] += entry.count
        elif (full := catalogue.strips.full_id(ref)) is not None:
            counts["strip"][full] += entry.count
        elif (full := catalogue.splitters.full_id(ref)) is not None:
            counts["split"][full] += entry.count
        elif (full := catalogue.igniters.full_id(ref)) is not None:
            counts["ign"][full] += entry.count
        else:
            problems.add(
                "DOC011",
                ("stock", i, "item"),
                f"no kit has a box, cable, strip, splitter or igniter class {ref!r}",
                expected="an entry of one of the site's kits",
                got=repr(ref),
                suggestion=_suggestion(catalogue, ref),
            )
    return Shelf(
        tuple(
            BoxStock(full, _known(catalogue.boxes.get(full)), count, supply, charge, standby)
            for (full, supply, charge, standby), count in boxes.items()
        ),
        tuple(
            CableStock(
                full,
                _known(catalogue.cables.get(full)),
                tuple(CablePieces(m, n, cut) for (m, cut), n in pieces.items()),
            )
            for full, pieces in cables.items()
        ),
        tuple(
            sorted(
                ((k, _known(catalogue.strips.get(k)), n) for k, n in counts["strip"].items()),
                key=lambda s: (s[1].ways, s[0]),
            )
        ),
        tuple(
            sorted(
                ((k, _known(catalogue.splitters.get(k)), n) for k, n in counts["split"].items()),
                key=lambda s: (s[1].outlets, s[0]),
            )
        ),
        tuple(counts["ign"].items()),
    )


def _suggestion(catalogue: Catalogue, ref: str) -> str:
    for table in (catalogue.boxes, catalogue.cables, catalogue.strips, catalogue.splitters):
        found = table.suggestion(ref)
        if found:
            return found
    return catalogue.igniters.suggestion(ref)


def _known(entry: T | None) -> T:
    assert entry is not None
    return entry
