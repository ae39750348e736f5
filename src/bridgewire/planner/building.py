"""The show that a plan comes to, as plain data."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen

from bridgewire.planner.circuits import Circuit
from bridgewire.planner.electrics import Electrics
from bridgewire.planner.feeds import Group, circuit_of, loads_of, stand_ins
from bridgewire.planner.placing import Placed
from bridgewire.planner.problem import Problem
from bridgewire.planner.ways import Numbered, number_ways
from bridgewire.remedies.plain import plain_item, plain_value

MOST_LETTERS = 110
"""Ids made from others are cut to this."""


@frozen
class Fired:
    """A cue of the plan.

    Attributes
    ----------
    id : str
        In the show.
    cue : int
        Index of the cue that is wanted.
    output : int
        Index among the plan's outputs.
    circuit : Circuit
        That it was judged by.
    pulse_s : float
    """

    id: str
    cue: int
    output: int
    circuit: Circuit
    pulse_s: float


@frozen
class Built:
    """A plan as a show.

    Attributes
    ----------
    data : dict
        Of the show document.
    fired : tuple of Fired
        In the show's order.
    fire : tuple of str
        ``box/output`` of each output.
    """

    data: dict[str, Any]
    fired: tuple[Fired, ...]
    fire: tuple[str, ...]


def build(
    problem: Problem,
    groups: Sequence[Group],
    placed: Sequence[Placed],
    electrics: Electrics,
) -> Built | str:
    """Write a plan as a show.

    Returns
    -------
    Built, or the position at which the strips are too short for the ways
    """
    names = _Names()
    order = _boxes_in_order(problem, placed)
    box_ids = {
        key: names.new(f"{_tail(problem.shelf.boxes[key[0]].item)}-{n}", number=n)
        for n, key in _numbered(problem, order)
    }
    data = _head(problem)
    data["box"] = [_box(problem, key, box_ids[key]) for key in order]
    for table in ("strip", "splitter", "run", "igniter", "cue"):
        data[table] = []
    outputs = [0] * len(placed)
    used: dict[tuple[int, str, int], int] = defaultdict(int)
    for n in sorted(range(len(placed)), key=lambda n: (order.index(placed[n].box), n)):
        used[placed[n].box] += 1
        outputs[n] = used[placed[n].box]
    fire = tuple(f"{box_ids[p.box]}/{outputs[n]}" for n, p in enumerate(placed))
    tracks = _tracks(problem)
    of_cue: dict[int, list[tuple[int, int]]] = defaultdict(list)
    parts: dict[tuple[int, str], str] = {}
    for n in sorted(range(len(placed)), key=lambda n: (order.index(placed[n].box), outputs[n])):
        numbered = _numbers(problem, placed[n], tracks)
        if numbered is None:
            return placed[n].feed.shape.positions[0]
        _add_parts(problem, data, names, placed[n], fire[n], numbered, parts, n)
        for cue, _ in placed[n].cues:
            of_cue[cue].append((n, numbered.way[cue]))
    fired: list[Fired] = []
    cue_names = _Names()
    for cue in sorted(range(len(problem.cues)), key=lambda c: (tracks[c], c)):
        for number, (n, way) in enumerate(of_cue[cue], start=1):
            fired.append(_fired(problem, groups, placed[n], electrics, cue, n, number, cue_names))
            _add_cue(problem, data, fired[-1], f"{fire[n]}/{way}")
            take = next(t for c, t in placed[n].cues if c == cue)
            for position in take.positions:
                _add_igniters(problem, data, cue, position, f"{parts[n, position]}/{way}")
    return Built({k: v for k, v in data.items() if v != []}, tuple(fired), fire)


class _Names:
    """Ids that nothing has yet."""

    def __init__(self) -> None:
        self._used: set[str] = set()

    def new(self, stem: str, number: int = 1, separator: str = "-") -> str:
        name = stem
        while name in self._used:
            number += 1
            name = f"{stem}{separator}{number}"
        self._used.add(name)
        return name


def _tail(full_id: str) -> str:
    return full_id.split(":", 1)[-1][:MOST_LETTERS]


def _boxes_in_order(problem: Problem, placed: Sequence[Placed]) -> list[tuple[int, str, int]]:
    places = list(dict.fromkeys(problem.site.box_places))
    places += [p for p in problem.positions if p not in places]
    keys = {p.box for p in placed}
    return sorted(keys, key=lambda k: (k[0], places.index(k[1]), k[2]))


def _numbered(
    problem: Problem, order: Sequence[tuple[int, str, int]]
) -> list[tuple[int, tuple[int, str, int]]]:
    counts: dict[str, int] = defaultdict(int)
    out = []
    for key in order:
        item = problem.shelf.boxes[key[0]].item
        counts[item] += 1
        out.append((counts[item], key))
    return out


def _head(problem: Problem) -> dict[str, Any]:
    site = problem.site
    data: dict[str, Any] = {"format": 1, "title": site.title, "kits": list(site.kits)}
    for key in ("site", "requirements", "checks", "scatter", "costs", "cutting"):
        plain = plain_item(getattr(site, key))
        if plain:
            data[key] = plain
    data["position"] = [plain_item(p) for p in site.position]
    drums = [
        {
            "id": f"{_tail(cable.item)} {piece.length_m:g} m",
            "cable": cable.item,
            "length_m": _plain(piece.length_m),
            "count": piece.count,
        }
        for cable in problem.shelf.cables
        for piece in cable.drums
    ]
    if len({d["id"] for d in drums}) == len(drums):
        data["drum"] = drums
    return data


def _box(problem: Problem, key: tuple[int, str, int], name: str) -> dict[str, Any]:
    stock = problem.shelf.boxes[key[0]]
    out: dict[str, Any] = {"id": name, "kind": stock.item, "position": key[1]}
    for attribute in ("supply_V", "charge_pct", "standby_s"):
        value = getattr(stock, attribute)
        if value is not None:
            out[attribute] = plain_value(value)
    return out


def _tracks(problem: Problem) -> dict[int, float]:
    """When each cue comes, for the order of ways and cues."""
    return {
        i: c.time_s if c.time_s is not None else (c.effect_at_s or 0.0)
        for i, c in enumerate(problem.cues)
    }


def _numbers(problem: Problem, placed: Placed, tracks: Mapping[int, float]) -> Numbered | None:
    widths = {full: kind.ways for full, kind, _ in problem.shelf.strips}
    room = {p: widths[placed.strips[p]] for p in placed.feed.shape.positions}
    ways = problem.shelf.boxes[placed.feed.shape.box].kind.ways
    return number_ways(placed.cues, room, ways, tracks)


def _add_parts(
    problem: Problem,
    data: dict[str, Any],
    names: _Names,
    placed: Placed,
    fire: str,
    numbered: Numbered,
    parts: dict[tuple[int, str], str],
    n: int,
) -> None:
    shape = placed.feed.shape
    ends: list[str] = []
    if shape.splitter is not None:
        spot = shape.routes[0].end
        name = names.new(f"splitter {spot}"[:MOST_LETTERS], separator=" ")
        data["splitter"].append({"id": name, "kind": shape.splitter, "position": spot})
        ends.append(name)
    for position in shape.positions:
        name = names.new(f"strip {position}"[:MOST_LETTERS], separator=" ")
        parts[n, position] = name
        ends.append(name)
        strip: dict[str, Any] = {"id": name, "kind": placed.strips[position], "position": position}
        if numbered.first_way[position] > 1:
            strip["first_way"] = numbered.first_way[position]
        data["strip"].append(strip)
    for hop, (lay, parent) in enumerate(zip(placed.feed.lays, shape.parents, strict=True)):
        run: dict[str, Any] = {
            "from": fire if parent < 0 else ends[parent],
            "to": ends[hop],
            "cable": lay.cable,
            "length_m": _length(lay.length_m, problem.site.plan.run_tol_pct),
        }
        if lay.joints:
            run["joints"] = lay.joints
            run["joint_contact"] = problem.site.plan.joint_contact
        data["run"].append(run)


def _fired(
    problem: Problem,
    groups: Sequence[Group],
    placed: Placed,
    electrics: Electrics,
    cue: int,
    output: int,
    number: int,
    names: _Names,
) -> Fired:
    take = next(t for c, t in placed.cues if c == cue)
    loads = loads_of(groups[take.group], take.positions)
    circuit = circuit_of(placed.feed, loads, stand_ins(problem, placed.feed.shape))
    pulse_s = electrics.pulse_s(circuit)
    assert pulse_s is not None
    stem = problem.cues[cue].id
    name = names.new(stem if number == 1 else f"{stem[:MOST_LETTERS]} ({number})")
    return Fired(name, cue, output, circuit, pulse_s)


def _add_cue(problem: Problem, data: dict[str, Any], fired: Fired, fire: str) -> None:
    cue = problem.cues[fired.cue]
    out: dict[str, Any] = {"id": fired.id, "fire": fire}
    if cue.time_s is not None:
        out["time_s"] = _plain(cue.time_s)
    else:
        assert cue.effect_at_s is not None
        out["effect_at_s"] = _plain(cue.effect_at_s)
    out["pulse_s"] = _plain(fired.pulse_s)
    loads = [h.load for h in fired.circuit.hops if h.load is not None]
    if any(x.together for x in loads):
        out["together"] = True
    for key in ("latest_light_s", "spread_s"):
        stated = [v for x in loads if (v := getattr(x, key)) is not None]
        if stated:
            out[key] = _plain(min(stated))
    data["cue"].append(out)


def _add_igniters(problem: Problem, data: dict[str, Any], cue: int, position: str, at: str) -> None:
    piece = problem.cues[cue].at(position)
    assert piece is not None
    for lit, part in zip(piece.lit, piece.load.parts, strict=True):
        item = problem.site.wanted[lit.index]
        out: dict[str, Any] = {"id": lit.id, "at": at, "class": part.igniter_class}
        if part.count > 1:
            out["count"] = part.count
        if part.connection is not None:
            out["connection"] = part.connection
        if item.lights:
            out["lights"] = item.lights
        if item.fuse is not None:
            out["fuse"] = plain_item(item.fuse)
        data["igniter"].append(out)


def _length(length_m: float, tol_pct: float) -> Any:
    if not tol_pct:
        return _plain(length_m)
    return {"typical": _plain(length_m), "tol_pct": _plain(tol_pct)}


def _plain(value: float) -> float | int:
    return int(value) if value == int(value) else round(value, 6)
