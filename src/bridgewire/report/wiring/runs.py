"""Runs in words: name, length, cable, conductors, resistance; and how each cable spec is drawn."""

from __future__ import annotations

from attrs import frozen

from bridgewire.circuit.elements import Element, shares
from bridgewire.circuit.layout import Layout
from bridgewire.model.kit import PathMap
from bridgewire.model.show import Run
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.report.figures import number
from bridgewire.rules.wiring import run_name
from bridgewire.units import significant

_DASHES = ("", "9 3", "2 3", "9 3 2 3", "15 4", "5 2", "9 3 2 3 2 3", "1 2")
_WIDTHS = (2.6, 1.9, 1.4, 1.1)


@frozen
class CableStyle:
    """How runs of a cable spec are drawn."""

    cable: str
    """Full id of the kit entry."""
    width: float
    dash: str

    @property
    def attributes(self) -> str:
        """As SVG."""
        dashed = f' stroke-dasharray="{self.dash}"' if self.dash else ""
        return f'stroke-width="{self.width}"{dashed}'


def drawn_name(run: Run) -> str:
    """What a run is called in a drawing."""
    return run_name(run, "→")


def cable_id(layout: Layout, index: int) -> str:
    """Full id of a run's cable."""
    ref = layout.show.run[index].cable
    return layout.catalogue.cables.full_id(ref) or ref


def short_id(full: str) -> str:
    """An id without its kit.

    >>> short_id("harrowmere:shore-cable")
    'shore-cable'
    """
    return full.rpartition(":")[2]


def length_text(layout: Layout, index: int) -> str:
    """Length of a run and how many cables lie side by side."""
    run = layout.show.run[index]
    length = layout.run_lengths[index]
    words = "length not known" if length is None else f"{number(length.typical)} m"
    return words if run.parallel == 1 else f"{words}, {run.parallel} in parallel"


def conductors_text(path: PathMap, parallel: int) -> str:
    """Conductors that carry feed and return of one way.

    >>> conductors_text(PathMap("common-return", return_conductors=2), 2)
    '2 feed + 4 return'
    """
    feed, back = shares(path, parallel)
    return f"{feed} feed + {back} return"


def loop_text(elements: tuple[Element, ...]) -> str:
    """Loop resistance of elements in series, as a band."""
    if not elements:
        return "Ω not known"
    low = sum(e.ohm.min for e in elements)
    high = sum(e.ohm.max for e in elements)
    a, b = significant(low), significant(high)
    return f"{a} Ω" if a == b else f"{a}–{b} Ω"


def cable_styles(layout: Layout) -> dict[str, CableStyle]:
    """How each cable spec in use is drawn, by its full id: the less resistance the bolder."""
    used = {cable_id(layout, i): c for i, c in enumerate(layout.run_cables)}

    def resistance(full: str) -> tuple[float, str]:
        per_m = cable_ohm_per_m(used[full])
        return (float("inf") if per_m is None else per_m.typical, full)

    return {
        full: CableStyle(full, _WIDTHS[min(n, len(_WIDTHS) - 1)], _DASHES[n % len(_DASHES)])
        for n, full in enumerate(sorted(used, key=resistance))
    }
