"""What each trial of a bench record would do, for many values of what is unknown at once.

The trial's circuits, firings and scatter are those of `bridgewire.uncertainty`: a trial on the
bench and a cue in a show go through the same code.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from attrs import define, evolve, field, frozen

from bridgewire.bench.latents import SCATTER_LOG_SD, Role, Unknown, UnknownTable
from bridgewire.bench.wiring import LoadedRecord, record_path, shot_names
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.diagnostics import Finding
from bridgewire.errors import InputError
from bridgewire.model.band import Band
from bridgewire.model.bench import BenchRecord
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.schedule import make_schedule
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C, simulate
from bridgewire.uncertainty.draws import PlanFired, fire_plan
from bridgewire.uncertainty.plan import FiringPlan, Plan
from bridgewire.uncertainty.quantities import Latent, Quantities
from bridgewire.uncertainty.scatter import band_sigma, make_plan, values_without_tolerance

TOLERANCE = 1e-3
"""Error of x allowed in one step; event times are then good to 2e-5 of themselves."""
LEAST_LEVEL = -3.0
MOST_LEVEL = 3.0
"""Logarithms of levels are kept between these."""


@frozen
class ShotPlan:
    """One shot: its firings, and the columns of the igniters in them."""

    name: str
    firings: tuple[int, ...]
    start_s: tuple[float, ...]
    """Start of each firing, from the start of the shot."""


@frozen(eq=False)
class TrialOutcome:
    """A trial in every draw: arrays of shape (draws, shots, igniters) unless said otherwise.

    Attributes
    ----------
    level : array
        Logarithm of delivered over required current in the shot: above 0 exactly where the
        igniter lights. `MOST_LEVEL` where it was lit in a shot before, `LEAST_LEVEL` where its way
        is not fired.
    light_s : array
        From the start of the shot; 0 where it was lit before, the end of the last pulse where it
        stays dark.
    open_level : array
        Logarithm of the square root of highest temperature over that at which the bridge parts,
        over all shots so far: above 0 exactly where it has parted.
    ohm : array, shape (draws, igniters)
        Cold bridge and leads.
    """

    level: Floats
    light_s: Floats
    open_level: Floats
    ohm: Floats

    @property
    def lit(self) -> Bools:
        """Whether each igniter has been lit by the end of each shot."""
        out: Bools = self.level > 0.0
        return out

    @property
    def parted(self) -> Bools:
        """Whether each bridge has parted by the end of each shot."""
        out: Bools = self.open_level > 0.0
        return out


@frozen(eq=False)
class TrialModel:
    """One trial, ready to be run.

    Attributes
    ----------
    id : str
    igniters : tuple of str
        Ids, in the order of the last axis of outcomes.
    classes : tuple of str
        Full id of the class of each.
    plan : Plan
    columns : int array
        The unknown of each of the plan's latents.
    spread : int array
        The unknown that scales each of them; -1 for none.
    shots : tuple of ShotPlan
    """

    id: str
    igniters: tuple[str, ...]
    classes: tuple[str, ...]
    plan: Plan
    columns: Ints
    spread: Ints
    shots: tuple[ShotPlan, ...]
    bridge_of: tuple[tuple[int, int], ...]
    """Component and bridge of each igniter; (-1, -1) where no shot is on its way."""
    leads: tuple[tuple[int, float], ...]
    """Quantity and factor of each igniter's leads; -1 where it has none."""

    def latent_z(self, z: Floats) -> Floats:
        """Values of the plan's latents: shape (latents, draws), from all unknowns (draws, all)."""
        out = np.ascontiguousarray(z[:, self.columns].T)
        scaled = np.flatnonzero(self.spread >= 0)
        if scaled.size:
            places, back = np.unique(self.spread[scaled], return_inverse=True)
            factor = np.exp(SCATTER_LOG_SD * z[:, places].T)
            out[scaled] *= factor[back]
        return out

    def run(self, z: Floats, tolerance: float = TOLERANCE) -> TrialOutcome:
        """Fire the trial in every draw.

        Parameters
        ----------
        z : array, shape (draws, unknowns)
            Values of all unknowns of the record.
        tolerance : float

        Returns
        -------
        TrialOutcome
        """
        done = fire_plan(self.plan, self.latent_z(z), tolerance)
        return self._outcome(done, z.shape[0])

    def _outcome(self, done: PlanFired, draws: int) -> TrialOutcome:
        count = len(self.igniters)
        shape = (draws, len(self.shots), count)
        level = np.full(shape, LEAST_LEVEL)
        light = np.zeros(shape)
        opened = np.full(shape, LEAST_LEVEL)
        so_far = np.full((draws, count), LEAST_LEVEL)
        ohm = np.full((draws, count), math.nan)
        for i, (component, bridge) in enumerate(self.bridge_of):
            if component < 0:
                continue
            place, factor = self.leads[i]
            lead = done.quantities[place] * factor if place >= 0 else 0.0
            ohm[:, i] = done.states[component].cold_ohm[:, bridge] + lead
        for s, shot in enumerate(self.shots):
            for i, (component, bridge) in enumerate(self.bridge_of):
                one = self._one(shot, component, bridge, done, draws)
                if one is not None:
                    level[:, s, i], light[:, s, i] = one[0], one[1]
                    so_far[:, i] = np.maximum(so_far[:, i], one[2])
            opened[:, s] = so_far
        return TrialOutcome(level, light, opened, ohm)

    def _one(
        self, shot: ShotPlan, component: int, bridge: int, done: PlanFired, draws: int
    ) -> tuple[Floats, Floats, Floats] | None:
        """Level, light time and opening level of one igniter in one shot; None where not fired."""
        best: Floats | None = None
        for n, start in zip(shot.firings, shot.start_s, strict=True):
            plan = self.plan.firings[n]
            if plan.component != component or bridge not in plan.bridges:
                continue
            column = int(np.flatnonzero(plan.bridges == bridge)[0])
            f = done.fired[n]
            length = plan.end_s - plan.start_s
            state = done.states[component]
            if best is None:
                before = f.lit_before[:, column].copy()
                best = np.full(draws, 0.0)
                light = np.full(draws, np.nan)
                part = np.full(draws, 0.0)
            at = f.light_s[:, column]
            tau = f.tau_s[:, column]
            now = ~np.isnan(at)
            u = np.where(now, f.light_u[:, column], 1.0)
            left = np.where(now, np.maximum(length - at, 0.0), 0.0)
            x = np.maximum(u + (1.0 - u) * np.exp(-left / tau), 1.0)
            dark = np.clip(f.peak_x[:, column], 0.0, 1.0 - 1e-12)
            best = np.maximum(best, np.where(now, x, dark))
            light = np.where(np.isnan(light) & now, at + start, light)
            b = state.burn_open[:, bridge]
            gone = f.part_s[:, column]
            parts = ~np.isnan(gone)
            ratio = f.peak_A[:, column] / state.threshold_A[:, bridge]
            high = np.maximum(ratio * ratio * (1.0 + state.rise_per_x[:, bridge] * b), b)
            rest = np.where(parts, np.maximum(length - gone, 0.0), 0.0)
            top = high + (b - high) * np.exp(-rest / tau)
            closed = np.minimum(f.peak_x[:, column], b * (1.0 - 1e-12))
            part = np.maximum(part, np.where(parts, np.maximum(top, b), closed) / b)
            end = start + length
        if best is None:
            return None
        with np.errstate(divide="ignore"):
            level = np.clip(0.5 * np.log(best), LEAST_LEVEL, MOST_LEVEL)
            part = np.clip(0.5 * np.log(part), LEAST_LEVEL, MOST_LEVEL)
        level = np.where(before, MOST_LEVEL, level)
        light = np.where(before, 0.0, np.where(np.isnan(light), end, light))
        return level, light, part


@frozen(eq=False)
class BenchModel:
    """All trials of a record over one list of unknowns."""

    record: BenchRecord
    unknowns: tuple[Unknown, ...]
    trials: tuple[TrialModel, ...]
    sigmas: float
    """Standard deviations between a band's typical value and its ends."""
    loaded: LoadedRecord = field(repr=False)
    exact: tuple[str, ...] = ()
    """Groups of values without a stated tolerance: taken as exact."""

    @property
    def size(self) -> int:
        """How many unknowns there are."""
        return len(self.unknowns)

    def places(self, *roles: Role) -> Ints:
        """Numbers of the unknowns of some roles."""
        return np.array([n for n, u in enumerate(self.unknowns) if u.role in roles], dtype=np.intp)

    def run(
        self, z: Floats, only: Sequence[int] | None = None, *, threads: int = 1
    ) -> list[TrialOutcome]:
        """Fire the trials in every draw.

        Parameters
        ----------
        z : array, shape (draws, unknowns)
        only : sequence of int, optional
            Numbers of trials; all where absent.
        threads : int
            Trials run beside each other.

        Returns
        -------
        list of TrialOutcome
        """
        wanted = [self.trials[i] for i in (range(len(self.trials)) if only is None else only)]
        if threads <= 1 or len(wanted) < 2:
            return [t.run(z) for t in wanted]
        with ThreadPoolExecutor(threads) as pool:
            return list(pool.map(lambda t: t.run(z), wanted))


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
    built: list[_Built | None] = []
    for index, layout in enumerate(loaded.layouts):
        one = _build(loaded, index, layout, exact, findings)
        built.append(one)
    if findings:
        raise InputError(tuple(findings))
    trials = tuple(
        _trial_model(loaded, index, one, table)
        for index, one in enumerate(built)
        if one is not None
    )
    sigmas = band_sigma(loaded.layouts[0]) if loaded.layouts else 3.0
    return BenchModel(
        loaded.record, tuple(table.rows.values()), trials, sigmas, loaded, tuple(sorted(exact))
    )


@define
class _Built:
    layout: Layout
    assessment: Assessment
    plan: Plan
    shots: tuple[ShotPlan, ...]


def _build(
    loaded: LoadedRecord,
    index: int,
    layout: Layout,
    exact: set[str],
    findings: dict[Finding, None],
) -> _Built | None:
    """Simulate a trial once at typical values, which gives its circuits, and plan its draws."""
    ambient = layout.show.site.ambient_C or UNKNOWN_AMBIENT_C
    schedule = make_schedule(layout, {})
    simulation = simulate(layout, CircuitBuilder(layout, ambient), schedule)
    for way, missing in simulation.unknown.items():
        for lack in missing:
            shot = next(n for n, c in enumerate(layout.cues) if c.way == way)
            path = record_path(loaded.record, index, ("cue", shot, "fire"))
            findings[
                Finding(
                    "KIT001",
                    f"{lack.item} states no {lack.key}, so that trial "
                    f"{loaded.record.trial[index].id!r} cannot be computed",
                    path=path,
                    document="bench",
                    expected=f"{lack.key} in the kit profile, as wide a band as you like",
                    location=loaded.document.spans.locate(path),
                )
            ] = None
    if not simulation.unknown and not simulation.results:
        trial = loaded.record.trial[index]
        findings[
            Finding(
                "DOC005",
                f"trial {trial.id!r} has no shot at an igniter",
                path=("trial", index),
                document="bench",
                expected="[[trial.shot]] on a way with igniters, or rows of the filled-in form",
                location=loaded.document.spans.locate(("trial", index)),
            )
        ] = None
    if simulation.unknown or not simulation.results:
        return None
    assessment = Assessment(layout, schedule, simulation, ())
    plan = make_plan(assessment, simulation.results, ())
    shots: list[ShotPlan] = []
    for cue, name in enumerate(shot_names(loaded.record.trial[index])):
        mine = [n for n, r in enumerate(simulation.results) if r.firing.pulses[0].cue == cue]
        begin = schedule.switch_s[cue]
        starts = tuple(simulation.results[n].firing.start_s - begin for n in mine)
        shots.append(ShotPlan(name, tuple(mine), starts))
    exact.update(values_without_tolerance(assessment))
    return _Built(layout, assessment, plan, tuple(shots))


def _trial_model(
    loaded: LoadedRecord, index: int, built: _Built, table: UnknownTable
) -> TrialModel:
    trial = loaded.record.trial[index]
    layout = built.layout
    plan = _with_readings(loaded.record, index, built)
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


# ---------------------------------------------------------------------- supply readings


def _with_readings(record: BenchRecord, index: int, built: _Built) -> Plan:
    """The plan with the supply voltage that was read before each shot."""
    trial, plan = record.trial[index], built.plan
    tolerance = record.meter.voltage_tol_V
    sigmas = band_sigma(built.layout)
    latents = list(plan.quantities.latents)
    rows: list[tuple[int, float, float, float]] = []
    firings: list[FiringPlan] = list(plan.firings)
    count = plan.quantities.typical.size
    for shot, spec in zip(built.shots, trial.shot, strict=True):
        if spec.supply_V is None:
            continue
        band = spec.supply_V
        if not band.stated and tolerance is not None:
            band = Band.with_tolerance(band.typical, tolerance)
        latent = -1
        if band.max > band.min:
            latent = len(latents)
            latents.append(Latent(f"shot/{shot.name}/voltage", "supply voltage"))
        up, down = (band.max - band.typical) / sigmas, (band.typical - band.min) / sigmas
        rows.append((latent, band.typical, up, down))
        place = count + len(rows) - 1
        for k, n in enumerate(shot.firings):
            f = firings[n]
            again = f.after if k else -1
            supply = evolve(f.supply, emf_V=place)
            firings[n] = evolve(f, supply=supply, fall_V=0.0, after=again)
    return evolve(
        plan,
        quantities=_extended(plan.quantities, tuple(latents), rows),
        firings=tuple(firings),
    )


def _extended(
    q: Quantities, latents: tuple[Latent, ...], rows: Sequence[tuple[int, float, float, float]]
) -> Quantities:
    """Quantities with some more, each with a latent of its own on a straight scale."""
    none, before = len(latents), len(q.latents)
    n = len(rows)
    own = np.array([none if r[0] < 0 else r[0] for r in rows], dtype=np.intp)

    def moved(places: Ints) -> Ints:
        return np.where(places == before, none, places).astype(np.intp)

    def joined(old: Floats, new: Sequence[float] | Floats) -> Floats:
        return np.concatenate([old, np.asarray(new, dtype=np.float64)])

    return Quantities(
        latents,
        np.concatenate([moved(q.common), np.full(n, none, dtype=np.intp)]),
        np.concatenate([moved(q.own), own]),
        joined(q.common_weight, np.zeros(n)),
        joined(q.own_weight, np.ones(n)),
        joined(q.typical, [r[1] for r in rows]),
        joined(q.up, [r[2] for r in rows]),
        joined(q.down, [r[3] for r in rows]),
        np.concatenate([q.linear, np.ones(n, dtype=bool)]),
        joined(q.offset, np.zeros(n)),
        joined(q.least, np.zeros(n)),
        joined(q.most, np.full(n, np.inf)),
    )


def unknown_numbers(model: BenchModel) -> Mapping[str, int]:
    """Number of each unknown by its key."""
    return {u.key: n for n, u in enumerate(model.unknowns)}


def carried(model: BenchModel, keys: Sequence[str], values: Floats, fresh: Floats) -> Floats:
    """Values of a model's unknowns, those of another model where the names agree.

    Used to ask what a trial that has not been made would show: compile a record with that trial
    in it, and carry over what the trials made so far say.

    Parameters
    ----------
    model : BenchModel
        Of the new record.
    keys : sequence of str
        Of the columns of `values`.
    values : array, shape (draws, len(keys))
    fresh : array, shape (draws, model.size)
        Standard normal values for all that is not carried.

    Returns
    -------
    array, shape (draws, model.size)
    """
    out = fresh.copy()
    numbers = unknown_numbers(model)
    for column, key in enumerate(keys):
        if key in numbers:
            out[:, numbers[key]] = values[:, column]
    return out
