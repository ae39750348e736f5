"""Currents through the elements of a path and the voltage they cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import Layout, OutputKey, WayKey
from bridgewire.circuit.supplies import site_ambient, supply_data
from bridgewire.diagnostics import DocPath
from bridgewire.model.band import Band
from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Drop, Load
from bridgewire.timeline.results import FiringResult


def _branches(
    r: FiringResult, currents: Floats, way: WayKey | None
) -> Iterator[tuple[Element, str, float]]:
    """Elements of a firing's branches with their leg and the branch's current."""
    if r.mesh is not None:
        for elements, current in zip(r.mesh.branch_elements, currents, strict=True):
            for element, leg in elements:
                yield element, leg, float(current)
        return
    place = 1
    for circuit in r.component.ways:
        if circuit.key not in r.firing.ways:
            continue
        for node in circuit.nodes:
            if way is None or circuit.key == way:
                for element in node.elements:
                    yield element, "loop", float(currents[place])
            place += 1


def cue_loads(results: tuple[FiringResult, ...], way: WayKey | None) -> tuple[Load, ...]:
    """Highest current at any corner through each element of a cue's way."""
    best: dict[tuple[str, DocPath], Load] = {}
    for r in results:
        for element, leg, current in _branches(r, r.peak_branch_A.max(axis=0), way):
            each = 0.0
            if leg != "return":
                each = current / element.feed_share
            if leg != "feed":
                each = max(each, current / element.return_share)
            _keep_highest(best, Load(element, current, each))
        for element, current in _lead_currents(r, way):
            _keep_highest(best, Load(element, current, current))
    return tuple(best.values())


def _keep_highest(best: dict[tuple[str, DocPath], Load], load: Load) -> None:
    key = (load.element.label, load.element.path)
    if key not in best or load.each_A > best[key].each_A:
        best[key] = load


def _lead_currents(r: FiringResult, way: WayKey | None) -> Iterator[tuple[Element, float]]:
    """Elements of the strings of a way with the highest current of the string at any corner."""
    c = r.component
    peak_A = {
        int(c.bridge_string[bridge]): float(r.peak_A[:, column].max())
        for bridge, column in r.columns.items()
    }
    for circuit, start in zip(c.ways, c.string_start, strict=True):
        if circuit.key in r.firing.ways and way in (None, circuit.key):
            for i, string in enumerate(circuit.strings):
                for element in string.elements:
                    yield element, peak_A[start + i]


def output_peaks(r: FiringResult) -> dict[OutputKey, float]:
    """Highest current of each output in one firing at any corner, A.

    Where ways of one output are on together the peaks of its feed switches are added, which is on
    the high side if they do not fall together.
    """
    outputs = {key[:2] for key in r.firing.ways}
    if len(outputs) == 1:
        return {outputs.pop(): float(r.peak_supply_A.max())}
    peaks = r.peak_branch_A.max(axis=0)
    switches: dict[WayKey, set[int]] = defaultdict(set)
    if r.mesh is None:
        place = 1
        for circuit in r.component.ways:
            if circuit.key in r.firing.ways:
                switches[circuit.key].add(place)
                place += len(circuit.nodes)
    else:
        feeds = [any(e.kind == "switch" for e, _ in row) for row in r.mesh.branch_elements]
        for row, way in r.strings.values():
            on_path = np.flatnonzero(r.mesh.string_path[row] & np.array(feeds)).tolist()
            switches[r.component.ways[way].key].update(on_path)
    found: dict[OutputKey, float] = dict.fromkeys(outputs, 0.0)
    for active in r.firing.active():
        for output in outputs:
            used = set().union(*(switches[key] for key in active if key[:2] == output))
            total = sum(float(peaks[branch]) for branch in used)
            found[output] = max(found[output], total)
    return found


def voltage_drops(layout: Layout, r: FiringResult, bridge: int, diode_V: float) -> tuple[Drop, ...]:
    """Typical voltage lost on the path of a bridge, largest first.

    At its ignition; where it does not light, at the end of its pulse. Nothing where no current
    flows.
    """
    snapshot = r.snapshots.get(bridge)
    if snapshot is None:
        return ()
    volts: dict[tuple[str, DocPath], float] = defaultdict(float)
    c = r.component
    string = int(c.bridge_string[bridge])
    way_place = r.strings[string][1]
    way = c.ways[way_place]
    mine = string - c.string_start[way_place]
    if r.mesh is not None:
        assert snapshot.branch_A is not None
        row = np.abs(snapshot.branch_A)
        path = r.mesh.string_path[r.strings[string][0]]
        for k in np.flatnonzero(path).tolist():
            for element, leg in r.mesh.branch_elements[k]:
                ohm = {"feed": element.feed_ohm, "return": element.return_ohm}.get(leg, element.ohm)
                volts[element.label, element.path] += float(row[k]) * ohm.typical
        own = float(snapshot.string_A[r.strings[string][0]])
        total = float(row[r.mesh.topology.branch_ends[:, 0] == 1].sum())
    else:
        currents = snapshot.string_A
        total = float(currents.sum())
        way_currents = currents[
            [r.strings[c.string_start[way_place] + i][0] for i in range(len(way.strings))]
        ]
        own = float(way_currents[mine])
        node_A = np.zeros(len(way.nodes))
        for i in range(len(way.strings)):
            node_A[way.path_to(i)] += way_currents[i]
        for n in way.path_to(mine):
            for element in way.nodes[n].elements:
                volts[element.label, element.path] += float(node_A[n]) * element.ohm.typical
    for element in way.strings[mine].elements:
        volts[element.label, element.path] += own * element.ohm.typical
    box = r.firing.box
    index = layout.boxes[box][0]
    ambient = site_ambient(layout, layout.show.box[index]) or Band(20.0, 20.0, 20.0)
    data, _ = supply_data(layout, box, ambient)
    if data is not None:
        key = (f"supply of {box}", ("box", index))
        volts[key] += total * data.internal_ohm.typical
    if diode_V:
        volts["diode drop", ("box", index)] += diode_V
    drops = [Drop(label, v, path) for (label, path), v in volts.items() if v > 0.0]
    return tuple(sorted(drops, key=lambda d: -d.volts))
