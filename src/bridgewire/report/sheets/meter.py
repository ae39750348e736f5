"""What a meter should read on every circuit, and how much current it may send."""

from __future__ import annotations

from attrs import frozen

from bridgewire.bench.meter.expected import ExpectedResistance, expected_resistances
from bridgewire.bench.meter.probe import BOX
from bridgewire.circuit.layout import Layout, Part, PlacedIgniter, WayKey
from bridgewire.circuit.mesh import needs_mesh
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.timeline.outcomes import Assessment


@frozen
class MeterRow:
    """One way at one place, before and after firing.

    Attributes
    ----------
    box : str
    output, way : int
    place : str
        ``box``, or the id of a strip.
    igniters : str
        Those that the meter's current passes from this place.
    before_min_ohm, before_max_ohm : float or None
        None where unknown or open.
    before_opens : str
        Whether it reads open: ``yes``, ``no``, ``may``.
    before_why : str
        Why there is no band.
    after_min_ohm, after_max_ohm, after_opens, after_why
        The same after the show.
    test_limit_A : float or None
        Most current that a test may send into a short circuit; None where not known.
    """

    box: str
    output: int
    way: int
    place: str
    igniters: str
    before_min_ohm: float | None
    before_max_ohm: float | None
    before_opens: str
    before_why: str
    after_min_ohm: float | None
    after_max_ohm: float | None
    after_opens: str
    after_why: str
    test_limit_A: float | None


def meter_rows(assessment: Assessment) -> tuple[MeterRow, ...]:
    """List what a meter should read: box by box, way by way, at the box and at every strip.

    Parameters
    ----------
    assessment : Assessment
    """
    layout = assessment.layout
    expected = {(e.way, e.place, e.moment): e for e in expected_resistances(assessment)}
    places = dict.fromkeys((way, place) for way, place, _ in expected)
    order = {box: i for i, box in enumerate(layout.boxes)}
    rows = [
        _row(layout, way, place, expected[way, place, "before"], expected[way, place, "after"])
        for way, place in places
    ]
    return tuple(sorted(rows, key=lambda r: (order[r.box], r.output, r.way)))


def _row(
    layout: Layout,
    way: WayKey,
    place: str,
    before: ExpectedResistance,
    after: ExpectedResistance,
) -> MeterRow:
    return MeterRow(
        *way,
        place,
        ", ".join(p.id for p in igniters_seen(layout, way, place)),
        None if before.band is None else before.band.min,
        None if before.band is None else before.band.max,
        before.reads_open,
        why_unknown(before),
        None if after.band is None else after.band.min,
        None if after.band is None else after.band.max,
        after.reads_open,
        why_unknown(after),
        limit_of_way_A(layout, way),
    )


def igniters_seen(layout: Layout, way: WayKey, place: str) -> tuple[PlacedIgniter, ...]:
    """Igniters of a way that a reading at a place passes through.

    From the box all of them. From a strip with its inlet unplugged those on it and beyond it, or
    on it only where a diode bars the way onward. In a matrix without diodes every way is joined to
    every other, so all of the way's own are named.
    """
    placed = tuple(layout.by_way[way])
    kind = layout.boxes[way[0]][1]
    if place == BOX or needs_mesh(kind, 1):
        return placed
    if kind.path.diode is not None:
        return tuple(p for p in placed if p.part.id == place)
    return tuple(p for p in placed if place in _from_box(p.part))


def _from_box(part: Part) -> set[str]:
    passed: set[str] = set()
    at: Part | None = part
    while at is not None:
        passed.add(at.id)
        at = at.parent
    return passed


def why_unknown(expected: ExpectedResistance) -> str:
    """Why there is no band; empty where there is one or the circuit is open."""
    if expected.band is not None or expected.reads_open == "yes":
        return ""
    lacks = [f"{m.key} of {m.item}" for m in expected.missing]
    if lacks:
        more = f" and {len(lacks) - 2} more" if len(lacks) > 2 else ""
        return f"not known: {', '.join(lacks[:2])}{more}"
    return expected.note or "not known"


def limit_of_way_A(layout: Layout, way: WayKey) -> float | None:
    """Most current that a test may send through a way, A; None where a class does not say.

    The least over its igniters, as if one of them got the whole current.
    """
    limits: list[float] = []
    for placed in layout.by_way[way]:
        if placed.klass.no_fire_A is None:
            return None
        limits.append(float(allowed_test_current_A(placed.klass.no_fire_A)))
    return min(limits)
