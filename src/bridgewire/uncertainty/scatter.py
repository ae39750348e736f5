"""What scatters in a show, and what varies together: from a checked show to plans for draws.

Every band becomes a distribution (see `bridgewire.uncertainty.quantities`). What varies together:

- igniters: each value has a part of its own and a part common to its batch (`batch` in the show,
  else all of one class); the part is `batch_share`;
- cable: resistance per metre has a part of the run's own and a part common to its drum (`drum`
  in the show, else all of one cable); the part is `drum_share`. A run's length is its own. The
  conductors of a run are alike;
- contacts: each leg of each mated pair has a part of its own and a part common to its kind;
  contacts that share one leg in parallel move together, which makes their scatter a little large;
- the inside of strips and splitters likewise; switches have a part common to their box;
- a box's supply: voltage, internal resistance, limit, capacitor and recharge time are its own;
- ambient temperature is one for the site (and one for each box that states its own).

The heating of igniters: with thermal data heat capacity, loss, lighting temperature and cold
resistance scatter each by itself, and threshold and time constant follow. With `threshold_A` and
`tau_s` these two scatter each by itself. With data-sheet forms the threshold lies between no-fire
and all-fire current at the band's ends, and the impulse I0² tau scatters between what is least
and the most with which an igniter of that threshold still meets the sheet: a high threshold goes
with a low impulse. Where the sheet gives no impulse, half of all igniters are as slow as it allows.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence

import numpy as np
from attrs import define, field

from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.timeline.corners import Component
from bridgewire.timeline.outcomes import Assessment, Verdict
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.schedule import intended
from bridgewire.uncertainty.dependence import firing_before, plan_groups
from bridgewire.uncertainty.plan import CuePlan, FiringPlan, Plan, PulsePlan, Term
from bridgewire.uncertainty.value_sources import ValueSources


def make_plan(
    assessment: Assessment,
    results: Sequence[FiringResult],
    only_cues: Collection[int] | None = None,
) -> Plan:
    """Put firings in the form that draws need.

    Parameters
    ----------
    assessment : Assessment
    results : sequence of FiringResult
        In order of time, from `plan_groups` or `needed_for`.
    only_cues : collection of int, optional
        Cues to judge; all whose every pulse is among the firings where absent.

    Returns
    -------
    Plan
    """
    return _Planner(assessment).plan(results, only_cues)


def values_without_tolerance(assessment: Assessment) -> tuple[str, ...]:
    """Groups in which a draw takes some values as exact, as nobody states a tolerance."""
    planner = _Planner(assessment)
    for results in plan_groups(assessment):
        planner.plan(results, ())
    return tuple(sorted(planner.sources.exact))


@define
class _Planner:
    assessment: Assessment
    sources: ValueSources = field(init=False)

    def __attrs_post_init__(self) -> None:
        self.sources = ValueSources(self.assessment)

    @property
    def layout(self) -> Layout:
        return self.assessment.layout

    def plan(self, results: Sequence[FiringResult], only_cues: Collection[int] | None) -> Plan:
        self.sources.start()
        components: list[Component] = []
        for r in results:
            if not any(r.component is c for c in components):
                components.append(r.component)
        number = {id(c): n for n, c in enumerate(components)}
        plans = tuple(self.sources.component(c) for c in components)
        after = firing_before(self.assessment, results)
        firings = tuple(
            self._firing(r, number[id(r.component)], after.get(i, -1))
            for i, r in enumerate(results)
        )
        cues = self._cues(results, number, only_cues)
        return Plan(self.sources.table.done(), plans, firings, cues, self.sources.site)

    def _firing(self, r: FiringResult, component: int, after: int) -> FiringPlan:
        c = r.component
        data = self.assessment.simulation.supplies[r.firing.box][0]
        assert data is not None
        wanted = set(r.firing.ways)
        places = [i for i, w in enumerate(c.ways) if w.key in wanted]

        def of(starts: list[int], counts: list[int]) -> np.ndarray:
            return np.concatenate([np.arange(starts[i], starts[i] + counts[i]) for i in places])

        active = r.firing.active()
        on = np.array(
            [[c.ways[i].key in keys for keys in active] for i in places for _ in c.ways[i].strings]
        )
        mesh_terms: list[Term] = []
        if r.mesh is not None:
            owners = [c.ways[i].key for i in places for _ in c.ways[i].strings]
            for n, elements in enumerate(r.mesh.branch_elements):
                if not elements:
                    ohm = self.sources.table.exactly(float(r.mesh.branch_ohm[n, 1]))
                    mesh_terms.append(Term(n, 1.0, (ohm,)))
                # Any way that the branch serves names its conductor.
                way = owners[int(np.argmax(r.mesh.string_path[:, n]))]
                for element, leg in elements:
                    mesh_terms += self.sources.terms(element, leg, way, n)
        fall = 0.0
        if data.capacitance_F is None:
            fall = data.emf_V.typical - r.emf_V.typical
        return FiringPlan(
            component=component,
            nodes=of(c.node_start, [len(w.nodes) for w in c.ways]),
            strings=of(c.string_start, [len(w.strings) for w in c.ways]),
            bridges=r.bridges,
            on=on,
            boundaries_s=np.array(r.firing.boundaries_s()),
            start_s=r.firing.start_s,
            end_s=r.firing.end_s,
            supply=self.sources.supply(r.firing.box, data),
            fall_V=fall,
            after=after,
            topology=None if r.mesh is None else r.mesh.topology,
            branch_terms=tuple(mesh_terms),
        )

    # ------------------------------------------------------------------ cues

    def _cues(
        self,
        results: Sequence[FiringResult],
        number: dict[int, int],
        only_cues: Collection[int] | None,
    ) -> tuple[CuePlan, ...]:
        pulses: dict[int, list[PulsePlan]] = defaultdict(list)
        component: dict[int, Component] = {}
        for n, r in enumerate(results):
            for p in r.firing.pulses:
                start = r.firing.start_s
                pulses[p.cue].append(PulsePlan(n, p.start_s - start, p.end_s - start))
                component[p.cue] = r.component
        out: list[CuePlan] = []
        required = self.layout.show.requirements.spread_s
        for index, its in sorted(pulses.items()):
            if only_cues is not None and index not in only_cues:
                continue
            cue = self.layout.cues[index]
            c = component[index]
            wanted = intended(self.layout, cue)
            # What rests on a model whose answers could not be used is not known.
            unknown = {
                i.igniter
                for i in self.assessment.cues[index].igniters
                if i.verdict is Verdict.UNKNOWN
            }
            here = [i for i in c.targets if i in wanted - unknown and self._on_way(i, cue.way)]
            if unknown and not here:
                continue
            limit = cue.cue.spread_s if cue.cue.spread_s is not None else required
            out.append(
                CuePlan(
                    cue=index,
                    switch_s=self.assessment.schedule.switch_s[index],
                    pulses=tuple(its),
                    component=number[id(c)],
                    igniters=tuple(here),
                    bridges=tuple(
                        tuple(np.flatnonzero(c.bridge_igniter == i).tolist()) for i in here
                    ),
                    spread_s=limit if cue.cue.together and len(here) > 1 else None,
                )
            )
        return tuple(out)

    def _on_way(self, igniter: int, way: WayKey | None) -> bool:
        return self.layout.way_of(self.layout.igniters[igniter]) == way
