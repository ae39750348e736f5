"""Asks the check itself whether circuits light, hundreds of them in one made-up show.

Every circuit gets a box of its own, so that nothing in one acts on another.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from attrs import define, evolve, field, frozen

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.resolve import resolve
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.diagnostics import Finding
from bridgewire.errors import BridgewireError
from bridgewire.model.band import Band
from bridgewire.model.show import Box, Cue, Igniter, Requirements, Run, Show, Splitter, Strip
from bridgewire.planner.circuits import Circuit
from bridgewire.planner.clock import Clock
from bridgewire.planner.demands import breaks_demand
from bridgewire.planner.loads import Load
from bridgewire.planner.problem import Problem
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import all_rules
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import CueOutcome, Verdict
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C
from bridgewire.uncertainty.proof import proven

BATCH = 100
"""Circuits in one made-up show: few enough to look at the clock in between."""
NO_MATTER = frozenset({"WIR008", "WIR009", "WIR014"})
"""Rules about coordinates and parts that hang on nothing, of which a made-up show has none."""
MOMENT_S = 100_000.0
"""When every made-up cue comes: late enough for any fuse before it."""

Question = tuple[Circuit, float]
"""A circuit and the pulse that fires it, s."""


@frozen
class Answer:
    """What the check says of a circuit.

    Attributes
    ----------
    why : tuple of str
        Codes of what stands against it; empty where it is sure and meets every requirement.
    earliest_s, latest_s : float
        Light times over all its igniters, s; infinite where one may not light.
    """

    why: tuple[str, ...]
    earliest_s: float
    latest_s: float

    @property
    def good(self) -> bool:
        """Whether nothing stands against it."""
        return not self.why


@define(eq=False)
class Judge:
    """Checks circuits of a plan site against requirements, and remembers the answers.

    Attributes
    ----------
    problem : Problem
    requirements : Requirements
    clock : Clock
        Looked at before each made-up show.
    answers : dict
        By circuit and pulse.
    """

    problem: Problem
    requirements: Requirements
    clock: Clock = field(factory=Clock)
    answers: dict[Question, Answer] = field(factory=dict)
    _ohm: dict[Circuit, float] = field(factory=dict)

    def ask(self, questions: Iterable[Question]) -> None:
        """Check circuits that are not known yet.

        Raises
        ------
        OutOfTimeError
            If the time is up; the answers that are there already stay.
        """
        open_ones = [q for q in dict.fromkeys(questions) if q not in self.answers]
        for start in range(0, len(open_ones), BATCH):
            self.clock.look()
            batch = open_ones[start : start + BATCH]
            self.answers.update(zip(batch, self._checked(batch), strict=True))

    def worst_ohm(self, circuits: Sequence[Circuit]) -> Mapping[Circuit, float]:
        """Largest loop resistance from the supply to the terminal of each circuit's first load."""
        new = [c for c in dict.fromkeys(circuits) if c not in self._ohm]
        for start in range(0, len(new), 4 * BATCH):
            self.clock.look()
            batch = new[start : start + 4 * BATCH]
            layout = self._layout([(c, 1.0) for c in batch])
            builder = CircuitBuilder(layout, layout.show.site.ambient_C or UNKNOWN_AMBIENT_C)
            for i, circuit in enumerate(batch):
                way = builder.way((_name(i), 1, 1))
                nodes = way.path_to(0) if way.strings else []
                known = nodes and not way.missing
                ohm = sum(float(way.node_ohm[n][2]) for n in nodes) if known else math.inf
                self._ohm[circuit] = ohm
        return {c: self._ohm[c] for c in circuits}

    def _checked(self, batch: Sequence[Question]) -> list[Answer]:
        assessment = proven(assess(self._layout(batch)))
        rules = [r for r in all_rules() if r.rule.code not in NO_MATTER]
        findings, _ = run_rules(Context(assessment), rules)
        against: dict[str, set[str]] = defaultdict(set)
        for finding in findings:
            if breaks_demand(finding, self.requirements):
                for name in _concerned(finding):
                    against[name].add(finding.code)
        return [_answer(cue, against[_name(i)]) for i, cue in enumerate(assessment.cues)]

    def _layout(self, batch: Sequence[Question]) -> Layout:
        show = self._show(batch)
        layout, problems = resolve(show, self.problem.catalogue, self.problem.models)
        if layout is None:
            reasons = "; ".join(dict.fromkeys(p.message for p in problems))
            raise BridgewireError(f"what is wanted cannot be wired: {reasons}")
        return layout

    def _show(self, batch: Sequence[Question]) -> Show:
        site = self.problem.site
        benches = [self._bench(_name(i), *question) for i, question in enumerate(batch)]
        return Show(
            1,
            "circuits of a plan",
            tuple(self.problem.catalogue.kits),
            site=site.site,
            requirements=evolve(self.requirements, reliability=None),
            scatter=site.scatter,
            box=tuple(b.box for b in benches),
            strip=tuple(s for b in benches for s in b.strips),
            splitter=tuple(s for b in benches for s in b.splitters),
            run=tuple(r for b in benches for r in b.runs),
            igniter=tuple(i for b in benches for i in b.igniters),
            cue=tuple(b.cue for b in benches),
        )

    def _bench(self, name: str, circuit: Circuit, pulse_s: float) -> _Bench:
        """One circuit on output 1, way 1 of a box of its own."""
        plan = self.problem.site.plan
        stock = self.problem.shelf.boxes[circuit.box]
        strips: list[Strip] = []
        splitters: list[Splitter] = []
        runs: list[Run] = []
        igniters: list[Igniter] = []
        for k, hop in enumerate(circuit.hops):
            part = f"{name} part {k}"
            if self.problem.catalogue.strips.get(hop.part) is not None:
                strips.append(Strip(part, hop.part))
            else:
                splitters.append(Splitter(part, hop.part))
            runs.append(
                Run(
                    f"{name}/1" if hop.parent < 0 else f"{name} part {hop.parent}",
                    part,
                    hop.lay.cable,
                    length_m=run_band(hop.lay.length_m, plan.run_tol_pct),
                    joints=hop.lay.joints,
                    joint_contact=plan.joint_contact if hop.lay.joints else None,
                )
            )
            igniters += _igniters(part, hop.load)
        return _Bench(
            Box(
                name,
                stock.item,
                supply_V=stock.supply_V,
                charge_pct=stock.charge_pct,
                standby_s=stock.standby_s,
            ),
            strips,
            splitters,
            runs,
            igniters,
            _cue(name, [h.load for h in circuit.hops if h.load is not None], pulse_s),
        )


@frozen
class _Bench:
    """One circuit of a made-up show."""

    box: Box
    strips: Sequence[Strip]
    splitters: Sequence[Splitter]
    runs: Sequence[Run]
    igniters: Sequence[Igniter]
    cue: Cue


def _igniters(part: str, load: Load | None) -> list[Igniter]:
    if load is None:
        return []
    return [
        Igniter(
            f"{part}/1",
            lit.igniter_class,
            id=f"{part} igniter {j}",
            count=lit.count,
            connection=lit.connection,
            fuse=load.fuses[j] if load.fuses else None,
        )
        for j, lit in enumerate(load.parts)
    ]


def _cue(name: str, loads: Sequence[Load], pulse_s: float) -> Cue:
    by_effect = any(x.by_effect for x in loads)
    latest = [x.latest_light_s for x in loads if x.latest_light_s is not None]
    spread = [x.spread_s for x in loads if x.spread_s is not None]
    return Cue(
        name,
        fire=f"{name}/1/1",
        time_s=None if by_effect else MOMENT_S,
        effect_at_s=MOMENT_S if by_effect else None,
        pulse_s=pulse_s,
        together=any(x.together for x in loads),
        spread_s=min(spread, default=None),
        latest_light_s=min(latest, default=None),
    )


def run_band(length_m: float, tol_pct: float) -> Band:
    """Length of a run with its tolerance."""
    return Band.with_percent(length_m, tol_pct) if tol_pct else Band.exact(length_m)


def _name(i: int) -> str:
    return f"q{i}"


def _concerned(finding: Finding) -> set[str]:
    names = {s.split(" ", 1)[0].split("/", 1)[0] for s in finding.subjects}
    return {n for n in names if n.startswith("q") and n[1:].isdecimal()}


def _answer(cue: CueOutcome, against: set[str]) -> Answer:
    why = set(against)
    if cue.verdict is not Verdict.SURE:
        why.add("FIR009" if cue.verdict in (None, Verdict.UNKNOWN) else "FIR002")
    light = [i.light for i in cue.meant]
    return Answer(
        tuple(sorted(why)),
        min((t.earliest for t in light), default=math.inf),
        max((t.latest for t in light), default=math.inf),
    )
