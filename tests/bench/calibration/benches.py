"""Small benches for the tests of the fit: records made in memory, and rank histograms over them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
from attrs import evolve

from bridgewire.bench.calibration.observed import GO_LOG_SD, TrialData
from bridgewire.bench.calibration.simulated import Design, simulate_trial
from bridgewire.bench.calibration.target import Target
from bridgewire.bench.calibration.tempering import Settings, temper
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.forward import BenchModel
from bridgewire.bench.wiring import resolve_record
from bridgewire.documents.source import Document, SourceMap, SpanTable
from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
from bridgewire.model.band import Band
from bridgewire.model.bench import BenchRecord, Meter, Shot, Trial
from bridgewire.model.show import Box, Igniter, Run, Scatter, Site, Strip
from bridgewire.physics.network import Floats

KITS = ("harrowmere", "generic")


@cache
def kits():  # type: ignore[no-untyped-def]
    return find_kits(KITS, [shipped_profiles_dir()])


def chain_trial(
    ident: str,
    igniters: int,
    pulse_s: float,
    *,
    shots: int = 1,
    length_m: float = 20.0,
    klass: str = "clip-on-short",
) -> Trial:
    """Fresh igniters on a daisy chain, one on each strip, fired `shots` times."""
    names = [f"s{n}" for n in range(igniters)]
    above = ["heron-1/1", *names]
    return Trial(
        ident,
        box=(Box("heron-1", "heron", standby_s=0.0),),
        strip=tuple(Strip(n, "jetty-strip-8") for n in names),
        run=tuple(
            Run(a, n, "shore-cable", length_m=Band.exact(length_m))
            for a, n in zip(above, names, strict=False)
        ),
        igniter=tuple(Igniter(f"{n}/1", klass, id=f"i{k}") for k, n in enumerate(names)),
        shot=tuple(
            Shot("heron-1/1/1", pulse_s, supply_V=Band.exact(21.2), rest_s=30.0)
            for _ in range(shots)
        ),
    )


def model_of(*trials: Trial, scatter: Scatter | None = None) -> BenchModel:
    record = BenchRecord(
        1,
        "Test",
        KITS,
        trials,
        scatter=scatter or Scatter(),
        site=Site(Band.with_tolerance(14.0, 1.0)),
        meter=Meter(voltage_tol_V=0.06, time_tol_s=0.09, resistance_tol_ohm=0.05),
    )
    document = Document("test.toml", {}, SourceMap("test.toml", "", lambda: SpanTable({}, {})), "0")
    return compile_record(resolve_record("test.toml", record, document, kits()))


def made_up(
    model: BenchModel, z: Floats, design: Design, rng: np.random.Generator, soft: float = GO_LOG_SD
) -> list[TrialData]:
    """What would be seen, once for each row of `z`."""
    outcomes = model.run(z)
    return [
        simulate_trial(model, n, outcome, design, rng, soft) for n, outcome in enumerate(outcomes)
    ]


def ranks(
    model: BenchModel,
    design: Design,
    *,
    replicates: int,
    particles: int,
    seed: int,
    settings: Settings | None = None,
    spoil: Callable[[TrialData], TrialData] | None = None,
) -> dict[str, Floats]:
    """Rank of the truth among posterior draws, for many records at once; uniform if all is right.

    For each common unknown: values from 0 to 1.
    """
    rng = np.random.default_rng(seed)
    truth = rng.standard_normal((replicates, model.size))
    data = made_up(model, truth, design, rng)
    if spoil is not None:
        data = [spoil(d) for d in data]
    use = evolve(settings or Settings(), islands=replicates, particles=particles)
    drawn = temper(Target(model, data, threads=2), rng, use, pooled=False)
    out: dict[str, Floats] = {}
    for n in model.places("common", "scatter").tolist():
        x = drawn.z[-1, :, :, n]
        below = (x < truth[:, [n]]).sum(axis=1)
        out[model.unknowns[n].key] = (below + rng.random(replicates)) / (particles + 1.0)
    return out


def chi_square(values: Floats, bins: int = 8) -> float:
    """p-value of a rank histogram against the uniform one."""
    from scipy.stats import chisquare

    counts, _ = np.histogram(values, bins=bins, range=(0.0, 1.0))
    return float(chisquare(counts).pvalue)


EXAMPLE = Path(__file__).parents[3] / "examples" / "bench-evening" / "record.toml"
