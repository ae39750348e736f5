"""Which faults are possible in a show's wiring: made from the circuit model and the kits."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
from attrs import evolve

from bridgewire.bench.circuits import MeterBench
from bridgewire.bench.faults import (
    LENGTH_RANGE,
    METER_LEADS_RANGE,
    OHM_RANGE,
    OPEN_OHM,
    TreeFault,
    WayFault,
    log_grid,
)
from bridgewire.bench.probe import BOX, Probe
from bridgewire.circuit.layout import Layout, OutputKey, Part, PlacedIgniter, WayKey
from bridgewire.circuit.mesh import needs_mesh
from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import resistivity_ohm_m
from bridgewire.physics.network import Floats

OHM_POINTS = 40
LENGTH_POINTS = 40
LEAD_POINTS = 12
MOST_SWAPS = 120
"""Most swaps of strips with those of one tree that are tried."""
SHORT_S = 1.0 / 0.02


def way_faults(bench: MeterBench, key: WayKey) -> tuple[WayFault, ...]:
    """Faults of one way, each alone.

    Parameters
    ----------
    bench : MeterBench
    key : WayKey
        A way whose circuit is a tree and known.
    """
    probe = bench.probe(key, BOX)
    faults = [WayFault("none", "", "")]
    strings = _strings(bench, key, probe)
    at_terminal: dict[int, list[int]] = defaultdict(list)
    for i, (s, _) in enumerate(strings):
        at_terminal[s].append(i)
    faults += _conductors(probe, strings, bench, key)
    for i, (node, placed) in enumerate(strings):
        alone = len(at_terminal[node]) == 1
        faults += _of_string(bench, probe, i, placed, alone)
    for node, own in at_terminal.items():
        faults.append(_one_more(probe, node, strings[own[0]][1][0]))
    return tuple(faults)


def _strings(bench: MeterBench, key: WayKey, probe: Probe) -> list[tuple[int, list[PlacedIgniter]]]:
    """Terminal node and igniters of each string."""
    owner = bench.builder.way(key).bridge_igniter
    return [(s.node, [bench.placed[owner[b]] for b in s.bridges]) for s in probe.strings]


def _conductors(
    probe: Probe,
    strings: list[tuple[int, list[PlacedIgniter]]],
    bench: MeterBench,
    key: WayKey,
) -> Iterator[WayFault]:
    grid = log_grid(*OHM_RANGE, OHM_POINTS)
    with_strings = {node for node, _ in strings}
    for i, node in enumerate(probe.nodes):
        if i == 0:
            continue
        name = (node.part, node.terminal)
        where = _where(bench, node.part, node.terminal, key)
        single = sum(n == i for n, _ in strings) == 1
        if not (node.terminal and single):
            yield WayFault(
                "conductor open", f"open conductor {where}", node.part, 1, {name: _one(OPEN_OHM)}
            )
            yield WayFault(
                "poor contact",
                f"poor contact {where}",
                node.part,
                grid.size,
                {name: grid},
                values=grid,
                value_text="{:.2g} ohm extra",
            )
        if node.terminal and i in with_strings:
            cause = f"short at terminal {node.part}/{key[2]} or its lead ends"
            yield WayFault("terminal shorted", cause, node.part, 1, node_S={name: _one(SHORT_S)})
        elif not node.terminal:
            cause = f"short between this way's conductors at {node.part}"
            yield WayFault("run shorted", cause, node.part, 1, node_S={name: _one(SHORT_S)})


def _where(bench: MeterBench, part: str, terminal: bool, key: WayKey) -> str:
    if terminal:
        return f"at terminal {part}/{key[2]}"
    run = bench.assessment.layout.parts[part].run
    start = "" if run is None else bench.assessment.layout.show.run[run].from_
    return f"in the run or plugs {start} -> {part}, this way only"


def _one(value: float) -> Floats:
    return np.array([value])


def _of_string(
    bench: MeterBench, probe: Probe, index: int, placed: Sequence[PlacedIgniter], alone: bool
) -> Iterator[WayFault]:
    string = probe.strings[index]
    name = string.bridges
    who = placed[0].id
    grid = log_grid(*OHM_RANGE, OHM_POINTS)
    several = len(placed) > 1
    what = f"the string with {who!r}" if several else repr(who)
    cause = f"{what} is open, or not connected"
    if alone:
        cause += f", at terminal {placed[0].part.id}/{placed[0].way}"
    yield WayFault("igniter open", cause, who, 1, string_add={name: _one(OPEN_OHM)})
    if alone:
        yield WayFault(
            "poor contact",
            f"poor contact, or extra lead, at terminal {placed[0].part.id}/{placed[0].way} or "
            f"in {what}",
            who,
            grid.size,
            string_add={name: grid},
            values=grid,
            value_text="{:.2g} ohm extra",
        )
    else:
        yield WayFault(
            "extra lead",
            f"extra lead or poor joint in {what}",
            who,
            grid.size,
            string_add={name: grid},
            values=grid,
            value_text="{:.2g} ohm extra",
        )
    seen: set[int] = set()
    for p in placed:
        if p.index in seen:
            continue
        seen.add(p.index)
        old = whole_ohm(p.klass)
        if old is None:
            continue
        count = sum(q.index == p.index for q in placed)
        if several:
            yield WayFault(
                "igniter shorted",
                f"one igniter of {p.id!r} is shorted, or left out of its string",
                p.id,
                1,
                string_add={name: _one(-old.typical)},
            )
            yield WayFault(
                "one more",
                f"one igniter more in the string of {p.id!r}",
                p.id,
                1,
                string_add={name: _one(old.typical)},
                string_sd=_sd(old),
            )
        for title, new in other_classes(bench.assessment.layout, p):
            step = new.typical - old.typical
            sd = _sd(new)
            yield WayFault(
                "wrong class",
                f"{p.id!r} is of class {title}, not {p.class_id}"
                if count == 1
                else f"one of {p.id!r} is of class {title}, not {p.class_id}",
                p.id,
                1,
                string_add={name: _one(step)},
                string_sd=sd,
            )
            if count > 1:
                yield WayFault(
                    "wrong class",
                    f"all {count} of {p.id!r} are of class {title}, not {p.class_id}",
                    p.id,
                    1,
                    string_add={name: _one(count * step)},
                    string_sd=sd * count**0.5,
                )


def _one_more(probe: Probe, node: int, p: PlacedIgniter) -> WayFault:
    band = whole_ohm(p.klass)
    assert band is not None
    name = (probe.nodes[node].part, True)
    return WayFault(
        "one more",
        f"one igniter more in parallel at terminal {p.part.id}/{p.way}",
        p.part.id,
        1,
        node_S={name: _one(1.0 / band.typical)},
    )


def whole_ohm(klass: IgniterClass) -> Band | None:
    """Bridge and own leads of one igniter."""
    if klass.bridge_ohm is None or klass.lead_ohm is None:
        return None
    return klass.bridge_ohm.plus(klass.lead_ohm)


def other_classes(layout: Layout, p: PlacedIgniter) -> list[tuple[str, Band]]:
    """Classes of the show's kits with another resistance; those alike are one entry."""
    own = whole_ohm(p.klass)
    groups: list[tuple[list[str], Band]] = []
    for kit, content in layout.catalogue.kits.items():
        for klass in content.igniter_class:
            band = whole_ohm(klass)
            full = f"{kit}:{klass.id}"
            if band is None or own is None or full == p.class_id or band == own:
                continue
            same = next((g for g in groups if g[1] == band), None)
            if same is None:
                groups.append(([full], band))
            else:
                same[0].append(full)
    return [(" or ".join(names), band) for names, band in groups]


def _sd(band: Band, sigmas: float = 3.0) -> float:
    return (band.max - band.min) / (2.0 * sigmas)


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
            value_text="{:.2g} ohm",
        ),
    ]
    parts = [p for p in layout.parts.values() if p.output == output and p.run is not None]
    for part in parts:
        faults += _of_run(layout, part)
    faults += _of_drums(layout, parts)
    for a, b, keep in itertools.islice(_swaps(layout, output, parts), MOST_SWAPS):
        text = "are plugged into each other's outputs" if keep else "hang on each other's runs"
        first, second = sorted((a, b), key=lambda p: layout.parts[p].run or 0)
        cause = f"{first} and {second} {text}"
        faults.append(TreeFault("strips swapped", cause, f"{a}, {b}", swap=(a, b), keep_runs=keep))
    return tuple(faults)


def _of_run(layout: Layout, part: Part) -> Iterator[TreeFault]:
    assert part.run is not None
    run = layout.show.run[part.run]
    name = run.id or f"{run.from_} -> {run.to}"
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
            value_text="{:.0f} m",
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
    grid = log_grid(*OHM_RANGE, OHM_POINTS)
    yield TreeFault(
        "poor plug",
        f"poor contact of all ways in the plugs of run {name} (wet or dirty)",
        name,
        grid.size,
        node_add={part.id: grid},
        values=grid,
        value_text="{:.2g} ohm extra",
    )


def _ratios(new: Band, own: float) -> Floats:
    """Resistance of another cable over that of the own one, through the other's band."""
    if new.min == new.max:
        return np.array([new.typical / own])
    low, high = (new.min + new.typical) / 2.0, (new.typical + new.max) / 2.0
    return np.array([new.min, low, new.typical, high, new.max]) / own


def clad_ratios() -> Floats:
    """Resistance of copper-clad aluminium over copper of the same size, 15 and 10 % copper."""
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
            run = layout.show.run[part.run]
            name = run.id or f"{run.from_} -> {run.to}"
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


def _swaps(
    layout: Layout, output: OutputKey, parts: Sequence[Part]
) -> Iterator[tuple[str, str, bool]]:
    """Pairs of strips of an output, and its first part with those of other outputs.

    Of other outputs in two ways: with their own runs (the plugs at the boxes are swapped), or on
    each other's runs (the far ends are) where the runs differ.
    """
    strips = [p for p in parts if p.is_strip]
    for a, b in itertools.combinations(strips, 2):
        if a not in _line(b) and b not in _line(a):
            yield a.id, b.id, False
    mine = next((p for p in parts if p.parent is None), None)
    if mine is None:
        return
    kind = layout.boxes[output[0]][1]
    for other in layout.parts.values():
        if other.parent is None and other.output is not None and other.output != output:
            there = layout.boxes[other.output[0]][1]
            if there.path == kind.path and not needs_mesh(there, 1):
                yield mine.id, other.id, True
                if _run_of(layout, mine) != _run_of(layout, other):
                    yield mine.id, other.id, False


def _run_of(layout: Layout, part: Part) -> tuple[object, ...]:
    """What a run adds to a circuit."""
    if part.run is None:
        return ()
    run = layout.show.run[part.run]
    return layout.run_lengths[part.run], layout.run_cables[part.run], run.parallel, run.joints


def _line(part: Part) -> list[Part]:
    found = [part]
    while found[-1].parent is not None and len(found) < 1000:
        found.append(found[-1].parent)
    return found


def swapped(layout: Layout, a: str, b: str, *, keep_runs: bool = False) -> Layout:
    """The same show with two parts in each other's places.

    Each is on the other's run; or, with `keep_runs`, on the other's output with its own run.
    """
    parts = {
        p.id: Part(p.id, p.kind, p.kind_id, p.path, p.first_way, p.run, None, None, p.depth)
        for p in layout.parts.values()
    }
    change = {a: b, b: a}
    for old in layout.parts.values():
        place = layout.parts[change.get(old.id, old.id)]
        part = parts[old.id]
        part.run = old.run if keep_runs else place.run
        if place.parent is not None:
            part.parent = parts[place.parent.id]
        else:
            part.output = place.output

    def settle(part: Part) -> None:
        if part.parent is not None:
            settle(part.parent)
            part.output, part.depth = part.parent.output, part.parent.depth + 1
        else:
            part.depth = 0

    by_way: dict[WayKey, list[PlacedIgniter]] = defaultdict(list)
    igniters = [evolve(p, part=parts[p.part.id]) for p in layout.igniters]
    on_output: dict[OutputKey, list[Part]] = defaultdict(list)
    for part in parts.values():
        settle(part)
        if part.output is not None and part.is_strip:
            on_output[part.output].append(part)
    for p in igniters:
        if p.part.output is not None:
            by_way[(*p.part.output, p.way)].append(p)
    return evolve(
        layout,
        parts=parts,
        igniters=igniters,
        by_way=dict(by_way),
        strips_on_output=dict(on_output),
    )
