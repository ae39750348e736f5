"""What was learned, as a kit profile that extends those of the record, with its samples.

Bands describe a single igniter, cable or contact (or the one box that was tried): median, and ends
at `band_sigma` standard deviations of what is not known of it and of its scatter together. The
samples keep what bands cannot: how values go together.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from attrs import frozen

from bridgewire.bench.calibration.agreement import Agreement
from bridgewire.bench.calibration.parameters import Parameter, class_values
from bridgewire.bench.calibration.posterior import Posterior
from bridgewire.model.band import Band
from bridgewire.physics.network import Floats

ROWS = 1000
"""Samples kept beside a profile."""
LEARNED_WIDTH = 0.92
"""A value counts as learned where its posterior is narrower than this part of its prior,"""
LEARNED_SHIFT = 0.3
"""or lies further than this many of the prior's standard deviations from it."""


@frozen
class Learned:
    """A parameter before and after the trials.

    Attributes
    ----------
    parameter : Parameter
    prior, posterior : Band
        Typical value: median, and central 90 %.
    prior_scatter_pct, scatter_pct : Band or None
        How widely single ones scatter, likewise; None where that is not learned.
    band : Band
        Of a single one, in the house's sense (``band_sigma``).
    narrower : float
        Standard deviation of the posterior over that of the prior.
    shift : float
        How far the median moved, in the prior's standard deviations.
    """

    parameter: Parameter
    prior: Band
    posterior: Band
    prior_scatter_pct: Band | None
    scatter_pct: Band | None
    band: Band
    narrower: float
    shift: float

    @property
    def learned(self) -> bool:
        """Whether the trials said anything of it."""
        return self.narrower < LEARNED_WIDTH or abs(self.shift) > LEARNED_SHIFT


@frozen
class FittedKit:
    """A kit profile before it is written.

    Attributes
    ----------
    head : mapping
        Keys at the top.
    comments : tuple of str
    entries : tuple of tuple of str and mapping
        Table and plain data of each entry; what is not stated is taken over.
    sources : mapping
        For each table and id: the source of each key.
    samples : str
        Text of the CSV file, ``samples`` of the head its name.
    """

    head: Mapping[str, Any]
    comments: tuple[str, ...]
    entries: tuple[tuple[str, Mapping[str, Any]], ...]
    sources: Mapping[tuple[str, str], Mapping[str, str]]
    samples: str


def learned_values(posterior: Posterior) -> tuple[Learned, ...]:
    """All parameters before and after the trials.

    Parameters
    ----------
    posterior : Posterior

    Returns
    -------
    tuple of Learned
        In the order of tables, boxes first.
    """
    rng = np.random.default_rng((posterior.seed, 202))
    z = posterior.z
    before = rng.standard_normal(z.shape)
    own = rng.standard_normal((z.shape[0],))
    return tuple(_learned(p, before, z, own, posterior.model.sigmas) for p in posterior.parameters)


def _learned(p: Parameter, before: Floats, z: Floats, own: Floats, sigmas: float) -> Learned:
    scatters = p.scatter >= 0
    return Learned(
        p,
        _central(p.typical(before)),
        _central(p.typical(z)),
        _central(p.own_sd_pct(before)) if scatters else None,
        _central(p.own_sd_pct(z)) if scatters else None,
        _house_band(p.single(z, own), sigmas, p.straight, 1.0 if p.key == "burn_open" else 0.0),
        float(z[:, p.unknown].std()),
        float(np.median(z[:, p.unknown])),
    )


def _central(values: Floats) -> Band:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return Band(float(low), float(middle), float(high))


def _house_band(values: Floats, sigmas: float, straight: bool, above: float) -> Band:
    """Median, and ends as far out as `sigmas` standard deviations of each side."""
    low, middle, high = np.quantile(values - above, [0.158655, 0.5, 0.841345])
    if straight or low <= 0.0:
        ends = max(middle - sigmas * (middle - low), 0.0), middle + sigmas * (high - middle)
    else:
        ends = middle * (low / middle) ** sigmas, middle * (high / middle) ** sigmas
    return Band(float(ends[0] + above), float(middle + above), float(ends[1] + above))


def fitted_kit(
    posterior: Posterior,
    learned: Sequence[Learned],
    agreement: Sequence[Agreement],
    *,
    kit_id: str,
    title: str,
    version: str,
) -> FittedKit:
    """Put what was learned in the form of a kit profile.

    Parameters
    ----------
    posterior : Posterior
    learned : sequence of Learned
        From `learned_values`.
    agreement : sequence of Agreement
    kit_id, title : str
        Of the new profile.
    version : str
        Of bridgewire.

    Returns
    -------
    FittedKit
    """
    model = posterior.model
    record, document = model.record, model.loaded.document
    name = f"{record.title}, {len(record.trial)} trials (sha256 {document.sha256[:12]})"
    source = f"fitted to bench record: {name}"
    entries: dict[tuple[str, str], dict[str, Any]] = {}
    sources: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
    kept = [v for v in learned if v.learned and v.parameter.prior is not None]
    kept = [v for v in kept if not _derived(posterior, v.parameter)]
    for v in kept:
        p = v.parameter
        entry = entries.setdefault((p.table, p.id), {"id": p.id, "extends": f"{p.kit}:{p.id}"})
        _put(entry, p.key, _plain(v.band))
        sources[p.table, p.id][p.key] = source
    _sheet_classes(posterior, entries, sources, source)
    notes = _comments(posterior, agreement, version)
    head: dict[str, Any] = {
        "format": 1,
        "id": kit_id,
        "title": title,
        "version": f"fit {document.sha256[:12]} seed {posterior.seed}",
        "extends": list(record.kits),
    }
    samples = _samples(posterior, kept)
    if kept:
        head["samples"] = f"{kit_id}.samples.csv"
    return FittedKit(
        head,
        notes,
        tuple((table, entry) for (table, _), entry in entries.items()),
        dict(sources),
        samples,
    )


def _derived(posterior: Posterior, p: Parameter) -> bool:
    """Whether a value of a class follows from a data sheet: it has no key to be written under."""
    return p.table == "igniter_class" and p.prior is None


def _put(entry: dict[str, Any], key: str, value: Any) -> None:
    *tables, last = key.split(".")
    for name in tables:
        entry = entry.setdefault(name, {})
    entry[last] = value


def _plain(band: Band) -> dict[str, float]:
    rounded = [float(f"{v:.4g}") for v in (band.min, band.typical, band.max)]
    rounded[0] = min(rounded[0], rounded[1])
    rounded[2] = max(rounded[2], rounded[1])
    return dict(zip(("min", "typical", "max"), rounded, strict=True))


def _sheet_classes(
    posterior: Posterior,
    entries: dict[tuple[str, str], dict[str, Any]],
    sources: dict[tuple[str, str], dict[str, str]],
    source: str,
) -> None:
    """Classes given by a data sheet get a threshold and a time constant of their own."""
    model = posterior.model
    catalogue = model.loaded.layouts[0].catalogue
    rng = np.random.default_rng((posterior.seed, 203))
    for values in class_values(model, posterior.z, rng):
        klass = catalogue.igniters.get(values.class_id)
        if klass is None or klass.threshold_A is not None or klass.model is not None:
            continue
        if klass.heat_capacity_J_per_K is not None and klass.lit_C is not None:
            continue
        kit, ident = values.class_id.split(":", 1)
        key = "igniter_class", ident
        entry = entries.setdefault(key, {"id": ident, "extends": f"{kit}:{ident}"})
        for name, single in (
            ("threshold_A", values.single_threshold_A),
            ("tau_s", values.single_tau_s),
        ):
            entry[name] = _plain(_house_band(single, model.sigmas, False, 0.0))
            sources[key][name] = source


def _samples(posterior: Posterior, kept: Sequence[Learned]) -> str:
    """Rows of values that go together, as CSV."""
    count = min(ROWS, posterior.z.shape[0])
    rows = np.linspace(0, posterior.z.shape[0] - 1, count).astype(int)
    z = posterior.z[rows]
    headings: list[str] = []
    columns: list[Floats] = []
    for v in kept:
        p = v.parameter
        headings.append(p.column)
        columns.append(p.typical(z))
        if p.own_weight > 0.0:
            headings.append(f"{p.column}/scatter_pct")
            columns.append(p.own_sd_pct(z))
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(headings)
    for row in np.column_stack(columns) if columns else ():
        writer.writerow([f"{v:.6g}" for v in row])
    return text.getvalue()


def _comments(
    posterior: Posterior, agreement: Sequence[Agreement], version: str
) -> tuple[str, ...]:
    model, found = posterior.model, posterior.diagnostics
    document = model.loaded.document
    lines = [
        "Written by bridgewire bench fit. Only what the trials said something of is here; the rest "
        "is taken over from the profiles that this one extends.",
        f"Record: {model.loaded.file}, sha256 {document.sha256}.",
        *(f"With {name}, sha256 {digest}." for name, digest in document.included),
        *(
            f"Priors: kit {kit}, sha256 {loaded.document.sha256}."
            for kit, loaded in model.loaded.kits.items()
        ),
        f"Method: sequential Monte Carlo, {posterior.z.shape[0]} draws, seed {posterior.seed}, "
        f"bridgewire {version}. Largest R-hat {found.r_hat:.3f}, fewest effective draws "
        f"{found.effective:.0f}.",
        "Holds for the box, the drums and the batch of igniters that were tried, at about that "
        "temperature. A new batch needs trials of its own.",
    ]
    lines += [f"Caution: {a.advice}." for a in agreement if a.disagrees]
    if not found.good:
        lines.append("Caution: the draws have not settled; do not build on these figures.")
    return tuple(lines)
