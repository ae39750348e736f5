"""Bounds of every light time over the whole tolerance box, from one run of coupled bounds.

The claim, for one firing of a component whose network is a tree: whatever values the resistances,
the igniters' heating constants and burn-open levels and the supply have within their tolerances,
each bridge j keeps ``L_j <= x_j <= U_j`` until it parts, where L and U obey

    ``L_j' = least of (u_j - L_j) / tau_j``,  ``U_j' = greatest of (u_j - U_j) / tau_j``

over those values and over everything that the other bridges' bounds leave open. So the bridge is
lit no later than L_j reaches 1 and no sooner than U_j does.

Why: this is the comparison theorem for a system of differential equations whose bounds may use
each other (Müller 1926; Kamke 1932). At the first moment at which some bound would fail, x_j is on
its bound, all others are still within theirs, and the bound's rate is the extreme one. The bridge's
own x enters with its own value, so a resistance that rises with heat costs nothing. Parting is an
event of the same kind: j has certainly parted once L_j reaches the highest burn-open level, and
cannot have parted before U_j reaches the lowest.

What makes the rate of change extreme:

* The network seen from one string is a source whose current does not rise with the voltage across
  the string. Folding it, step by step, keeps it so: a resistance in series lowers the current it
  gives at each voltage, and so does a load beside it, the more the less resistance that load has.
  Hence the current in the string is lowest with the weakest supply, every resistance on its own
  path and in its own string highest, and everything beside the path lowest: bridges beside it
  cold (at L) and not parted before they certainly have; series mates hot (at U), and parted as
  soon as they may have. It is highest with all of that reversed.
* A plain source, one with a constant current limit and a capacitor of given voltage have a
  current that does not rise with voltage. A fold-back limit ``I = a + k V`` has not. There the
  output voltage is the lower one of those on the two lines, so the string's current is the lower
  one of its currents on them. The first is bounded as above. The second is the total current,
  which falls with the load's conductance alone, times the string's share, which does not depend
  on the source; each factor is bounded by itself.
* A capacitor's voltage V is a state like x: V falls slowest, and a bound stays a bound, with the
  lightest load and the most capacitance; fastest with the heaviest load and the least.
* ``(I^2 (1 + a x) / I0^2 - x) / tau`` is lowest for the highest I0 and, where it is positive, for
  the slowest igniter's tau; where it is negative, for the shortest tau that the data allow.

Series strings. A mate that parts open cuts its string, so L is kept for the string uncut: as long
as none of its bridges has parted open, ``L_j <= x_j``. Once L_j reaches j's highest burn-open level
the string is certainly open, by j or a mate, which is all that the rest of the network asks. L_j
reaching 1 proves that j is lit only if no mate parts first. That is so if the U of every mate is
still below its lowest burn-open level, or by this: mates carry the same current all their life, so
each x is the integral of ``I^2 (1 + a x) / K e^(-age/tau)``, ``K = I0^2 tau``, over the same
current; the mate's is at most ``r = K_j/K_m (1 + a b_m) e^(T (1/tau_j - 1/tau_m))`` times j's
(the exponent where positive, T since the string's first pulse), and if r is at most the mate's
lowest burn-open level b_m, it has not reached that before j reaches 1. Failing both, nothing is
claimed.

What a firing leaves is carried to the next: both bounds, cooled with their extreme time constants,
what has certainly parted and what may have.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.supplies import SupplyData, diode_drop
from bridgewire.circuit.ways import BridgeData
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.outcome import Outcome
from bridgewire.physics.transient import run_transient
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.simulate import TOLERANCE
from bridgewire.uncertainty.enclosure_group import Group, group_of
from bridgewire.uncertainty.enclosure_join import join
from bridgewire.uncertainty.enclosure_task import Bounds, Enclosed, Task
from bridgewire.uncertainty.envelope_network import EnvelopeBridges


def provable(result: FiringResult, supply: SupplyData) -> bool:
    """Whether the argument above covers a firing: a tree, on laws that are known.

    No resistance may reach 0 by heat, and a fold-back limit must rise with voltage throughout its
    tolerances and not sit on a capacitor.
    """
    if result.mesh is not None or supply.model is not None:
        return False
    for d in result.component.data:
        if d.model is not None or 1.0 + d.rise_per_x * d.burn_open.max <= 0.0:
            return False
    limit, short = supply.limit_A, supply.short_circuit_A
    if limit is None or short is None or limit == short:
        return True
    rising = short.min <= limit.min and short.max <= limit.max
    return rising and supply.capacitance_F is None


def make_task(
    layout: Layout, result: FiringResult, bounds: Bounds, supply: SupplyData, emf_V: Volts
) -> Task:
    """Describe one firing to be enclosed; its bounds must have been cooled up to its start."""
    drop = diode_drop(layout.boxes[result.firing.box][1])
    return Task(result, bounds, supply, drop, emf_V)


def enclose(tasks: Sequence[Task], tolerance: float = TOLERANCE) -> list[Enclosed]:
    """Run some firings of different components as one batch and carry their bounds on.

    Parameters
    ----------
    tasks : sequence of Task
    tolerance : float
        See `run_transient`.

    Returns
    -------
    list of Enclosed
        In the order of `tasks`.
    """
    groups = [group_of(task) for task in tasks]
    network, bridges, boundaries = join(groups)
    out = run_transient(network, bridges, boundaries, tolerance=tolerance)
    found: list[Enclosed] = []
    start = 0
    for task, group in zip(tasks, groups, strict=True):
        states = slice(start, start + group.is_voltage.size)
        start = states.stop
        found.append(_collect(task, group, states, bridges, out))
    return found


def _collect(
    task: Task,
    group: Group,
    states: slice,
    bridges: EnvelopeBridges,
    out: Outcome,
) -> Enclosed:
    bounds, k = task.bounds, group.columns
    before = bounds.lit.copy()
    maybe_parted = bounds.parted[1].copy()

    def table(values: NDArray[np.float64]) -> Floats:
        full = np.full(bounds.x.shape, np.nan)
        full[:, k] = values[states][: 2 * k.size].reshape(2, -1)
        return full

    x = bridges.x[states]
    data = task.result.component.data
    first = np.fromiter(task.result.component.targets.values(), dtype=np.intp)[k]
    top = np.array([data[b].burn_open.max for b in first])
    parted = bridges.parted[states][: 2 * k.size].reshape(2, -1)
    bounds.x[:, k] = x[: 2 * k.size].reshape(2, -1)
    # One that may have parted may as well be whole and as hot as can be.
    bounds.x[1, k] = np.where(parted[1], top, bounds.x[1, k])
    bounds.parted[:, k] = parted
    light_s, part_s = table(out.light_s), table(out.part_s)
    part_s[1, maybe_parted] = -np.inf
    cut = _may_be_cut(task, k, light_s[0], part_s[1])
    light_s[0, cut] = np.nan
    bounds.lit[1, k] |= ~np.isnan(light_s[1, k])
    bounds.lit[0, k] |= ~np.isnan(light_s[0, k])
    bounds.time_s = task.result.firing.end_s
    end_V = (task.emf_V.worst, task.emf_V.best)
    if group.is_voltage.any():
        low, high = np.maximum(x[2 * k.size :], 0.0) * np.array(end_V)
        end_V = (float(low), float(high))
    return Enclosed(light_s, table(out.light_A), before, end_V)


def _may_be_cut(task: Task, k: Ints, light_s: Floats, part_s: Floats) -> Bools:
    """Targets for which nothing shows that no mate in series parts open before they are lit."""
    c, firing = task.result.component, task.result.firing
    cut = np.zeros(light_s.size, dtype=bool)
    places = {igniter: n for n, igniter in enumerate(c.targets)}
    first = list(c.targets.values())
    way_of = np.searchsorted(c.bridge_start, first, side="right") - 1
    for n in k.tolist():
        way = c.ways[way_of[n]].key
        starts = [p.start_s for p in firing.pulses if p.way == way]
        task.bounds.first_s[n] = min([float(task.bounds.first_s[n]), *starts])
        if np.isnan(light_s[n]):
            continue
        mates = np.flatnonzero(c.bridge_string == c.bridge_string[first[n]]).tolist()
        for m in mates:
            if m == first[n] or np.isfinite(c.after_ohm[m]):
                continue
            soonest = part_s[places[int(c.bridge_igniter[m])]]
            elapsed_s = firing.start_s + float(light_s[n]) - float(task.bounds.first_s[n])
            if soonest <= light_s[n] and not _outlasts(c.data[m], c.data[first[n]], elapsed_s):
                cut[n] = True
    return cut


def _outlasts(mate: BridgeData, target: BridgeData, elapsed_s: float) -> bool:
    """Whether a mate in series cannot part before the target is lit, whatever the current."""
    most = target.heating.slow[0] ** 2 * target.heating.slow[1]
    least = mate.heating.fast[0] ** 2 * mate.heating.fast[1]
    level = mate.burn_open.min
    spread = max(1.0 / target.heating.tau_s.min - 1.0 / mate.heating.tau_s.max, 0.0)
    ratio = most / least * (1.0 + max(mate.rise_per_x, 0.0) * level)
    ratio /= 1.0 + min(target.rise_per_x, 0.0)
    return math.log(ratio) + spread * elapsed_s <= math.log(level)
