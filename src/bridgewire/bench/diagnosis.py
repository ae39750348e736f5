"""Why readings are off: causes ranked by likelihood, tree by tree, from the circuit model.

For each wiring tree: at most one fault of the whole tree (cable, length, swapped strips, meter
leads), and at most one fault of its own on every way. All readings of the tree are weighed
together, so a fault that moves many ways is found in all of them.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from attrs import define, field, frozen

from bridgewire.bench.circuits import MeterBench
from bridgewire.bench.faults import WEIGHTS, TreeFault, WayFault
from bridgewire.bench.hypotheses import swapped, tree_faults, way_faults
from bridgewire.bench.likelihood import Observation, TreePoints, WayModel
from bridgewire.bench.probe import BOX, is_mesh, strips_of_way
from bridgewire.circuit.layout import OutputKey, WayKey
from bridgewire.physics.network import Floats, Ints

LOOKED_AT_CLOSELY = 12
"""Tree points, the likeliest, that are tried together with every fault of a way."""
TIE = 3.0
"""Causes that fit the readings equally well within this factor, each at its best, are not told
apart by them (common practice, no source)."""
SEPARATED = 3.0
"""A measurement tells two causes apart if its predictions differ by so many standard deviations
(common practice, no source)."""
OUT_OF_LINE = 0.9
"""A circuit in its band is named if a fault of its own is likelier than this, given one of its
tree (common practice, no source)."""
SHOWN = 6
"""Most causes of one circuit."""
LEAST_SHARE = 0.01
NO_FAULT = "no fault: tolerances and the meter's error together"
OTHER_CAUSE = "something else: no single fault in the list gives this reading"


@frozen
class Cause:
    """One possible cause of a circuit's readings."""

    kind: str
    """Of `bridgewire.bench.faults.FaultKind`."""
    text: str
    subject: str
    share: float
    """Its probability, 0 to 1, if the list of causes is complete and the priors hold."""
    rank: int
    """From 1; causes that the readings cannot tell apart have the same."""
    value: str = ""
    """Its free value, e.g. ``1.4 ohm extra``."""


@frozen
class NextMeasurement:
    """What to measure to tell the likeliest causes apart."""

    way: WayKey | None
    place: str
    """``box`` or a strip; or, where no circuit tells the causes apart, what to look at by itself:
    ``igniter`` or ``run`` (then `way` is None)."""
    first_ohm: float
    """What to expect if the first cause holds; ``inf`` for an open circuit."""
    second_ohm: float


@frozen
class Diagnosis:
    """Causes of one circuit's readings, likeliest first."""

    way: WayKey
    causes: tuple[Cause, ...]
    not_told_apart: bool = False
    """Whether the two likeliest causes have the same rank."""
    next: NextMeasurement | None = None
    note: str = ""
    """Why there is no diagnosis."""
    own: float = 0.0
    """Probability of a fault of this circuit alone, beside any of the whole tree."""


_Key = tuple[str, int]


@define
class _Sum:
    share: float = 0.0
    value: float = 0.0
    best: float = -math.inf
    where: tuple[int, int] = (0, 0)
    """Tree point and way point at which it is likeliest."""


@define(eq=False)
class _Tree:
    """The readings of one wiring tree and every fault that may explain them."""

    bench: MeterBench
    output: OutputKey
    seen: dict[WayKey, tuple[Observation, ...]]
    faults: list[TreeFault] = field(factory=list)
    models: dict[WayKey, WayModel] = field(factory=dict)
    ways: dict[WayKey, tuple[WayFault, ...]] = field(factory=dict)
    others: dict[int, dict[WayKey, WayModel]] = field(factory=dict)

    def __attrs_post_init__(self) -> None:
        for key, seen in self.seen.items():
            self.models[key] = WayModel(self.bench, key, seen)
            self.ways[key] = way_faults(self.bench, key)
        at_box = any(o.place == BOX for seen in self.seen.values() for o in seen)
        passed = {
            view.probe.nodes[i].part
            for model in self.models.values()
            for view in model.views
            for i in np.flatnonzero(view.cable > 0.0).tolist()
        }
        for fault in tree_faults(self.bench, self.output):
            if fault.swap is None:
                # A fault of runs that no reading passes cannot be why a reading is off.
                touched = {*fault.cable_scale, *fault.node_add}
                if not touched or touched & passed:
                    self.faults.append(fault)
                continue
            models = self._swapped(fault) if at_box else None
            if models is not None:
                self.others[len(self.faults)] = models
                self.faults.append(fault)

    def _swapped(self, fault: TreeFault) -> dict[WayKey, WayModel] | None:
        bench, at_strips = rewired(self.bench, fault)
        models: dict[WayKey, WayModel] = {}
        for key, seen in self.seen.items():
            if bench.missing(key, BOX) or any(bench.missing(key, o.place) for o in seen):
                return None
            models[key] = WayModel(bench, key, seen, at_strips)
        return models

    def log_likelihood(self, key: WayKey, tree: TreePoints, faults: Sequence[WayFault]) -> Floats:
        """Of one way's readings; swapped trees have their own circuits."""
        out = np.empty((tree.fault.size, sum(f.points for f in faults)))
        moved = np.isin(tree.fault, list(self.others))
        plain = np.flatnonzero(~moved)
        if plain.size:
            out[plain] = self.models[key].log_likelihood(tree.take(plain), faults)
        for k in np.unique(tree.fault[moved]).tolist():
            rows = np.flatnonzero(tree.fault == k)
            none = [f for f in faults if f.kind == "none"]
            found = self.others[k][key].log_likelihood(tree.take(rows), none)
            out[rows] = -np.inf
            out[rows[:, None], np.array(_places(faults, "none"))] = found
        return out


def rewired(bench: MeterBench, fault: TreeFault) -> tuple[MeterBench, MeterBench | None]:
    """The show with the fault's parts in each other's places, and what readings at strips are of.

    What hangs on a strip goes with it, so where the two are of other outputs readings at strips
    stay as they were.
    """
    if fault.swap is None:
        return bench, None
    layout = bench.assessment.layout
    there = bench.rewired(swapped(layout, *fault.swap, keep_runs=fault.keep_runs))
    a, b = (layout.parts[p].output for p in fault.swap)
    return there, None if a == b else bench


def _places(faults: Sequence[WayFault], kind: str) -> list[int]:
    out: list[int] = []
    start = 0
    for f in faults:
        if f.kind == kind:
            out += range(start, start + f.points)
        start += f.points
    return out


def diagnose(
    bench: MeterBench, readings: Iterable[Observation], off: Iterable[WayKey]
) -> tuple[Diagnosis, ...]:
    """Rank the causes of circuits whose readings before firing are off.

    Parameters
    ----------
    bench : MeterBench
    readings : iterable of Observation
        All readings before firing that can be judged, those in order too.
    off : iterable of WayKey
        Circuits to diagnose; each has a reading.

    Returns
    -------
    tuple of Diagnosis
        One for each of `off`, in its order; then those of circuits that are in their bands, but
        not once a fault of their whole tree is allowed for.

    Notes
    -----
    Probabilities rest on the prior weights of `bridgewire.bench.faults`, which are trade habit.
    Tolerances are read as scatter as everywhere; a band's ends are the show's ``band_sigma``
    standard deviations away. The meter's error is even within its limits. Two faults of one way,
    or two of one tree, are not in the list: they come out as something else, or as the single
    fault that is most like them.
    """
    by_tree: dict[OutputKey, dict[WayKey, list[Observation]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for o in readings:
        by_tree[o.way[:2]][o.way].append(o)
    wanted = list(dict.fromkeys(off))
    beside: dict[WayKey, Diagnosis] = {}
    found: dict[WayKey, Diagnosis] = {}
    for output in dict.fromkeys(k[:2] for k in wanted):
        mine = [k for k in wanted if k[:2] == output]
        plain = {k: tuple(v) for k, v in by_tree[output].items() if not is_mesh(bench.builder, k)}
        for key in mine:
            if key not in plain:
                note = "this matrix has no diodes: causes are not worked out for it"
                found[key] = Diagnosis(key, (), note=note)
        if any(k in plain for k in mine):
            of_tree = _diagnose_tree(bench, output, plain, [k for k in mine if k in plain])
            for key, diagnosis in of_tree.items():
                (found if key in mine else beside)[key] = diagnosis
    return (*(found[k] for k in wanted), *(beside[k] for k in sorted(beside)))


def _diagnose_tree(
    bench: MeterBench,
    output: OutputKey,
    seen: Mapping[WayKey, tuple[Observation, ...]],
    off: Sequence[WayKey],
) -> dict[WayKey, Diagnosis]:
    tree = _Tree(bench, output, dict(seen))
    points = TreePoints.of(tree.faults, [WEIGHTS[f.kind] for f in tree.faults])
    none = [WayFault("none", "", "")]
    quick = {k: tree.log_likelihood(k, points, none)[:, 0] for k in seen}
    rest = {k: math.log(WEIGHTS["other"]) + tree.models[k].broad_log() for k in seen}
    total = points.log_prior + sum(np.logaddexp(quick[k], rest[k]) for k in seen)
    close = _closest(tree, points, total)
    full: dict[WayKey, Floats] = {}
    for k in seen:
        prior = _log_prior(tree.ways[k])
        full[k] = tree.log_likelihood(k, points.take(close), tree.ways[k]) + prior
        whole = np.logaddexp(np.logaddexp.reduce(full[k], axis=1), rest[k])
        total[close] += whole - np.logaddexp(quick[k], rest[k])[close]
    share = np.exp(total - np.logaddexp.reduce(total))
    faulty = [i for i, f in enumerate(tree.faults) if f.kind != "none"]
    found: dict[WayKey, Diagnosis] = {}
    for k in seen if share[np.isin(points.fault, faulty)].sum() > 0.5 else off:
        made = _diagnosis(tree, k, points, share, quick[k], rest[k], close, full[k])
        if k in off or made.own > OUT_OF_LINE:
            found[k] = made
    return found


def _closest(tree: _Tree, points: TreePoints, total: Floats) -> Ints:
    """Tree points to try with every fault of the ways: those without a fault, and the likeliest."""
    no_fault = [i for i, f in enumerate(tree.faults) if f.kind == "none"]
    sure = np.flatnonzero(np.isin(points.fault, no_fault))
    best = np.argsort(-total, kind="stable")
    others = [i for i in best.tolist() if i not in set(sure.tolist())][:LOOKED_AT_CLOSELY]
    return np.sort(np.array([*sure.tolist(), *others], dtype=np.intp))


def _log_prior(faults: Sequence[WayFault]) -> Floats:
    return np.concatenate([np.full(f.points, math.log(WEIGHTS[f.kind] / f.points)) for f in faults])


def _diagnosis(
    tree: _Tree,
    key: WayKey,
    points: TreePoints,
    share: Floats,
    quick: Floats,
    rest: float,
    close: Ints,
    full: Floats,
) -> Diagnosis:
    faults = tree.ways[key]
    starts = np.cumsum([0, *(f.points for f in faults)])[:-1]
    values = np.concatenate([np.zeros(f.points) if f.values is None else f.values for f in faults])
    sums: dict[_Key, _Sum] = defaultdict(_Sum)

    def of_tree(k: int) -> _Key:
        return ("none", 0) if tree.faults[k].kind == "none" else ("tree", k)

    def tree_value(t: int) -> float:
        found = tree.faults[int(points.fault[t])].values
        return 0.0 if found is None else float(found[points.point[t]])

    place = {int(t): i for i, t in enumerate(close)}
    for t in np.flatnonzero(share > 1e-9).tolist():
        k = int(points.fault[t])
        if t in place:
            row = full[place[t]]
            whole = np.logaddexp(np.logaddexp.reduce(row), rest)
            part = share[t] * np.exp(row - whole)
            weighed = np.add.reduceat(part * values, starts)
            for f, sum_f in enumerate(np.add.reduceat(part, starts).tolist()):
                if sum_f < 1e-9:
                    continue
                mine = slice(int(starts[f]), int(starts[f]) + faults[f].points)
                best = int(starts[f]) + int(np.argmax(part[mine]))
                if faults[f].kind == "none":
                    name, value = of_tree(k), sum_f * tree_value(t)
                else:
                    name, value = ("way", f), float(weighed[f])
                _add(sums[name], sum_f, value, float(part[best]), (t, best))
        else:
            whole = float(np.logaddexp(quick[t], rest))
            part_none = float(share[t] * np.exp(quick[t] - whole))
            _add(sums[of_tree(k)], part_none, part_none * tree_value(t), part_none, (t, 0))
        left = float(share[t] * np.exp(rest - whole))
        _add(sums["other", 0], left, 0.0, left, (t, 0))

    def text_of(name: _Key) -> tuple[str, str, str, str, float, int]:
        """Kind, text, subject, format of its value, prior weight, points of its grid."""
        sort, number = name
        if sort == "none":
            return "none", NO_FAULT, "", "", WEIGHTS["none"], 1
        if sort == "other":
            return "other", OTHER_CAUSE, "", "", WEIGHTS["other"], 1
        f: TreeFault | WayFault = tree.faults[number] if sort == "tree" else faults[number]
        return f.kind, f.cause, f.subject, f.value_text, WEIGHTS[f.kind], f.points

    order = sorted(sums, key=lambda n: -sums[n].share)
    kept = [n for n in order if sums[n].share >= LEAST_SHARE][:SHOWN]
    causes: list[Cause] = []
    leaders: list[tuple[float, int]] = []
    for n in kept:
        kind, text, subject, form, weight, count = text_of(n)
        # How well the cause fits at its best, whatever it was thought likely before.
        fit = sums[n].best * count / weight
        ranks = [rank for best, rank in leaders if best / TIE <= fit <= best * TIE]
        rank = ranks[0] if ranks and n[0] != "other" else len(causes) + 1
        if not ranks and n[0] != "other":
            leaders.append((fit, rank))
        value = form.format(sums[n].value / sums[n].share) if form else ""
        causes.append(Cause(kind, text, subject, sums[n].share, rank, value))
    causes.sort(key=lambda c: c.rank)
    tie = len(causes) > 1 and causes[1].rank == causes[0].rank
    named = [n for n in kept if n[0] in ("tree", "way", "none")]
    following = None
    if len(named) > 1 and causes[0].share < 0.95:
        first, second = (_hypothesis(tree, faults, points, n, sums[n]) for n in named[:2])
        following = _next(tree, key, first, second)
    own = sum(x.share for n, x in sums.items() if n[0] in ("way", "other"))
    return Diagnosis(key, tuple(causes), tie, following, own=own)


def _add(total: _Sum, share: float, value: float, best: float, where: tuple[int, int]) -> None:
    total.share += share
    total.value += value
    if best > total.best:
        total.best, total.where = best, where


@frozen(eq=False)
class _Hypothesis:
    """One cause at its likeliest point: predicts any reading of the tree."""

    tree: _Tree
    points: TreePoints
    fault: WayFault
    at: int
    way: WayKey | None
    """The way that the fault is on; None for one of the whole tree."""
    bench: MeterBench
    """Of the wiring as it is with the fault."""
    at_strips: MeterBench | None = None

    def predict(self, seen: Observation) -> tuple[float, float]:
        model = WayModel(self.bench, seen.way, (seen,), self.at_strips)
        on_way = self.way == seen.way
        faults = [self.fault] if on_way else [WayFault("none", "", "")]
        mean, covariance = model.predict(self.points, faults)
        at = self.at if on_way else 0
        return float(mean[0, at, 0]), math.sqrt(float(covariance[0, at, 0, 0]))


def _hypothesis(
    tree: _Tree, faults: Sequence[WayFault], points: TreePoints, name: _Key, found: _Sum
) -> _Hypothesis:
    t, f = found.where
    one = points.take(np.array([t]))
    bench, at_strips = rewired(tree.bench, tree.faults[int(points.fault[t])])
    if name[0] != "way":
        return _Hypothesis(tree, one, WayFault("none", "", ""), 0, None, bench, at_strips)
    fault = faults[name[1]]
    start = sum(g.points for g in faults[: name[1]])
    key = next(k for k, v in tree.ways.items() if v is faults)
    return _Hypothesis(tree, one, fault, f - start, key, bench, at_strips)


def _next(tree: _Tree, key: WayKey, first: _Hypothesis, second: _Hypothesis) -> NextMeasurement:
    """The measurement not yet made that best tells two causes apart."""
    layout = tree.bench.assessment.layout
    done = {(o.way, o.place) for seen in tree.seen.values() for o in seen}
    ways = [key]
    if first.way is None or second.way is None:
        ways += [k for k in sorted(layout.by_way) if k[:2] == key[:2] and k != key]
    best: tuple[float, NextMeasurement] | None = None
    limit = max(o.limit_ohm for o in tree.seen[key])
    for way in ways[:12]:
        for place in (BOX, *(s.id for s in strips_of_way(layout, way))):
            if (way, place) in done or tree.bench.missing(way, place):
                continue
            if tree.bench.probe(way, place).diode:
                continue
            seen = Observation(way, place, 1.0, limit, True)
            (a, sd_a), (b, sd_b) = first.predict(seen), second.predict(seen)
            apart = _apart(a, sd_a, b, sd_b)
            # Another circuit has to tell clearly more to be worth the walk.
            worth = apart if way == key else apart / 2.0
            if apart >= SEPARATED and (best is None or worth > best[0]):
                best = worth, NextMeasurement(way, place, _shown(a), _shown(b))
    if best is not None:
        return best[1]
    alone = "igniter" if any(h.way is not None for h in (first, second)) else "run"
    return NextMeasurement(None, alone, math.nan, math.nan)


def _shown(ohm: float) -> float:
    return math.inf if ohm > 1e6 else ohm


def _apart(a: float, sd_a: float, b: float, sd_b: float) -> float:
    open_a, open_b = not a < 1e6, not b < 1e6
    if open_a or open_b:
        return 0.0 if open_a and open_b else 1e3
    return min(abs(a - b) / math.hypot(sd_a, sd_b), 1e3)
