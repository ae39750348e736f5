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
from attrs import frozen

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import WEIGHTS, TreeFault, WayFault
from bridgewire.bench.meter.next_measurement import (
    NextMeasurement,
    hypothesis,
    next_measurement,
)
from bridgewire.bench.meter.points import TreePoints
from bridgewire.bench.meter.probe_mesh import is_mesh
from bridgewire.bench.meter.tree_readings import TreeReadings
from bridgewire.bench.meter.view import Observation
from bridgewire.bench.meter.weighing import CauseName, CauseSum, Evidence
from bridgewire.circuit.layout import OutputKey, WayKey
from bridgewire.physics.network import Floats, Ints

LOOKED_AT_CLOSELY = 12
"""Tree points, the likeliest, that are tried together with every fault of a way."""
TIE = 3.0
"""Causes that fit the readings equally well within this factor, each at its best, are not told
apart by them (common practice, no source)."""
OUT_OF_LINE = 0.9
"""Where a fault of the whole tree is likelier than not, a circuit in its band is named if a fault
of its own has a higher probability than this (common practice, no source)."""
SHOWN = 6
"""Most causes of one circuit."""
LEAST_SHARE = 0.01
"""Causes with a smaller probability are not told."""
SURE = 0.95
"""From this probability of the first cause on, no further measurement is proposed."""
NO_FAULT = "no fault: tolerances and the meter's error together"
OTHER_CAUSE = "something else: no single fault in the list gives this reading"


@frozen
class Cause:
    """One possible cause of a circuit's readings."""

    kind: str
    """Of `bridgewire.bench.meter.faults.FaultKind`."""
    text: str
    subject: str
    share: float
    """Its probability, 0 to 1, if the list of causes is complete and the priors hold."""
    rank: int
    """From 1; causes that the readings cannot tell apart have the same."""
    value: str = ""
    """Its free value, e.g. ``1.4 ohm extra``."""


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
    Probabilities rest on the prior weights of `bridgewire.bench.meter.faults`, which are trade
    habit. Tolerances are read as scatter as everywhere; a band's ends are the show's
    ``band_sigma`` standard deviations away. The meter's error has the standard deviation of one
    that is even within its limits, which is the limit over the root of 3. Two faults of one way,
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
    tree = TreeReadings(bench, output, dict(seen))
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
        evidence = Evidence(
            tree.faults, tree.ways[k], points, share, quick[k], rest[k], close, full[k]
        )
        made = _ranked(tree, k, evidence)
        if k in off or made.own > OUT_OF_LINE:
            found[k] = made
    return found


def _closest(tree: TreeReadings, points: TreePoints, total: Floats) -> Ints:
    """Tree points to try with every fault of the ways: those without a fault, and the likeliest."""
    no_fault = [i for i, f in enumerate(tree.faults) if f.kind == "none"]
    sure = np.flatnonzero(np.isin(points.fault, no_fault))
    best = np.argsort(-total, kind="stable")
    others = [i for i in best.tolist() if i not in set(sure.tolist())][:LOOKED_AT_CLOSELY]
    return np.sort(np.array([*sure.tolist(), *others], dtype=np.intp))


def _log_prior(faults: Sequence[WayFault]) -> Floats:
    return np.concatenate([np.full(f.points, math.log(WEIGHTS[f.kind] / f.points)) for f in faults])


def _ranked(tree: TreeReadings, key: WayKey, evidence: Evidence) -> Diagnosis:
    """Causes of one way's readings with their ranks, and what to measure next."""
    sums = evidence.sums()
    order = sorted(sums, key=lambda n: -sums[n].share)
    kept = [n for n in order if sums[n].share >= LEAST_SHARE][:SHOWN]
    causes: list[Cause] = []
    leaders: list[tuple[float, int]] = []
    for name in kept:
        told, fit = _told(evidence, name), _fit(evidence, name, sums[name])
        ranks = [rank for best, rank in leaders if best / TIE <= fit <= best * TIE]
        rank = ranks[0] if ranks and name[0] != "other" else len(causes) + 1
        if not ranks and name[0] != "other":
            leaders.append((fit, rank))
        total = sums[name]
        value = told.form.format(total.value / total.share) if told.form else ""
        causes.append(Cause(told.kind, told.text, told.subject, total.share, rank, value))
    causes.sort(key=lambda c: c.rank)
    tie = len(causes) > 1 and causes[1].rank == causes[0].rank
    named = [n for n in kept if n[0] != "other"]
    following = None
    if len(named) > 1 and causes[0].share < SURE:
        first, second = (hypothesis(tree, key, evidence.points, n, sums[n]) for n in named[:2])
        following = next_measurement(tree, key, first, second)
    own = sum(x.share for n, x in sums.items() if n[0] in ("way", "other"))
    return Diagnosis(key, tuple(causes), tie, following, own=own)


@frozen
class _Told:
    """A cause in words."""

    kind: str
    text: str
    subject: str = ""
    form: str = ""
    """Format of its free value."""


def _fault(evidence: Evidence, name: CauseName) -> TreeFault | WayFault | None:
    sort, number = name
    if sort == "tree":
        return evidence.tree_faults[number]
    return evidence.way_faults[number] if sort == "way" else None


def _told(evidence: Evidence, name: CauseName) -> _Told:
    fault = _fault(evidence, name)
    if fault is not None:
        return _Told(fault.kind, fault.cause, fault.subject, fault.value_text)
    return _Told(name[0], NO_FAULT if name[0] == "none" else OTHER_CAUSE)


def _fit(evidence: Evidence, name: CauseName, total: CauseSum) -> float:
    """How well a cause fits at its best, whatever it was thought likely before."""
    fault = _fault(evidence, name)
    if fault is None:
        return total.best / (WEIGHTS["none"] if name[0] == "none" else WEIGHTS["other"])
    return total.best * fault.points / WEIGHTS[fault.kind]
