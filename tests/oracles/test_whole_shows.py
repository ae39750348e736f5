"""Whole shows, from their files to verdicts, against an evaluation that shares nothing with ours.

The shows and their kit were made up for this; they have mixed igniters on a chain, a capacitor,
a cold battery, current limits, and igniters that end at a residual resistance or stay closed.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from tests.agreements import Agreement
from tests.oracles import oracle_or_skip

oracle_or_skip("scipy")

from bridgewire.api import check  # noqa: E402
from bridgewire.timeline.outcomes import CueOutcome, EndState, IgniterOutcome, Verdict  # noqa: E402
from tests.oracles.whole_show import SHOWS, Choose, Reader, ends  # noqa: E402

pytestmark = pytest.mark.oracle

SHOW = Agreement(
    "whole-shows",
    oracle="our own reading of the same files with tomllib, numpy's nodal equations and scipy "
    "`solve_ivp`",
    what="typical light times of six whole shows, and supply voltages as the pulse begins",
    limit=1e-4,
    differences="A check takes long steps on purpose, as above.",
    package="scipy",
)
NAMES = ("chain", "capacitor", "cold-battery", "current-limit", "fold-back", "residual")
ENTRIES = [(n, 2 if n == "cold-battery" else 1) for n in NAMES]


@cache
def cues(name: str) -> dict[int, CueOutcome]:
    """Our outcomes by way."""
    report = check(SHOWS / f"{name}.toml")
    return {c.way[2]: c for c in report.cues if c.way is not None}


def outcome(cue: CueOutcome, igniter: str) -> IgniterOutcome:
    return next(i for i in cue.igniters if i.id == igniter)


@pytest.mark.parametrize(("name", "way"), ENTRIES)
def test_typical_values_agree(name: str, way: int) -> None:
    cue, circuit = cues(name)[way], Reader.of(name).circuit(way)
    assert cue.pulse_s is not None
    light, part, charge = circuit.events(cue.pulse_s)
    ours = [outcome(cue, b.igniter) for b in circuit.bridges]
    SHOW.close([i.light.typical for i in ours], light)
    # Of a string one bridge parts; the others keep their state.
    parted = {b.igniter for b, t in zip(circuit.bridges, part, strict=True) if not math.isnan(t)}
    gone = (EndState.OPEN, EndState.RESIDUAL)
    assert parted <= {i.id for i in ours if i.end_state in gone}
    assert cue.charge_C == pytest.approx(charge, rel=1e-3)
    if name in ("chain", "cold-battery"):  # here the first moment is the lowest
        _, _, volt = circuit.currents(
            np.zeros(len(circuit.bridges)), [False] * len(circuit.bridges), circuit.emf_V
        )
        SHOW.close([cue.lowest_typical_V], [volt])


def at_ends(seed: int) -> Choose:
    """Each value at its low or its high end."""
    rng = np.random.default_rng(seed)
    return lambda _name, low, _middle, high: float(low if rng.random() < 0.5 else high)


@pytest.mark.parametrize(
    ("name", "seed"), [(n, s) for n in ("chain", "current-limit", "residual") for s in range(4)]
)
def test_no_ends_of_the_tolerances_light_outside_the_stated_times(name: str, seed: int) -> None:
    cue, circuit = cues(name)[1], Reader.of(name, at_ends(seed)).circuit(1)
    assert cue.pulse_s is not None
    light, _, _ = circuit.events(cue.pulse_s)
    for bridge, found in zip(circuit.bridges, light, strict=True):
        igniter = outcome(cue, bridge.igniter)
        late = math.inf if math.isnan(found) else found
        assert igniter.light.earliest * (1.0 - 1e-4) <= late
        assert late <= igniter.light.latest * (1.0 + 1e-4), igniter


@pytest.mark.parametrize("name", ["current-limit", "residual"])
def test_a_low_resistance_after_burning_is_reckoned_with(name: str) -> None:
    """All typical, but the match ends nearly shorted: the slow igniter beside it never lights."""

    def choose(name: str, low: float, middle: float, _high: float) -> float:
        return low if name.endswith("after_fire_ohm") else middle

    cue, circuit = cues(name)[1], Reader.of(name, choose).circuit(1)
    assert cue.pulse_s is not None
    light, _, _ = circuit.events(cue.pulse_s)
    slow = [b.igniter for b in circuit.bridges].index("i2")
    assert math.isnan(light[slow])
    assert outcome(cue, "i2").verdict is Verdict.MARGINAL
    assert outcome(cue, "i2").light.latest == math.inf


@pytest.mark.parametrize(("name", "way"), [("chain", 1), ("cold-battery", 2)])
def test_the_lowest_voltage_is_that_of_a_weak_supply_on_a_heavy_load(name: str, way: int) -> None:
    def choose(name: str, low: float, _middle: float, high: float) -> float:
        return high if name == "r" else low

    circuit = Reader.of(name, choose).circuit(way)
    count = len(circuit.bridges)
    _, _, volt = circuit.currents(np.zeros(count), [False] * count, circuit.emf_V)
    SHOW.close([cues(name)[way].lowest_V], [volt])


def test_a_battery_run_down_from_its_least_charge() -> None:
    """An igniter that stays closed takes a battery over the knee of its curve, far from typical."""

    def choose(name: str, low: float, middle: float, _high: float) -> float:
        return low if name in ("charge", "emf") else middle

    reader = Reader.of("run-down", choose)
    first, second = reader.circuit(2), reader.circuit(1)
    pulse_s = {c["id"]: c["pulse_s"] for c in reader.show["cue"]}
    _, _, charge = first.events(pulse_s["w"])
    supply = reader.kit["box"]["knee"]["supply"]
    least_Ah = supply["capacity_Ah"]["min"]
    left_pct = ends(reader.show["box"][0]["charge_pct"])[0] - charge / 36.0 / least_Ah
    low, full, _ = ends(supply["open_circuit_V"])
    emf_V = float(np.interp(left_pct, *reader.charge_curve())) + low - full
    before = cues("run-down")[1].start_V
    assert before is not None
    assert before.worst <= emf_V < before.typical < before.best
    (light,), _, _ = second.events(pulse_s["c"], emf_V)
    igniter = outcome(cues("run-down")[1], "i1")
    assert igniter.light.earliest < light < igniter.light.latest
