"""Which faults a whole wiring tree may have: made from the show's runs and the kits."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import (
    EXTRA_OHM,
    LENGTH_RANGE,
    METER_LEADS_RANGE,
    OHM_GRID,
    TreeFault,
    log_grid,
)
from bridgewire.bench.meter.swapped_parts import swaps
from bridgewire.circuit.layout import Layout, OutputKey, Part
from bridgewire.model.band import Band
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import resistivity_ohm_m
from bridgewire.physics.network import Floats
from bridgewire.rules.wiring import run_name

LENGTH_POINTS = 40
LEAD_POINTS = 12
"""Points of the grids of lengths and of the resistance of the meter's leads."""
MOST_SWAPS = 120
"""Most swaps of parts that are tried for one tree."""


def tree_faults(bench: MeterBench, output: OutputKey) -> tuple[TreeFault, ...]:
    """Faults that move the readings of many ways of one output together.

    Parameters
    ----------
    bench : MeterBench
    output : OutputKey
    """
    layout = bench.assessment.layout
    leads = np.linspace(*METER_LEADS_RANGE, LEAD_POINTS)
    faults = [
        TreeFault("none", "", ""),
        TreeFault(
            "meter leads",
            "the meter's leads were not taken off",
            "meter",
            leads.size,
            reading_add=leads,
            values=leads,
            value_text="{:.2g} Ω",
        ),
    ]
    parts = [p for p in layout.parts.values() if p.output == output and p.run is not None]
    for part in parts:
        faults += _of_run(layout, part)
    faults += _of_drums(layout, parts)
    for a, b, keep in itertools.islice(swaps(layout, output, parts), MOST_SWAPS):
        text = "are plugged into each other's outputs" if keep else "hang on each other's runs"
        first, second = sorted((a, b), key=lambda p: layout.parts[p].run or 0)
        cause = f"{first} and {second} {text}"
        faults.append(TreeFault("strips swapped", cause, f"{a}, {b}", swap=(a, b), keep_runs=keep))
    return tuple(faults)


def _of_run(layout: Layout, part: Part) -> Iterator[TreeFault]:
    """Faults of the run that leads to a part: its length, its cable, its plugs."""
    assert part.run is not None
    run = layout.show.run[part.run]
    name = run_name(run)
    length = layout.run_lengths[part.run]
    if length is None or length.typical <= 0.0:
        return
    grid = log_grid(*LENGTH_RANGE, LENGTH_POINTS)
    for what, wanted in (("longer", grid[grid > 1.0]), ("shorter", grid[grid < 1.0])):
        yield TreeFault(
            "run length",
            f"run {name} is {what} than the {length.typical:g} m of the show",
            name,
            wanted.size,
            {part.id: wanted},
            values=wanted * length.typical,
            value_text="{:.3g} m",
        )
    own = layout.run_cables[part.run]
    per_m = cable_ohm_per_m(own)
    if per_m is None:
        return
    own_id = layout.catalogue.cables.full_id(run.cable) or run.cable
    for kit, content in layout.catalogue.kits.items():
        for other in content.cable:
            new = cable_ohm_per_m(other)
            enough = other.conductors >= own.conductors
            if new is None or f"{kit}:{other.id}" == own_id or not enough:
                continue
            clad = own.metal == "copper" and other.metal == "copper-clad-aluminium"
            ratios = _ratios(new, per_m.typical)
            yield TreeFault(
                "copper-clad cable" if clad else "other cable",
                f"run {name} is of cable {kit}:{other.id}, not {own_id}",
                name,
                ratios.size,
                {part.id: ratios},
            )
    yield TreeFault(
        "poor plug",
        f"poor contact of all ways in the plugs of run {name} (wet or dirty)",
        name,
        OHM_GRID.size,
        node_add={part.id: OHM_GRID},
        values=OHM_GRID,
        value_text=EXTRA_OHM,
    )


def _ratios(new: Band, own: float) -> Floats:
    """Resistance of another cable over that of the own one, through the other's band."""
    if new.min == new.max:
        return np.array([new.typical / own])
    low, high = (new.min + new.typical) / 2.0, (new.typical + new.max) / 2.0
    return np.array([new.min, low, new.typical, high, new.max]) / own


def clad_ratios() -> Floats:
    """Resistance of copper-clad aluminium over copper of the same size, 15 and 10 % copper by
    volume."""
    copper = float(resistivity_ohm_m("copper"))
    ratios = [
        float(resistivity_ohm_m("copper-clad-aluminium", 20.0, share)) / copper
        for share in (15.0, 10.0)
    ]
    return np.array(ratios)


def _of_drums(layout: Layout, parts: Sequence[Part]) -> Iterator[TreeFault]:
    """Copper cable that is copper-clad aluminium: one run, and all runs of one cable."""
    by_cable: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        assert part.run is not None
        if layout.run_cables[part.run].metal == "copper":
            by_cable[layout.show.run[part.run].cable].append(part)
    ratios = clad_ratios()
    for cable, group in by_cable.items():
        for part in group if len(group) > 1 else []:
            assert part.run is not None
            name = run_name(layout.show.run[part.run])
            yield TreeFault(
                "copper-clad cable",
                f"run {name} is copper-clad aluminium, not copper",
                name,
                ratios.size,
                {part.id: ratios},
            )
        names = ", ".join(p.id for p in group[:4]) + (" …" if len(group) > 4 else "")
        yield TreeFault(
            "copper-clad cable",
            f"all {cable} here is copper-clad aluminium, not copper (runs to {names})",
            cable,
            ratios.size,
            {p.id: ratios for p in group},
        )
