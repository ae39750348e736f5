"""Unknowns in the units and words of kit profiles: what each common unknown is the value of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np
from attrs import field, frozen

from bridgewire.bench.forward import BenchModel, TrialModel, unknown_numbers
from bridgewire.bench.latents import SCATTER_LOG_SD
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, CapacitorSupply, ModelSupply
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.network import Floats

Table = Literal["box", "cable", "contact", "strip", "splitter", "igniter_class"]

_CLASS_KEYS = {
    "bridge resistance": ("bridge_ohm", "Ω"),
    "leads": ("lead_ohm", "Ω"),
    "burn-open": ("burn_open", ""),
    "lighting temperature": ("lit_C", "°C"),
    "heat capacity": ("heat_capacity_J_per_K", "J/K"),
    "heat loss": ("loss_W_per_K", "W/K"),
    "threshold": ("threshold_A", "A"),
    "time constant": ("tau_s", "s"),
}
"""Key and unit of each value of an igniter class, by the name of its unknown."""
_BOX_KEYS = {
    "internal resistance": ("supply.internal_ohm", "Ω"),
    "limit": ("supply.limit.limit_A", "A"),
    "short-circuit current": ("supply.limit.short_circuit_A", "A"),
    "capacitance": ("supply.capacitance_F", "F"),
    "recharge time": ("supply.recharge_s", "s"),
    "diode drop": ("path.diode.drop_V", "V"),
    "switches": ("switch_ohm", "Ω"),
}


@frozen(eq=False)
class Parameter:
    """One value of one kit entry.

    Its typical value (of a class, a drum, a kind of contact, a box) follows from one unknown; a
    single igniter, cable or contact scatters about that by an unknown of its own.

    Attributes
    ----------
    unknown : int
        Of the typical value.
    table, kit, id, key, unit : str
        Where it stands in kit profiles, as in ``[[cable]]``, ``ohm_per_m``.
    prior : Band or None
        What the kit says; None for a value that follows from a data sheet.
    scatter : int
        Unknown of how widely single ones scatter; -1 where that is not learned.
    """

    unknown: int
    table: Table
    kit: str
    id: str
    key: str
    unit: str
    prior: Band | None
    scatter: int
    straight: bool
    """Whether it scatters on a straight scale; else on a logarithmic one."""
    weight: float
    """Of the common unknown: root of its share of the variance."""
    own_weight: float
    """Of a single one's own."""
    _typical: float = field(repr=False)
    _up: float = field(repr=False)
    _down: float = field(repr=False)
    _offset: float = field(repr=False)
    _scale: float = field(repr=False)

    @property
    def label(self) -> str:
        """A short name for a person.

        ``clip-on-short heat_capacity_J_per_K``
        """
        return f"{self.id} {self.key}"

    @property
    def column(self) -> str:
        """Its name in a file of samples."""
        return f"{self.table}/{self.id}/{self.key}"

    def value(self, place: Floats) -> Floats:
        """Value at a place in the band, counted in the band's standard deviations.

        Parameters
        ----------
        place : array
            0 is the kit's typical value, ``band_sigma`` its upper end.
        """
        z = np.where(place > 0.0, self._up, self._down) * place
        raw = self._typical + z if self.straight else self._typical * np.exp(np.clip(z, -50, 50))
        out: Floats = self._scale * (raw + self._offset)
        return out

    def typical(self, z: Floats) -> Floats:
        """Typical value of the entry in draws of all unknowns (draws, unknowns)."""
        return self.value(self.weight * z[:, self.unknown])

    def own_sd(self, z: Floats) -> Floats:
        """How widely single ones scatter, in the band's standard deviations."""
        if self.scatter < 0:
            return np.full(z.shape[0], self.own_weight)
        out: Floats = self.own_weight * np.exp(SCATTER_LOG_SD * z[:, self.scatter])
        return out

    def single(self, z: Floats, own: Floats) -> Floats:
        """Values of single ones: `own` is a standard normal value for each draw."""
        return self.value(self.weight * z[:, self.unknown] + self.own_sd(z) * own)

    def own_sd_pct(self, z: Floats) -> Floats:
        """Scatter of single ones about the typical value, per cent of it."""
        here = self.typical(z)
        sd = self.own_sd(z)
        place = self.weight * z[:, self.unknown]
        half = 0.5 * (self.value(place + sd) - self.value(place - sd))
        out: Floats = 100.0 * half / np.maximum(np.abs(here), 1e-12)
        return out


def parameters_of(model: BenchModel) -> tuple[Parameter, ...]:
    """All parameters that a record's circuits touch, by table and id.

    Parameters
    ----------
    model : BenchModel

    Returns
    -------
    tuple of Parameter
    """
    catalogue = model.loaded.layouts[0].catalogue if model.loaded.layouts else Catalogue({})
    found: list[Parameter] = []
    numbers = unknown_numbers(model)
    for n in model.places("common").tolist():
        named = _named(model.unknowns[n].key, catalogue)
        source = _source(model, n)
        if named is None or source is None:
            continue
        table, full, key, unit, band = named
        trial, q = source
        quantities = trial.plan.quantities
        none = len(quantities.latents)
        from_common = quantities.common[q] != none
        weight = float(quantities.common_weight[q] if from_common else quantities.own_weight[q])
        own = float(quantities.own_weight[q]) if from_common else 0.0
        what = model.unknowns[n].key.rsplit("/", 1)[1]
        middle = float(quantities.typical[q] + quantities.offset[q])
        scale = 1.0 if band is None or middle <= 0.0 else band.typical / middle
        kit, ident = full.split(":", 1)
        found.append(
            Parameter(
                n,
                table,
                kit,
                ident,
                key,
                unit,
                band,
                numbers.get(f"scatter/{full}/{what}", -1) if table == "igniter_class" else -1,
                bool(quantities.linear[q]),
                weight,
                own,
                float(quantities.typical[q]),
                float(quantities.up[q]),
                float(quantities.down[q]),
                float(quantities.offset[q]),
                scale,
            )
        )
    order = ("box", "cable", "contact", "strip", "splitter", "igniter_class")
    return tuple(sorted(found, key=lambda p: (order.index(p.table), p.kit, p.id)))


def _source(model: BenchModel, unknown: int) -> tuple[TrialModel, int] | None:
    """A trial and the quantity in it that an unknown moves."""
    for t in sorted(model.unknowns[unknown].trials):
        trial = model.trials[t]
        latents = np.flatnonzero(trial.columns == unknown)
        q = trial.plan.quantities
        for latent in latents.tolist():
            places = np.flatnonzero((q.common == latent) | (q.own == latent)).tolist()
            switches = [
                p
                for p in places
                if int(q.own[p]) < len(q.latents)
                and q.latents[int(q.own[p])].key.startswith("switch/")
            ]
            if places:
                return trial, (switches or places)[0]
    return None


def _named(key: str, catalogue: Catalogue) -> tuple[Table, str, str, str, Band | None] | None:
    """Table, full id, key, unit and band of the entry that a common unknown stands for."""
    head, _, rest = key.partition("/")
    if head == "batch":
        full, _, what = rest.rpartition("/")
        entry = catalogue.igniters.get(full)
        if entry is None or what not in _CLASS_KEYS:
            return None
        name, unit = _CLASS_KEYS[what]
        return "igniter_class", full, name, unit, getattr(entry, name)
    if head == "kind":
        full, _, what = rest.rpartition("/")
        kind = catalogue.boxes.get(full)
        return None if kind is None or what not in _BOX_KEYS else _of_box(full, kind, what)
    if head == "drum":
        full = rest.split("/", 1)[0]
        cable = catalogue.cables.get(full)
        if cable is None or "/" in rest:
            return None
        return "cable", full, "ohm_per_m", "Ω/m", cable_ohm_per_m(cable)
    if head == "contact-kind":
        contact = catalogue.contacts.get(rest)
        return (
            None if contact is None else ("contact", rest, "contact_ohm", "Ω", contact.contact_ohm)
        )
    if head == "strip-kind":
        strip = catalogue.strips.get(rest)
        return None if strip is None else ("strip", rest, "inner_ohm", "Ω", strip.inner_ohm)
    if head == "splitter-kind":
        part = catalogue.splitters.get(rest)
        return None if part is None else ("splitter", rest, "inner_ohm", "Ω", part.inner_ohm)
    return None


def _of_box(full: str, kind: BoxKind, what: str) -> tuple[Table, str, str, str, Band | None] | None:
    key, unit = _BOX_KEYS[what]
    supply = kind.supply
    if what == "switches":
        return "box", full, key, unit, kind.switch_ohm
    if what == "diode drop":
        return "box", full, key, unit, kind.path.diode.drop_V if kind.path.diode else None
    if isinstance(supply, ModelSupply):
        return None
    if what == "internal resistance":
        if isinstance(supply, CapacitorSupply):
            return "box", full, "supply.series_ohm", unit, supply.series_ohm
        return "box", full, key, unit, supply.internal_ohm
    if what in ("limit", "short-circuit current"):
        if supply.limit is None:
            return None
        name = "limit_A" if what == "limit" else "short_circuit_A"
        return "box", full, key, unit, getattr(supply.limit, name)
    if isinstance(supply, CapacitorSupply):
        name = key.rsplit(".", 1)[1]
        return "box", full, key, unit, getattr(supply, name)
    return None


@frozen(eq=False)
class ClassValues:
    """Threshold and time constant of an igniter class, of its typical igniter."""

    class_id: str
    threshold_A: Floats
    tau_s: Floats
    single_threshold_A: Floats
    """Of single igniters: scatter is in it."""
    single_tau_s: Floats


def class_values(model: BenchModel, z: Floats, rng: np.random.Generator) -> Iterator[ClassValues]:
    """Threshold current and time constant of each class, whatever data the class is given by.

    At the bench's typical temperature.

    Parameters
    ----------
    model : BenchModel
    z : array, shape (draws, unknowns)
        Only common unknowns and scatters are used.
    rng : Generator
        For single igniters.
    """
    from bridgewire.uncertainty.draws import bridge_values

    done: set[str] = set()
    for trial in model.trials:
        for i, klass in enumerate(trial.classes):
            component, bridge = trial.bridge_of[i]
            if component < 0 or klass in done:
                continue
            done.add(klass)
            values: list[tuple[Floats, Floats]] = []
            for spread in (0.0, 1.0):
                use = np.zeros_like(z)
                shared = model.places("common", "scatter")
                use[:, shared] = z[:, shared]
                use[:, _ambients(model)] = 0.0
                own = model.places("igniter")
                use[:, own] = spread * rng.standard_normal((z.shape[0], own.size))
                state = bridge_values(trial.plan, trial.latent_z(use))[component]
                values.append((state.threshold_A[:, bridge].copy(), state.tau_s[:, bridge].copy()))
            yield ClassValues(klass, *values[0], *values[1])


def _ambients(model: BenchModel) -> Sequence[int]:
    return [n for n, u in enumerate(model.unknowns) if u.group == "ambient"]
