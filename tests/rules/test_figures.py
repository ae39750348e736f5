"""Figures that rules report, against sums done by hand."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from bridgewire.rules.context import Context
from bridgewire.rules.continuity import largest_share
from bridgewire.timeline.charge import load_S
from bridgewire.timeline.corners import TYPICAL_ROW
from bridgewire.timeline.loads import output_peaks
from tests.rules.show_text import assessed, case_text, findings


def test_way_resistance_is_the_sum_of_its_parts(tmp_path: Path) -> None:
    """10 m of `eight`, one pair, one match: switch, plugs, strip, clamps, lead and bridge."""
    context = Context(assessed(case_text("SAF001/pass_small_test_current"), tmp_path))
    circuit = context.circuit(("a", 1, 1))
    # Both legs: output contact and inlet contact (bench:plug, yard:plug alike), strip, clamp.
    contacts = [2 * (r + r) for r in (0.004, 0.01, 0.03)]
    inner = [2 * r for r in (0.005, 0.01, 0.02)]
    clamp = [2 * r for r in (0.002, 0.008, 0.04)]
    typical_line = 2 * 10 * 0.0842
    typical = 0.05 + contacts[1] + inner[1] + clamp[1] + typical_line + 0.2 + 1.5
    # The line is computed at 15 °C ambient, 2 % below its resistance at 20 °C.
    assert 1.0 / load_S(circuit) == pytest.approx(typical - typical_line * 0.00393 * 5, rel=1e-3)
    assert 1.0 / load_S(circuit, 0) < 1.0 / load_S(circuit) < 1.0 / load_S(circuit, 2)
    assert load_S(circuit, 1, without=0) == 0.0


def test_equal_igniters_on_one_terminal_share_alike(tmp_path: Path) -> None:
    context = Context(assessed(case_text("SAF002/fail_three_in_parallel"), tmp_path))
    circuit = context.circuit(("a", 1, 1))
    # One match at its least (1.4 + 0.1 ohm), two at their most (1.7 + 0.3 ohm).
    expected = (1 / 1.5) / (1 / 1.5 + 2 / 2.0)
    assert largest_share(circuit, circuit.bridge_igniter[0]) == pytest.approx(expected)


def test_no_share_is_told_of_an_igniter_that_may_get_all(tmp_path: Path) -> None:
    """Through sneak paths the one igniter seen may be alone: SAF002 then has no part to state."""
    (found,) = findings(case_text("SAF002/fail_sneak_paths"), "SAF002", tmp_path)
    assert "through 'm' alone; class 'bench:match'" in found.message


def test_an_igniter_down_the_line_gets_a_smaller_share(tmp_path: Path) -> None:
    context = Context(assessed(case_text("SAF002/fail_on_two_strips"), tmp_path))
    circuit = context.circuit(("a", 1, 1))
    near, far = (largest_share(circuit, i) for i in sorted(set(circuit.bridge_igniter)))
    assert far < near < 1.0


EXTRA_WAY = """
[[igniter]]
at = "s1/4"
class = "bench:slow"

[[cue]]
id = "three"
fire = "a/1/4"
time_s = 10
pulse_s = 0.02
"""


@pytest.mark.parametrize("kind", ["cell", "bank", "grid-diodes"])
def test_output_currents_add_up_to_the_supply(kind: str, tmp_path: Path) -> None:
    """Two outputs alike, on at once: each has half of the supply's current."""
    text = case_text("SUP005/pass_two_outputs_together").replace("yard:small", f"yard:{kind}")
    (result,) = assessed(text.replace("pulse_s = 2", "pulse_s = 0.02"), tmp_path).simulation.results
    peaks = output_peaks(result)
    assert set(peaks) == {("a", 1), ("a", 2)}
    assert peaks["a", 1] == pytest.approx(peaks["a", 2], rel=1e-6)
    assert 0.5 * float(result.peak_supply_A.max()) == pytest.approx(peaks["a", 1], rel=0.15)


@pytest.mark.parametrize("kind", ["cell", "grid-diodes"], ids=["trees", "mesh"])
def test_ways_of_one_output_are_added(kind: str, tmp_path: Path) -> None:
    text = case_text("SUP005/pass_two_outputs_together").replace("yard:small", f"yard:{kind}")
    text = text.replace("pulse_s = 2", "pulse_s = 0.02") + EXTRA_WAY
    assessment = assessed(text, tmp_path)
    (result,) = assessment.simulation.results
    assert result.firing.meshed == (kind == "grid-diodes")
    peaks = output_peaks(result)
    assert 1.5 * peaks["a", 2] < peaks["a", 1] < 2.5 * peaks["a", 2]
    typical = float(result.peak_supply_A[TYPICAL_ROW])
    assert peaks["a", 1] + peaks["a", 2] == pytest.approx(typical, rel=0.25)


def test_no_pulse_is_enough_where_the_data_promise_no_ignition(tmp_path: Path) -> None:
    """A data-sheet class below its all-fire current: a longer pulse is no remedy."""
    text = (
        case_text("FIR001/fail_too_thin_a_cable")
        .replace("bench:slow", "gaps:sheet-only")
        .replace('"bench"', '"bench", "gaps"')
        .replace("length_m = 40", "length_m = 38")
        .replace("pulse_s = 4", "pulse_s = 0.02")
    )
    (cue,) = assessed(text, tmp_path).cues
    assert cue.meant[0].worst_A is not None
    assert cue.meant[0].worst_A < 0.5
    assert cue.needed_pulse_s == float("inf")
    assert findings(text, "FIR007", tmp_path) == ()


def test_outcomes_say_where_voltage_is_lost(tmp_path: Path) -> None:
    (cue,) = assessed(case_text("FIR001/fail_too_thin_a_cable"), tmp_path).cues
    (igniter,) = cue.meant
    assert igniter.drops[0].label == "run a/1 -> s1"
    assert igniter.peak_rise is not None
    assert 0.0 < igniter.peak_rise < 1.0


def test_spent_igniters_are_no_strays(tmp_path: Path) -> None:
    """A retry drives current through what the first cue has lit; that is no unintended light."""
    text = case_text("FIR010/fail_near_one_stays_closed")
    retry = assessed(text, tmp_path).cues[1]
    assert retry.meant[0].loaded_by == ("k",)
    assert all(stray.lit_before for stray in retry.strays)
    for code in ("SAF003", "SAF004", "SAF005"):
        found = findings(text, code, tmp_path)
        assert all(f.subjects[0] == "one" for f in found), found


@pytest.mark.parametrize(("pulse_s", "length_m"), [(1.0, 40), (4.0, 40), (9.0, 20), (9.0, 21)])
def test_the_rise_of_what_does_not_light_is_that_of_the_heat_equation(
    pulse_s: float, length_m: int, tmp_path: Path
) -> None:
    """One igniter alone: x = (I/I0)² (1 - e^(-t/τ)), I0 and τ by hand from the kit at 15 °C."""
    text = (
        case_text("FIR001/fail_too_thin_a_cable")
        .replace("pulse_s = 4", f"pulse_s = {pulse_s}")
        .replace("length_m = 40", f"length_m = {length_m}")
    )
    (igniter,) = assessed(text, tmp_path).cues[0].meant
    (found,) = findings(text, "FIR001", tmp_path)
    # L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961): I0² = γ θ / R0, τ = C / γ.
    threshold_A, tau_s = math.sqrt(0.002 * 685 / 1.7), 0.006 / 0.002
    assert igniter.terminal_A is not None
    rise = (igniter.terminal_A / threshold_A) ** 2 * (1 - math.exp(-pulse_s / tau_s))
    assert rise < 1.0
    match = re.search(
        r"it reaches (\d+) % of the temperature rise it needs with (\S+) A in a pulse of (\S+) s "
        r"\(margin (\S+); 1 is needed\)$",
        found.message,
    )
    assert match is not None
    assert float(match[1]) == pytest.approx(100 * rise, abs=0.55)
    assert float(match[2]) == pytest.approx(igniter.terminal_A, abs=0.006)
    assert float(match[3]) == pulse_s
    assert float(match[4]) == pytest.approx(math.sqrt(rise), abs=0.006)
    worst, next_worst = (d.label for d in igniter.drops[:2])
    assert found.remedy is not None
    assert found.remedy.endswith(f"most voltage is lost in {worst} and {next_worst}")
