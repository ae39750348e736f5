"""Makes the forward model of a bench record: its trials over one list of unknowns."""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.forward import BenchModel, ShotPlan, TrialModel
from bridgewire.bench.latents import Role, UnknownTable
from bridgewire.bench.supply_readings import with_supply_readings
from bridgewire.bench.wiring import LoadedRecord, record_path, record_sigma, shot_names
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.diagnostics import Finding
from bridgewire.errors import InputError
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.schedule import make_schedule
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C, Simulation, simulate
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import Latent
from bridgewire.uncertainty.scatter import make_plan, values_without_tolerance


def compile_record(loaded: LoadedRecord) -> BenchModel:
    """Make the forward model of a record.

    Parameters
    ----------
    loaded : LoadedRecord

    Returns
    -------
    BenchModel

    Raises
    ------
    InputError
        With every value that the kits lack and a trial needs.
    """
    table = UnknownTable()
    exact: set[str] = set()
    findings: dict[Finding, None] = {}
    built: list[_Built] = []
    for index, layout in enumerate(loaded.layouts):
        one = _build(loaded, index, layout)
        if isinstance(one, _Built):
            built.append(one)
            exact.update(values_without_tolerance(one.assessment))
        else:
            findings.update(dict.fromkeys(one))
    if findings:
        raise InputError(tuple(findings))
    trials = tuple(_trial_model(loaded, index, one, table) for index, one in enumerate(built))
    sigmas = record_sigma(loaded.record)
    return BenchModel(
        loaded.record, tuple(table.rows.values()), trials, sigmas, loaded, tuple(sorted(exact))
    )


@frozen(eq=False)
class _Built:
    """A trial, simulated once at typical values, with the plan of its draws."""

    layout: Layout
    assessment: Assessment
    plan: Plan
    shots: tuple[ShotPlan, ...]


def _build(loaded: LoadedRecord, index: int, layout: Layout) -> _Built | tuple[Finding, ...]:
    """Simulate a trial, which gives its circuits, and plan its draws; or say what it lacks."""
    ambient = layout.show.site.ambient_C or UNKNOWN_AMBIENT_C
    schedule = make_schedule(layout, {})
    simulation = simulate(layout, CircuitBuilder(layout, ambient), schedule)
    if simulation.unknown or not simulation.results:
        return _what_it_lacks(loaded, index, layout, simulation)
    assessment = Assessment(layout, schedule, simulation, ())
    trial = loaded.record.trial[index]
    shots: list[ShotPlan] = []
    for cue, name in enumerate(shot_names(trial)):
        mine = [n for n, r in enumerate(simulation.results) if r.firing.pulses[0].cue == cue]
        begin = schedule.switch_s[cue]
        starts = tuple(simulation.results[n].firing.start_s - begin for n in mine)
        shots.append(ShotPlan(name, tuple(mine), starts))
    plan = with_supply_readings(
        make_plan(assessment, simulation.results, ()),
        trial,
        shots,
        loaded.record.meter,
        record_sigma(loaded.record),
    )
    return _Built(layout, assessment, plan, tuple(shots))


def _what_it_lacks(
    loaded: LoadedRecord, index: int, layout: Layout, simulation: Simulation
) -> tuple[Finding, ...]:
    """Why a trial cannot be computed."""
    trial, spans = loaded.record.trial[index], loaded.document.spans
    found: list[Finding] = []
    for way, missing in simulation.unknown.items():
        shot = next(n for n, c in enumerate(layout.cues) if c.way == way)
        path = record_path(loaded.record, index, ("cue", shot, "fire"))
        found += [
            Finding(
                "KIT001",
                f"{lack.item} states no {lack.key}, so that trial {trial.id!r} cannot be computed",
                path=path,
                document="bench",
                expected=f"{lack.key} in the kit profile, as wide a band as you like"
                + (", or supply_V of the box in the record" if "charge_curve" in lack.key else ""),
                location=spans.locate(path),
            )
            for lack in missing
        ]
    if not found:
        path = ("trial", index)
        found.append(
            Finding(
                "DOC005",
                f"trial {trial.id!r} has no shot at an igniter",
                path=path,
                document="bench",
                expected="[[trial.shot]] on a way with igniters, or rows of the filled-in form",
                location=spans.locate(path),
            )
        )
    return tuple(found)


def _trial_model(
    loaded: LoadedRecord, index: int, built: _Built, table: UnknownTable
) -> TrialModel:
    """A trial's model; each of its latents gets an unknown of the record."""
    trial = loaded.record.trial[index]
    layout = built.layout
    plan = built.plan
    numbers = {p.index: n for n, p in enumerate(layout.igniters)}
    owner = f"bench/{trial.bench}" if trial.bench is not None else f"trial/{trial.id}"
    columns, spread = [], []
    for latent in plan.quantities.latents:
        scale = -1
        if latent.key.startswith("shot/"):
            key = f"trial/{trial.id}/{latent.key}"
            place = table.add(key, "shot", latent.group, index)
        elif latent.group == "igniter itself":
            n = numbers[latent.owner]
            key = f"trial/{trial.id}/{latent.key}"
            place = table.add(key, "igniter", latent.group, index, n)
            what = latent.key.rsplit("/", 1)[1]
            name = f"scatter/{layout.igniters[n].class_id}/{what}"
            scale = table.add(name, "scatter", latent.group, index)
        elif _own_wiring(latent):
            place = table.add(f"{owner}/{latent.key}", "wiring", latent.group, index)
        else:
            key, role = _common(latent, layout, trial.id, trial.ambient_C is not None)
            place = table.add(key, role, latent.group, index)
        columns.append(place)
        spread.append(scale)
    bridge_of = _bridges(built, plan)
    return TrialModel(
        trial.id,
        tuple(layout.names[p.index] for p in layout.igniters),
        tuple(p.class_id for p in layout.igniters),
        plan,
        np.array(columns, dtype=np.intp),
        np.array(spread, dtype=np.intp),
        built.shots,
        bridge_of,
        tuple(_lead(plan, place) for place in bridge_of),
    )


def _own_wiring(latent: Latent) -> bool:
    head = latent.key.split("/", 1)[0]
    return head in ("cable", "length", "contact", "inner", "switch", "diode", "strip", "splitter")


def _common(latent: Latent, layout: Layout, trial: str, own_ambient: bool) -> tuple[str, Role]:
    """Name and role of an unknown that all trials share; boxes go by their kind."""
    head, _, rest = latent.key.partition("/")
    if head == "ambient" and (own_ambient or rest != "site"):
        return f"trial/{trial}/{latent.key}", "shot"
    if head == "box":
        box, _, what = rest.partition("/")
        if what == "voltage":
            return f"trial/{trial}/{latent.key}", "shot"
        return f"kind/{layout.boxes[box][2]}/{what}", "common"
    return latent.key, "common"


def _bridges(built: _Built, plan: Plan) -> tuple[tuple[int, int], ...]:
    """Where each igniter's bridge is."""
    found: dict[int, tuple[int, int]] = {}
    for c, component in enumerate(plan.components):
        for b, bridge in enumerate(component.bridges):
            found[bridge.igniter] = (c, b)
    return tuple(found.get(p.index, (-1, -1)) for p in built.layout.igniters)


def _lead(plan: Plan, place: tuple[int, int]) -> tuple[int, float]:
    """The leads of a bridge: the term of its own on its string."""
    component, bridge = place
    if component < 0:
        return -1, 0.0
    c = plan.components[component]
    string = int(c.bridge_string[bridge])
    number = int(np.sum(c.bridge_string[:bridge] == string))
    # Extra lead is metal; what has none is an igniter's own.
    own = [t for t in c.string_terms if t.target == string and t.metal is None]
    if number >= len(own):
        return -1, 0.0
    return own[number].factors[0], own[number].ohm
