"""Random small shows: chains and splitters of igniters on supplies of every kind."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Literal, TypeAlias

import numpy as np
from attrs import evolve

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.model.band import Band
from bridgewire.model.kit import CapacitorSupply, CurrentLimit, IgniterClass, RegulatedSupply
from bridgewire.model.show import Box, Cue, Igniter, Repeat, Run, Show, Site, Splitter, Strip
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment
from tests.behaviours.bench import CABLE, MATCH, SLOW, bench
from tests.behaviours.bench import catalogue as shipped

Connection: TypeAlias = Literal["series", "parallel"]
SUPPLIES = ("battery", "constant-current", "fold-back", "capacitor")

LITTLE = (8, 12, 30, 40, 100, 150, 200, 400)
"""Microfarads of boxes that one pulse takes much of the charge from."""


@cache
def catalogue() -> Catalogue:
    """The shipped kits with a fold-back box and some classes that the shipped ones lack."""
    kits = shipped().kits
    generic = kits["generic"]
    boxes = {b.id: b for b in generic.box}
    steady = boxes["constant-current"]
    assert isinstance(steady.supply, RegulatedSupply)
    fold = evolve(
        steady,
        id="fold-back",
        max_strips=None,
        supply=evolve(
            steady.supply,
            open_circuit_V=Band(22.8, 24.0, 25.2),
            limit=CurrentLimit("fold-back", Band(5.0, 5.5, 6.0), Band(1.0, 1.2, 1.5)),
        ),
    )
    classes = {c.id: c for c in generic.igniter_class}
    match, slow = classes["electric-match"], classes["clip-on-short"]
    even: dict[str, Band] = {
        "bridge_ohm": Band(1.42, 1.5, 1.58),
        "threshold_A": Band(0.31, 0.32, 0.33),
        "tau_s": Band(0.0042, 0.0045, 0.0048),
        "burn_open": Band(1.8, 2.2, 3.0),
    }
    capacitor = boxes["capacitor-discharge"]
    assert isinstance(capacitor.supply, CapacitorSupply)
    little = [
        evolve(
            capacitor,
            id=f"capacitor-{micro}",
            supply=evolve(
                capacitor.supply,
                capacitance_F=Band(0.5e-6 * micro, 1e-6 * micro, 1.5e-6 * micro),
                recharge_s=Band(0.05, 0.06, 0.07),
            ),
        )
        for micro in LITTLE
    ]
    more: list[IgniterClass] = [
        evolve(match, id="even", **even),  # type: ignore[arg-type]
        evolve(
            match,
            id="shorting",
            after_fire="shorted",
            after_fire_ohm=Band(0.2, 0.3, 0.4),
            **even,  # type: ignore[arg-type]
        ),
        evolve(
            match,
            id="residual",
            after_fire="residual",
            after_fire_ohm=Band(10.0, 12.0, 15.0),
            **even,  # type: ignore[arg-type]
        ),
        # Little current parts neither; much parts the first before it lights the other.
        evolve(
            match,
            id="sudden",
            threshold_A=Band(0.50, 0.52, 0.54),
            tau_s=Band(0.0009, 0.001, 0.0011),
            burn_open=Band(1.2, 1.3, 1.4),
        ),
        evolve(
            match,
            id="steady",
            threshold_A=Band(0.19, 0.2, 0.21),
            tau_s=Band(0.045, 0.05, 0.055),
        ),
        evolve(slow, id="rising", alpha_per_K=0.002),
        evolve(slow, id="falling", alpha_per_K=-0.0003),
    ]
    own = evolve(
        generic,
        box=(*(evolve(b, max_strips=None) for b in generic.box), fold, *little),
        igniter_class=(*generic.igniter_class, *more),
    )
    return Catalogue({**kits, "generic": own})


QUICK = ("electric-match", "even", "even", "shorting", "residual", "bridge-a", "bridge-u")
LONG = ("clip-on-short", "clip-on-short", "rising", "falling", "clip-on-long")


def random_show(seed: int) -> tuple[str, Assessment]:
    """One random show; its name says what is in it."""
    rng = np.random.default_rng(seed)
    supply = SUPPLIES[int(rng.integers(0, 4))]
    long = supply != "capacitor" and rng.random() < 0.5
    classes = LONG if long else QUICK
    pulse_s = float(rng.choice([0.5, 1.5, 3.0] if long else [0.003, 0.01, 0.05]))
    count = int(rng.integers(1, 5))
    names = [f"s{n}" for n in range(count)]
    hub = count > 1 and rng.random() < 0.4
    two = supply in ("constant-current", "fold-back") and count > 1 and rng.random() < 0.3
    runs, free = [], ["box/1"]
    if hub:
        runs.append(("box/1", "hub", float(rng.uniform(1, 20))))
        free = ["hub"] * 4
    for name in names:
        start = free.pop(int(rng.integers(0, len(free))))
        if two and name == names[-1]:
            start = "box/2"
        runs.append((start, name, float(rng.uniform(2, 30))))
        free.append(name)
    box_id = {"battery": "battery-matrix", "capacitor": "capacitor-discharge"}.get(supply, supply)
    box = f"generic:{box_id}"
    klass = str(rng.choice(classes))
    mixed = rng.random() < 0.3
    igniters = []
    for name in names:
        mine = str(rng.choice(classes)) if mixed else klass
        many = int(rng.integers(1, 4)) if rng.random() < 0.5 else 1
        how: Connection | None = None
        if many > 1:
            how = "series" if rng.random() < 0.5 else "parallel"
        igniters.append(
            Igniter(f"{name}/1", f"generic:{mine}", id=name, count=many, connection=how)
        )
    repeat = Repeat(2, float(rng.choice([0.02, 0.3]))) if rng.random() < 0.25 else None
    cues = [Cue("c", fire="box/1/1", time_s=0.0, pulse_s=pulse_s, repeat=repeat)]
    if two:
        late = float(rng.uniform(0.0, 0.8)) * pulse_s
        cues.append(Cue("d", fire="box/2/1", time_s=late, pulse_s=pulse_s))
    volts = Band(20.3, 20.8, 21.3) if supply == "battery" else None
    assessment = small_show(
        runs, igniters, cues, box, splitters=("hub",) if hub else (), supply_V=volts
    )
    label = f"{seed}-{supply}-{'mixed' if mixed else klass}"
    return label + ("-repeat" if repeat else "") + ("-two" if two else ""), assessment


def small_show(
    runs: Sequence[tuple[str, str, float]],
    igniters: Sequence[Igniter],
    cues: Sequence[Cue],
    box: str,
    *,
    splitters: Sequence[str] = (),
    supply_V: Band | None = None,
) -> Assessment:
    """Assess one box with strips and splitters at the ends of runs."""
    ends = [end for _, end, _ in runs]
    show = Show(
        format=1,
        title="random",
        kits=("generic", "harrowmere"),
        site=Site(ambient_C=Band(10.0, 15.0, 20.0)),
        box=(Box("box", box, supply_V=supply_V),),
        strip=tuple(Strip(n, "generic:strip-8") for n in ends if n not in splitters),
        splitter=tuple(Splitter(n, "generic:splitter-1-to-4") for n in splitters),
        run=tuple(Run(a, b, CABLE, length_m=Band(0.9 * m, m, 1.1 * m)) for a, b, m in runs),
        igniter=tuple(igniters),
        cue=tuple(cues),
    )
    layout, problems = resolve(show, catalogue())
    assert layout is not None, problems
    return assess(layout)


def ladders(seed: int, only: int | None = None) -> list[tuple[str, Assessment]]:
    """Chains and splitters on the generic battery box, two dozen for each seed."""
    found: list[tuple[str, Assessment]] = []
    rng = np.random.default_rng(seed)
    for n in range(24):
        klass = SLOW if n % 2 else MATCH
        pulse = 3.0 if klass == SLOW else 0.05
        count = int(rng.integers(1, 5))
        names = [f"s{i}" for i in range(count)]
        runs, free = [], ["box/1"]
        hub = count > 1 and rng.random() < 0.5
        if hub:
            runs.append(("box/1", "hub", float(rng.uniform(1, 20))))
            free = ["hub"] * 4
        for name in names:
            start = free.pop(int(rng.integers(0, len(free))))
            runs.append((start, name, float(rng.uniform(2, 30))))
            free.append(name)
        igniters = [
            Igniter(
                f"{s}/1",
                klass,
                id=s,
                count=(k := int(rng.integers(1, 3))),
                connection=("series" if rng.random() < 0.4 else "parallel") if k > 1 else None,
            )
            for s in names
        ]
        if only is not None and n != only:
            continue
        cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=pulse)
        splitters = ["hub"] if hub else []
        show = bench(names, runs, [cue], igniters=igniters, splitters=splitters)
        found.append((f"net{n}", show))
    return found
