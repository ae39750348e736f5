"""Placing labels."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.report.wiring.label_places import Area, Sheet
from tests.report.wiring.shows import overlaps

PAGE = Area(0.0, 0.0, 300.0, 200.0)
NO_LINES = np.zeros((0, 2))


def test_the_nearest_free_side_is_taken() -> None:
    sheet = Sheet(PAGE, [], NO_LINES)
    found = sheet.around(100.0, 100.0, 40.0, 12.0)
    assert found is not None
    assert found.area.left == 109.0  # to the right, 3 away from the mark's edge at 6
    assert not sheet.free(found.area)


def test_lines_are_avoided_where_there_is_room_elsewhere() -> None:
    xs = np.linspace(100.0, 160.0, 40)
    sheet = Sheet(PAGE, [], np.column_stack([xs, np.full(40, 100.0)]))
    found = sheet.around(100.0, 100.0, 40.0, 12.0)
    assert found is not None
    assert sheet.crossings(found.area) == 0


def test_no_room_gives_none() -> None:
    assert Sheet(PAGE, [PAGE], NO_LINES).around(100.0, 100.0, 40.0, 12.0) is None
    assert Sheet(PAGE, [], NO_LINES).around(100.0, 100.0, 400.0, 12.0) is None


def test_a_length_stands_on_its_line_near_the_middle() -> None:
    line = np.column_stack([np.linspace(20.0, 280.0, 66), np.full(66, 50.0)])
    sheet = Sheet(PAGE, [Area(140.0, 40.0, 160.0, 60.0)], line)
    found = sheet.along(line, 30.0, 12.0)
    assert found is not None
    middle = 0.5 * (found.area.left + found.area.right)
    assert 20.0 < abs(middle - 150.0) < 35.0
    assert found.area.top == 44.0


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.floats(0.0, 300.0), st.floats(0.0, 200.0), st.floats(5.0, 120.0), st.floats(5, 60)
        ),
        max_size=25,
    )
)
def test_labels_never_overlap_nor_leave_the_page(
    wanted: list[tuple[float, float, float, float]],
) -> None:
    marks = [Area(x - 2, y - 2, x + 2, y + 2) for x, y, _, _ in wanted]
    sheet = Sheet(PAGE, marks, NO_LINES)
    found = [sheet.around(*w) for w in wanted]
    areas = [f.area for f in found if f is not None]
    assert overlaps(areas) == 0
    assert all(a.within(PAGE) for a in areas)
    assert not any(a.meets(m) for a in areas for m in marks)
