"""The rows of a plan: into how many a site is cut, and which labels stand where."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from bridgewire.report.wiring.drawing import width_of
from bridgewire.report.wiring.label_places import Area, Floats, Placed, Sheet
from bridgewire.report.wiring.plan_labels import LINE, length_words, lines_of, width_of_label
from bridgewire.report.wiring.plan_shape import Shape, shape_of
from bridgewire.report.wiring.site import Bundle, Place, Site

MOST_LINES = 7
MOST_ROWS = 6
_LONGEST = 1.6
"""Height of all rows over the drawing's width, at most; labels are taken as `_LABELS` high."""
_LABELS = 160.0
_AT_EDGE = 90.0
_ROOM = 130.0
"""Above and below the site for labels."""
FAR = 28.0


@frozen
class Tag:
    """The label of a place."""

    place: int
    found: Placed | None
    """None where there is no room for its names."""
    number: Area | None = None
    """Where its number stands instead; None where there is no room for that either."""


@frozen(eq=False)
class Row:
    """A row with its labels; coordinates are the row's own."""

    points: Floats
    shown: tuple[int, ...]
    """Places whose marks are in the row."""
    tags: tuple[Tag, ...]
    curves: tuple[tuple[int, Floats], ...]
    """Bundle and the points of it that are in the row."""
    lengths: tuple[tuple[int, Area | None], ...]
    """Bundle and the area of its length; None where there is no room."""
    top: float
    bottom: float

    @property
    def areas(self) -> list[Area]:
        """All areas with text."""
        names = [t.found.area if t.found else t.number for t in self.tags]
        return [a for a in (*names, *(a for _, a in self.lengths)) if a is not None]


def row_of(
    shape: Shape,
    row: int,
    places: Sequence[Place],
    bundles: Sequence[Bundle],
    width: float,
    names: bool,
) -> Row:
    """Find a place for every label of a row, if there is one."""
    points = shape.points - np.array([shape.left(row), 0.0])
    low, high = 6.0, width - 6.0
    shown = [n for n, (x, _) in enumerate(points.tolist()) if low + 6.0 <= x <= high - 6.0]
    mine = [n for n in shown if shape.row_of(float(shape.points[n, 0])) == row]
    curves: list[tuple[int, Floats]] = []
    for n, curve in enumerate(shape.curves):
        local = curve - np.array([shape.left(row), 0.0])
        inside = (local[:, 0] >= low) & (local[:, 0] <= high)
        if inside.any():
            curves.append((n, local[inside]))
    bounds = Area(low, -_ROOM, high, float(shape.points[:, 1].max()) + _ROOM)
    lines = np.vstack([np.zeros((0, 2)), *(c for _, c in curves)])
    marks = [_mark(*points[n].tolist()) for n in shown]
    sheet = Sheet(bounds, marks, lines)
    order = _hardest(mine, points, places, width)
    tags = {n: _tag(sheet, n, places[n], points[n], names) for n in order}
    lengths = [
        (n, _length(sheet, bundles[n], points_))
        for n, points_ in curves
        if shape.row_of(float(shape.curves[n][len(shape.curves[n]) // 2, 0])) == row
    ]
    made = Row(
        points,
        tuple(shown),
        tuple(tags[n] for n in mine),
        tuple(curves),
        tuple(lengths),
        0.0,
        0.0,
    )
    areas = [*marks, *made.areas]
    ys = [float(c[:, 1].min()) for _, c in curves] + [float(c[:, 1].max()) for _, c in curves]
    top = min([a.top for a in areas] + ys, default=0.0)
    bottom = max([a.bottom for a in areas] + ys, default=0.0)
    return Row(
        made.points, made.shown, made.tags, made.curves, made.lengths, top - 8.0, bottom + 8.0
    )


def _hardest(
    mine: Sequence[int], points: Floats, places: Sequence[Place], width: float
) -> list[int]:
    """Those at an edge first, then those with most to say."""

    def ease(n: int) -> tuple[bool, int, int]:
        return _AT_EDGE < points[n, 0] < width - _AT_EDGE, -len(lines_of(places[n])), n

    return sorted(mine, key=ease)


def _mark(x: float, y: float) -> Area:
    return Area(x - 6.0, y - 6.0, x + 6.0, y + 6.0)


def _tag(sheet: Sheet, n: int, place: Place, at: Floats, names: bool) -> Tag:
    x, y = at.tolist()
    lines = lines_of(place)
    if names and len(lines) <= MOST_LINES:
        found = sheet.around(x, y, width_of_label(place) + 4.0, LINE * len(lines) + 4.0)
        if found is not None:
            return Tag(n, found)
    number = sheet.around(x, y, 30.0, LINE)
    return Tag(n, None, None if number is None else number.area)


def _length(sheet: Sheet, bundle: Bundle, points: Floats) -> Area | None:
    wide = width_of(length_words(bundle), 10) + 3.0
    found = sheet.along(points, wide, 12.0)
    return None if found is None else found.area


@frozen(eq=False)
class Laid:
    """A plan with all its labels placed."""

    shape: Shape
    rows: tuple[Row, ...]

    @property
    def numbered(self) -> list[int]:
        """Places whose names did not find room."""
        return [t.place for r in self.rows for t in r.tags if t.found is None]

    @property
    def without_length(self) -> list[int]:
        """Bundles whose length did not find room."""
        return [n for r in self.rows for n, area in r.lengths if area is None]

    @property
    def trouble(self) -> float:
        """How much is not where the eye looks for it."""
        tags = [t.found for r in self.rows for t in r.tags]
        far = sum(f is not None and f.away > FAR for f in tags)
        return len(self.numbered) + 0.5 * far + 0.25 * len(self.without_length)


def lay(site: Site, width: float, names: bool = True) -> Laid:
    """Place all labels; a wide and shallow site is cut into as many rows as its labels need.

    Parameters
    ----------
    site : Site
        With at least one place.
    width : float
        Drawing units.
    names : bool
        False for numbers in place of names.
    """
    best: Laid | None = None
    for rows in range(1, MOST_ROWS + 1):
        shape = shape_of(site.places, site.bundles, width, rows)
        deep = float(shape.points[:, 1].max())
        if rows > 1 and rows * (deep + _LABELS) > _LONGEST * width:
            break
        laid = Laid(
            shape,
            tuple(
                row_of(shape, n, site.places, site.bundles, width, names) for n in range(shape.rows)
            ),
        )
        if best is None or laid.trouble < 0.75 * best.trouble:
            best = laid
        if laid.trouble <= 0.05 * len(site.places):
            break
    assert best is not None
    return best
