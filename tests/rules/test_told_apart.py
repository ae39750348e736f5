"""A value and the limit that it breaks do not read alike."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.rules.words import conductor_C
from bridgewire.units import amperes, ohms, plain, seconds, significant, told_apart, volts
from tests.rules.show_text import assessed, case_text

WRITERS: dict[Callable[[float, int], str], dict[str, float]] = {
    amperes: {"A": 1.0, "mA": 1e-3},
    seconds: {"s": 1.0, "ms": 1e-3},
    ohms: {"Ω": 1.0},
    volts: {"V": 1.0},
    significant: {"": 1.0},
    plain: {"": 1.0},
}
writers = st.sampled_from(list(WRITERS))
sizes = st.floats(1e-3, 1e4)


def read(text: str, write: Callable[[float, int], str]) -> float:
    number, _, unit = text.partition(" ")
    return float(number) * WRITERS[write][unit]


@given(writers, sizes, st.floats(-0.2, 0.2))
def test_what_differs_by_more_than_a_hundred_thousandth_reads_differently(
    write: Callable[[float, int], str], limit: float, off: float
) -> None:
    value = limit * (1.0 + off)
    said, said_limit = told_apart(write, value, limit=limit)
    if abs(off) > 1.01e-5:
        assert said != said_limit
    assert (read(said, write) < read(said_limit, write)) <= (value < limit)
    assert (read(said, write) > read(said_limit, write)) <= (value > limit)
    assert math.isclose(read(said, write), value, rel_tol=0.00501)
    assert math.isclose(read(said_limit, write), limit, rel_tol=0.00501)


@given(writers, sizes, st.floats(-0.2, 0.2))
def test_no_more_digits_than_it_takes(
    write: Callable[[float, int], str], limit: float, off: float
) -> None:
    value = limit * (1.0 + off)
    said = told_apart(write, value, limit=limit)
    written = {n: (write(value, n), write(limit, n)) for n in range(3, 7)}
    enough = [n for n, (a, b) in written.items() if a != b]
    assert said == written[enough[0] if enough else 3]


def test_each_of_several_values_is_told_from_the_limit_but_not_from_each_other() -> None:
    assert told_apart(volts, 14.2, 14.98, limit=15.0) == ("14.20 V", "14.98 V", "15.00 V")
    assert told_apart(volts, 14.2, 14.2, limit=15.0) == ("14.2 V", "14.2 V", "15.0 V")


def test_a_value_that_is_the_limit_costs_no_digits() -> None:
    assert told_apart(amperes, 2.0, 2.5, limit=2.0) == ("2.00 A", "2.50 A", "2.00 A")
    assert told_apart(amperes, 2.0 * (1 + 1e-9), limit=2.0) == ("2.00 A", "2.00 A")


def test_what_has_no_end_can_be_written() -> None:
    assert told_apart(seconds, math.inf, limit=0.5) == ("never", "0.500 s")


def test_degrees_are_told_apart_by_decimals() -> None:
    assert told_apart(conductor_C, 160.3, limit=160.0) == ("160.3 °C", "160.0 °C")
    assert told_apart(conductor_C, 171.2, limit=160.0) == ("171 °C", "160 °C")


@pytest.mark.parametrize("over", [1.3, 1.0002])
def test_an_output_just_over_its_rating_reads_as_over_it(over: float, tmp_path: Path) -> None:
    """SUP005, which said "carries up to 20.0 A; it may carry 20.0 A"."""
    assessment = assessed(case_text("SUP005/fail_several_in_parallel"), tmp_path)
    rule = [load_rule("SUP005")]
    (found,) = run_rules(Context(assessment), rule)[0]
    assert found.measured is not None
    limit = found.measured / over
    boxes = {
        name: (index, evolve(kind, max_output_A=limit), full)
        for name, (index, kind, full) in assessment.layout.boxes.items()
    }
    nearer = evolve(assessment, layout=evolve(assessment.layout, boxes=boxes))
    (found,) = run_rules(Context(nearer), rule)[0]
    said = re.search(r"carries up to ([\d.]+) A; it may carry ([\d.]+) A", found.message)
    assert said is not None, found.message
    assert float(said[1]) > float(said[2])
