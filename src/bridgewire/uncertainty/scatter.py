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
from attrs import define, evolve, field

from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.mesh import groups
from bridgewire.circuit.supplies import SupplyData, diode_drop
from bridgewire.circuit.ways import BridgeData, WayCircuit
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import resistance_factor
from bridgewire.timeline.corners import Component
from bridgewire.timeline.evaluate import intended
from bridgewire.timeline.outcomes import Assessment, Verdict
from bridgewire.timeline.results import FiringResult
from bridgewire.uncertainty.joint import Joint, joint_of
from bridgewire.uncertainty.plan import (
    BridgePlan,
    ComponentPlan,
    CuePlan,
    FiringPlan,
    Plan,
    PulsePlan,
    SupplyPlan,
    Term,
)
from bridgewire.uncertainty.quantities import NOBODY, Group, QuantityTable
from bridgewire.uncertainty.shares import BAND_SIGMA, SHARES

COLDEST_C, HOTTEST_C = -60.0, 80.0
"""Drawn ambient temperatures are kept between these, which shows may state."""
SAFE_GAP = 2.0
"""A capacitor counts as full after this many times its longest recharge time."""


def band_sigma(layout: Layout) -> float:
    """Standard deviations between a band's typical value and its ends, in this show."""
    stated = layout.show.scatter.band_sigma
    return BAND_SIGMA if stated is None else stated


def plan_groups(assessment: Assessment) -> list[list[FiringResult]]:
    """Firings of a show that have to be drawn together, each list in order of time.

    Those of one component, and those on a capacitor that may not be full again in between.
    """
    results = assessment.simulation.results
    leader = list(range(len(results)))

    def find(i: int) -> int:
        while leader[i] != i:
            leader[i] = leader[leader[i]]
            i = leader[i]
        return i

    by_component: dict[int, int] = {}
    for i, r in enumerate(results):
        first = by_component.setdefault(id(r.component), i)
        leader[find(i)] = find(first)
    for i, before in _followed(assessment, results).items():
        leader[find(i)] = find(before)
    out: dict[int, list[FiringResult]] = defaultdict(list)
    for i, r in enumerate(results):
        out[find(i)].append(r)
    return list(out.values())


def needed_for(assessment: Assessment, cue: int) -> list[FiringResult]:
    """The firings that have a part in what a cue does, in order of time."""
    results = assessment.simulation.results
    after = _followed(assessment, results)
    wanted = {i for i, r in enumerate(results) if any(p.cue == cue for p in r.firing.pulses)}
    queue = list(wanted)
    while queue:
        i = queue.pop()
        earlier = [j for j in range(i) if results[j].component is results[i].component]
        for j in (*earlier, *([after[i]] if i in after else [])):
            if j not in wanted:
                wanted.add(j)
                queue.append(j)
    return [results[i] for i in sorted(wanted)]


def _followed(assessment: Assessment, results: Sequence[FiringResult]) -> dict[int, int]:
    """For firings on a capacitor that may not be full: the firing before on that box."""
    last: dict[str, int] = {}
    out: dict[int, int] = {}
    for i, r in enumerate(results):
        data = assessment.simulation.supplies[r.firing.box][0]
        if data is None or data.capacitance_F is None:
            continue
        before = last.get(r.firing.box)
        last[r.firing.box] = i
        if before is not None and data.recharge_s is not None:
            gap = r.firing.start_s - results[before].firing.end_s
            if gap < SAFE_GAP * data.recharge_s.max:
                out[i] = before
    return out


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
    return tuple(sorted(planner.exact))


@define
class _Planner:
    assessment: Assessment
    table: QuantityTable = field(init=False)
    exact: set[str] = field(factory=set)
    _site: int = field(init=False, default=-1)
    joint: Joint = field(init=False)

    def __attrs_post_init__(self) -> None:
        catalogue = self.layout.catalogue
        self.joint = joint_of((kit, catalogue.samples[kit]) for kit in catalogue.samples)

    @property
    def layout(self) -> Layout:
        return self.assessment.layout

    def plan(self, results: Sequence[FiringResult], only_cues: Collection[int] | None) -> Plan:
        self.table = QuantityTable(band_sigma(self.layout), self.exact, self.joint.together)
        self._site = self._ambient("site", self.assessment.simulation.ambient_C)
        components: list[Component] = []
        for r in results:
            if not any(r.component is c for c in components):
                components.append(r.component)
        number = {id(c): n for n, c in enumerate(components)}
        plans = tuple(self._component(c) for c in components)
        after = _followed(self.assessment, results)
        firings = tuple(
            self._firing(r, number[id(r.component)], after.get(i, -1))
            for i, r in enumerate(results)
        )
        cues = self._cues(results, number, only_cues)
        return Plan(self.table.done(), plans, firings, cues, self._site)

    def _ambient(self, where: str, band: Band) -> int:
        return self.table.add(
            band,
            (f"ambient/{where}", "ambient", NOBODY),
            linear=True,
            least=COLDEST_C,
            most=HOTTEST_C,
        )

    # ------------------------------------------------------------------ circuits

    def _component(self, c: Component) -> ComponentPlan:
        nodes: list[Term] = []
        strings: list[Term] = []
        bridges: list[BridgePlan] = []
        for way, n0, s0 in zip(c.ways, c.node_start, c.string_start, strict=True):
            for i, node in enumerate(way.nodes):
                for element in node.elements:
                    nodes += self._terms(element, "loop", way.key, n0 + i)
            numbers = self._numbers(way)
            for i, string in enumerate(way.strings):
                owners = iter(string.bridges)
                for element in string.elements:
                    if element.kind == "lead" and element.cable is None:
                        bridge = next(owners)
                        igniter = way.bridge_igniter[bridge]
                        strings.append(self._own_lead(element, igniter, numbers[bridge], s0 + i))
                    else:
                        strings += self._terms(element, "loop", way.key, s0 + i)
            for bridge, igniter in enumerate(way.bridge_igniter):
                data = way.bridge_data[bridge]
                assert data is not None
                bridges.append(self._bridge(igniter, numbers[bridge], data))
        return ComponentPlan(
            c.parent, c.string_node, c.bridge_string, tuple(nodes), tuple(strings), tuple(bridges)
        )

    @staticmethod
    def _numbers(way: WayCircuit) -> list[int]:
        """Number of each bridge among those of its igniter entry."""
        seen: dict[int, int] = defaultdict(int)
        out: list[int] = []
        for igniter in way.bridge_igniter:
            out.append(seen[igniter])
            seen[igniter] += 1
        return out

    def _terms(self, e: Element, leg: str, way: WayKey, target: int) -> list[Term]:
        """Resistances of an element's legs in series."""
        box, output, number = way
        feed, back = groups(self.layout.boxes[box][1].path, number)
        conductor = {"feed": f"{box}/{output}/{feed}", "return": f"{box}/{output}/{back}"}
        if e.cable is not None:
            return self._cable(e, leg, target)
        if e.kind == "switch":
            switches = self._of_box(box, "switches")
            q = self.table.add(
                e.feed_ohm,
                (f"switch/{conductor['feed']}", "switch and diode", NOBODY),
                (switches, "switch and diode"),
                self.joint.share(switches, SHARES["switch of a box"]),
            )
            return [Term(target, 1.0, (q,))]
        if e.kind == "diode":
            place = "/".join(str(p) for p in e.path)
            q = self.table.add(
                e.feed_ohm,
                (f"diode/{conductor['feed']}/{place}", "switch and diode", NOBODY),
                (f"box/{box}/switches", "switch and diode"),
                SHARES["switch of a box"],
            )
            return [Term(target, 1.0, (q,))]
        group: Group = "contacts" if e.kind == "contact" else "strips and splitters"
        share = SHARES["contact kind" if e.kind == "contact" else "strip kind"]
        out: list[Term] = []
        for name, band in (("feed", e.feed_ohm), ("return", e.return_ohm)):
            if leg not in ("loop", name) or band.max == 0.0:
                continue
            place = "/".join(str(p) for p in e.path)
            own = f"{e.kind}/{conductor[name]}/{place}/{e.label}/{name}"
            common = f"{e.kind}-kind/{e.item}"
            q = self.table.add(
                band, (own, group, NOBODY), (common, group), self.joint.share(common, share)
            )
            out.append(Term(target, 1.0, (q,)))
        return out

    def _cable(self, e: Element, leg: str, target: int) -> list[Term]:
        """A length of cable: typical resistance times the scatter of metal, length and heat."""
        spec = e.cable
        assert spec is not None
        ohm = sum(
            band.typical
            for name, band in (("feed", e.feed_ohm), ("return", e.return_ohm))
            if leg in ("loop", name)
        )
        per_m = cable_ohm_per_m(spec)
        if per_m is None or ohm <= 0.0 or per_m.typical <= 0.0:
            return []
        ambient = self.assessment.simulation.ambient_C
        heat = float(resistance_factor(ambient.typical, spec.metal))
        place = "/".join(str(p) for p in e.path)
        length_m, drum = self._length_and_drum(e)
        share = SHARES["cable drum"] if spec.drum_share is None else spec.drum_share
        metal = self.table.add(
            _relative(per_m),
            (f"cable/{place}/{e.kind}", "cable", NOBODY),
            (f"drum/{drum}", "cable"),
            self.joint.share(f"drum/{drum}", share),
        )
        length = self.table.add(
            _relative(length_m), (f"length/{place}/{e.kind}", "cable length", NOBODY)
        )
        return [Term(target, ohm / heat, (metal, length), spec.metal)]

    def _length_and_drum(self, e: Element) -> tuple[Band, str]:
        """Length of a cable element, and the name of the drum that it is from."""
        table, index = e.path[0], e.path[1]
        assert isinstance(index, int)
        if table == "run":
            run = self.layout.show.run[index]
            length = self.layout.run_lengths[index]
            assert length is not None
            return length, f"{e.item}/{run.drum}" if run.drum is not None else e.item
        length = self.layout.igniters[index].igniter.extra_lead_m
        assert length is not None
        return length, e.item

    def _of_box(self, box: str, what: str) -> str:
        """Key of a latent of a box: its own, or that of its kind where samples have it."""
        kind = f"kind/{self.layout.boxes[box][2]}/{what}"
        known = any(kind in together.keys for together in self.joint.together)
        return kind if known else f"box/{box}/{what}"

    def _own_lead(self, e: Element, igniter: int, number: int, target: int) -> Term:
        return Term(target, 1.0, (self._of_igniter(igniter, number, "leads", e.feed_ohm),))

    # ------------------------------------------------------------------ igniters

    def _batch(self, igniter: int) -> tuple[str, float]:
        placed = self.layout.igniters[igniter]
        batch = placed.igniter.batch
        key = f"batch/{placed.class_id}" + (f"/{batch}" if batch is not None else "")
        share = placed.klass.batch_share
        return key, SHARES["igniter batch"] if share is None else share

    def _of_igniter(
        self, igniter: int, number: int, what: str, band: Band, *, above: float = 0.0
    ) -> int:
        batch, share = self._batch(igniter)
        own = f"igniter/{self.layout.names[igniter]}/{number}/{what}"
        return self.table.add(
            band,
            (own, "igniter itself", igniter),
            (f"{batch}/{what}", "igniter batch"),
            self.joint.share(f"{batch}/{what}", share),
            above=above,
        )

    def _bridge(self, igniter: int, number: int, data: BridgeData) -> BridgePlan:
        klass = self.layout.igniters[igniter].klass
        heating = data.heating

        def q(what: str, band: Band | None, above: float = 0.0) -> int:
            if band is None:
                return -1
            return self._of_igniter(igniter, number, what, band, above=above)

        after = -1
        if np.isfinite(data.after_ohm):
            after = self.table.exactly(data.after_ohm)
        plan = BridgePlan(
            igniter,
            heating.basis,
            q("bridge resistance", data.bridge_ohm),
            q("burn-open", data.burn_open, 1.0),
            after,
            lit_C=q("lighting temperature", klass.lit_C),
            alpha_per_K=klass.alpha_per_K,
            model=data.model,
            parameters=tuple(data.parameters.items()),
        )
        if heating.basis == "thermal":
            return evolve(
                plan,
                heat_J_per_K=q("heat capacity", klass.heat_capacity_J_per_K),
                loss_W_per_K=q("heat loss", klass.loss_W_per_K),
            )
        if heating.basis == "threshold":
            return evolve(
                plan,
                threshold_A=q("threshold", klass.threshold_A),
                tau_s=q("time constant", klass.tau_s),
            )
        batch, share = self._batch(igniter)
        own = f"igniter/{self.layout.names[igniter]}/{number}/impulse"
        assert klass.all_fire_A is not None
        assert klass.all_fire_time_s is not None
        return evolve(
            plan,
            threshold_A=q("threshold", heating.threshold_A),
            impulse=self.table.position(
                (own, "igniter itself", igniter), (f"{batch}/impulse", "igniter batch"), share
            ),
            sheet=(
                klass.all_fire_A,
                klass.all_fire_time_s,
                heating.fast[0] ** 2 * heating.fast[1],
                heating.typical[0] ** 2 * heating.typical[1],
            ),
            sheet_top=heating.slow[0] ** 2 * heating.slow[1],
        )

    # ------------------------------------------------------------------ firings

    def _supply(self, box: str, data: SupplyData) -> SupplyPlan:
        index, kind, _ = self.layout.boxes[box]

        def q(what: str, group: Group, band: Band | None, linear: bool = False) -> int:
            if band is None:
                return -1
            return self.table.add(band, (self._of_box(box, what), group, NOBODY), linear=linear)

        internal, ambient = data.internal_ohm, -1
        cold: tuple[tuple[float, float], ...] = ()
        if isinstance(kind.supply, BatterySupply) and kind.supply.internal_ohm is not None:
            internal = kind.supply.internal_ohm
            cold = tuple(
                sorted(
                    (p.at_C, p.internal_ohm_factor)
                    for p in kind.supply.cold_curve
                    if p.internal_ohm_factor is not None
                )
            )
            own = self.layout.show.box[index].ambient_C
            ambient = self._site if own is None else self._ambient(box, own)
        constant = data.limit_A is not None and data.short_circuit_A == data.limit_A
        limit = q("limit", "supply limit", data.limit_A)
        return SupplyPlan(
            emf_V=q("voltage", "supply voltage", data.emf_V, linear=True),
            internal_ohm=q("internal resistance", "supply resistance", internal),
            drop_V=q("diode drop", "switch and diode", diode_drop(kind), linear=True),
            limit_A=limit,
            short_circuit_A=limit
            if constant
            else q("short-circuit current", "supply limit", data.short_circuit_A),
            capacitance_F=q("capacitance", "capacitor", data.capacitance_F),
            recharge_s=q("recharge time", "capacitor", data.recharge_s),
            ambient_C=ambient,
            cold=cold,
            model=data.model,
            parameters=tuple(data.parameters.items()),
        )

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
                    ohm = self.table.exactly(float(r.mesh.branch_ohm[n, 1]))
                    mesh_terms.append(Term(n, 1.0, (ohm,)))
                # Any way that the branch serves names its conductor.
                way = owners[int(np.argmax(r.mesh.string_path[:, n]))]
                for element, leg in elements:
                    mesh_terms += self._terms(element, leg, way, n)
        fall = 0.0
        if data.capacitance_F is None:
            fall = data.emf_V.typical - r.emf_V[1]
        return FiringPlan(
            component=component,
            nodes=of(c.node_start, [len(w.nodes) for w in c.ways]),
            strings=of(c.string_start, [len(w.strings) for w in c.ways]),
            bridges=r.bridges,
            on=on,
            boundaries_s=np.array(r.firing.boundaries_s()),
            start_s=r.firing.start_s,
            end_s=r.firing.end_s,
            supply=self._supply(r.firing.box, data),
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


def _relative(band: Band) -> Band:
    """A band over its typical value."""
    return Band(band.min / band.typical, 1.0, max(band.max / band.typical, 1.0), stated=band.stated)
