"""Where the values of circuits, igniters and supplies come from: quantities and their causes.

What varies together, and how, says `bridgewire.uncertainty.scatter`.
"""

from __future__ import annotations

from collections import defaultdict

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
from bridgewire.timeline.outcomes import Assessment
from bridgewire.uncertainty.joint import Joint, joint_of
from bridgewire.uncertainty.plan import BridgePlan, ComponentPlan, SupplyPlan, Term
from bridgewire.uncertainty.quantities import NOBODY, Group, QuantityTable
from bridgewire.uncertainty.shares import SHARES, band_sigma

COLDEST_C, HOTTEST_C = -60.0, 80.0
"""Drawn ambient temperatures are kept between these, which shows may state."""


@define
class ValueSources:
    """Finds the sources of values, and notes which of them nobody states a tolerance for."""

    assessment: Assessment
    table: QuantityTable = field(init=False)
    exact: set[str] = field(factory=set)
    """Groups in which some value is taken as exact."""
    site: int = field(init=False, default=-1)
    """Place of the site's ambient temperature."""
    joint: Joint = field(init=False)

    def __attrs_post_init__(self) -> None:
        catalogue = self.layout.catalogue
        self.joint = joint_of((kit, catalogue.samples[kit]) for kit in catalogue.samples)

    @property
    def layout(self) -> Layout:
        """Of the show."""
        return self.assessment.layout

    def start(self) -> None:
        """Begin a table for another plan."""
        self.table = QuantityTable(band_sigma(self.layout), self.exact, self.joint.together)
        self.site = self._ambient("site", self.assessment.simulation.ambient_C)

    def _ambient(self, where: str, band: Band) -> int:
        return self.table.add(
            band,
            (f"ambient/{where}", "ambient", NOBODY),
            linear=True,
            least=COLDEST_C,
            most=HOTTEST_C,
        )

    # ------------------------------------------------------------------ circuits

    def component(self, c: Component) -> ComponentPlan:
        nodes: list[Term] = []
        strings: list[Term] = []
        bridges: list[BridgePlan] = []
        for way, n0, s0 in zip(c.ways, c.node_start, c.string_start, strict=True):
            for i, node in enumerate(way.nodes):
                for element in node.elements:
                    nodes += self.terms(element, "loop", way.key, n0 + i)
            numbers = self._numbers(way)
            for i, string in enumerate(way.strings):
                owners = iter(string.bridges)
                for element in string.elements:
                    if element.kind == "lead" and element.cable is None:
                        bridge = next(owners)
                        igniter = way.bridge_igniter[bridge]
                        strings.append(self._own_lead(element, igniter, numbers[bridge], s0 + i))
                    else:
                        strings += self.terms(element, "loop", way.key, s0 + i)
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

    def terms(self, e: Element, leg: str, way: WayKey, target: int) -> list[Term]:
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
        if np.isfinite(data.after_ohm.typical):
            after = self.table.exactly(data.after_ohm.typical)
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

    # ------------------------------------------------------------------ supplies

    def supply(self, box: str, data: SupplyData) -> SupplyPlan:
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
            ambient = self.site if own is None else self._ambient(box, own)
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


def _relative(band: Band) -> Band:
    """A band over its typical value."""
    return Band(band.min / band.typical, 1.0, max(band.max / band.typical, 1.0), stated=band.stated)
