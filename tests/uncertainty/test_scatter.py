"""How bands become distributions, and what varies together."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from bridgewire.api import load_show
from bridgewire.model.band import Band
from bridgewire.physics.network import Floats
from bridgewire.timeline.assess import assess
from bridgewire.uncertainty.dependence import plan_groups
from bridgewire.uncertainty.draws import _Run, run_plan
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import NOBODY, QuantityTable
from bridgewire.uncertainty.scatter import make_plan, values_without_tolerance
from bridgewire.uncertainty.streams import Streams
from tests.uncertainty.shows import assessed, band, kit, show, single

EXAMPLES = Path(__file__).parents[2] / "examples"


def one(given: Band, z: list[float], **more: float) -> list[float]:
    """Values of one quantity at some z, with band ends at 3."""
    table = QuantityTable(3.0)
    table.add(given, ("own", "cable", NOBODY), **more)  # type: ignore[arg-type]
    return [float(v) for v in table.done().values(np.array([z]))[0]]


def test_the_ends_of_a_band_lie_at_three_deviations() -> None:
    assert one(Band(0.5, 1.0, 4.0), [-3.0, 0.0, 3.0]) == pytest.approx([0.5, 1.0, 4.0])
    assert one(Band(0.0, 1.0, 4.0), [-3.0, 0.0, 3.0]) == pytest.approx([0.0, 1.0, 4.0])


def test_tails_go_beyond_the_band_but_not_below_nought() -> None:
    low, high = one(Band(0.5, 1.0, 4.0), [-6.0, 6.0])
    assert (low, high) == pytest.approx((0.25, 16.0))
    assert one(Band(0.0, 1.0, 4.0), [-6.0]) == [0.0]


def test_a_burn_open_level_stays_above_the_lighting_level() -> None:
    low, typical, high = one(Band(1.2, 1.5, 3.0), [-9.0, 0.0, 3.0], above=1.0)
    assert 1.0 < low < 1.1
    assert (typical, high) == pytest.approx((1.5, 3.0))


def test_a_value_without_tolerance_does_not_scatter_and_is_told(tmp_path: Path) -> None:
    assessment = single(tmp_path, band(0.3, 0.1))
    assert "supply voltage" in values_without_tolerance(assessment)
    plan = make_plan(assessment, plan_groups(assessment)[0])
    assert {x.key for x in plan.quantities.latents} == {
        "batch/trial:match/threshold",
        "igniter/a 1/0/threshold",
    }


def test_a_share_of_the_variance_is_common() -> None:
    table = QuantityTable(3.0)
    for name in ("a", "b"):
        table.add(Band(0.5, 1.0, 2.0), (name, "cable", NOBODY), ("drum", "cable"), 0.4)
    q = table.done()
    draws = 20_000
    streams = Streams(1, draws)
    z = q.z(np.array([streams.normals(x.key, 0, draws) for x in q.latents]))
    assert np.allclose(z.var(axis=1), 1.0, atol=0.05)
    assert float(np.asarray(np.corrcoef(z))[0, 1]) == pytest.approx(0.4, abs=0.03)


@pytest.mark.parametrize(
    "name", ["midwinter-small", "boathouse-troubles", "boathouse-mended", "jetty-trial"]
)
def test_typical_latents_give_the_typical_values_of_the_check(name: str) -> None:
    assessment = assess(load_show(EXAMPLES / f"{name}.toml").layout)
    compared = 0
    for group in plan_groups(assessment):
        plan = make_plan(assessment, group)
        drawn = run_plan(plan, np.zeros((len(plan.quantities.latents), 2)))
        for cue in drawn.cues:
            outcomes = {i.igniter: i for i in assessment.cues[cue.plan.cue].igniters}
            for column, igniter in enumerate(cue.plan.igniters):
                expected = outcomes[igniter]
                light = expected.light.typical
                assert cue.light_s[:, column] == pytest.approx([light, light], rel=1e-6)
                if not expected.lit_before:
                    assert cue.margin[0, column] == pytest.approx(expected.margin_typical, rel=1e-6)
                compared += 1
    assert compared >= 3


@pytest.mark.parametrize(
    "name", ["midwinter-small", "boathouse-troubles", "boathouse-mended", "jetty-trial"]
)
@pytest.mark.parametrize(("end", "column"), [(-3.0, 0), (0.0, 1), (3.0, 2)])
def test_with_every_value_at_its_end_resistances_are_those_of_the_corners(
    name: str, end: float, column: int
) -> None:
    assessment = assess(load_show(EXAMPLES / f"{name}.toml").layout)
    meshes = 0
    for group in plan_groups(assessment):
        plan = make_plan(assessment, group)
        q = plan.quantities
        one, none = np.zeros(q.typical.size, dtype=np.intp), np.full(q.typical.size, 1)
        moved = evolve(
            q,
            latents=q.latents[:1],
            common=one,
            own=none,
            common_weight=np.ones(one.size),
            own_weight=np.zeros(one.size),
        )
        run = _Run(evolve(plan, quantities=moved), np.array([[end]]), 1e-4)
        components = list({id(r.component): r.component for r in group}.values())
        for component, its in zip(components, plan.components, strict=True):
            nodes = np.concatenate([w.node_ohm for w in component.ways])[:, column]
            strings = np.concatenate([w.string_ohm for w in component.ways])[:, column]
            found = run._sum(its.node_terms, nodes.size)[:, 0]
            assert found == pytest.approx(nodes, rel=1e-9)
            assert run._sum(its.string_terms, strings.size)[:, 0] == pytest.approx(
                strings, rel=1e-9
            )
        for firing, result in zip(plan.firings, group, strict=True):
            if result.mesh is not None:
                branches = result.mesh.branch_ohm[:, column]
                found = run._sum(firing.branch_terms, branches.size)[:, 0]
                assert found == pytest.approx(branches, rel=1e-9)
                meshes += 1
    assert meshes > 0 or name != "boathouse-troubles"


def _heating(plan: Plan, z: Floats) -> tuple[Floats, Floats]:
    return _Run(plan, z, 1e-4)._heating(plan.components[0].bridges[0])


@pytest.mark.parametrize(
    "impulse", ["", "impulse_mJ_per_ohm = { min = 0.8, typical = 1.5, max = 3.0 }"]
)
def test_within_the_bands_every_igniter_meets_its_data_sheet(impulse: str, tmp_path: Path) -> None:
    sheet = f"no_fire_A = 0.18\nall_fire_A = 0.6\nall_fire_time_s = 0.01\n{impulse}"
    assessment = single(tmp_path, "", igniter=sheet)
    plan = make_plan(assessment, plan_groups(assessment)[0])
    keys = [x.key.rsplit("/", 1)[-1] for x in plan.quantities.latents]
    assert set(keys) == {"threshold", "impulse"}
    ends = np.linspace(-3.0, 3.0, 25)
    grid = np.array([(t, i) for t in ends for i in ends]).T
    # Own and common latent together make one standard deviation.
    z = np.array(
        [
            grid[0 if key == "threshold" else 1] * math.sqrt(0.3 if "batch" in x.key else 0.7)
            for key, x in zip(keys, plan.quantities.latents, strict=True)
        ]
    )
    threshold, tau = _heating(plan, z)
    assert (threshold >= 0.18 * (1 - 1e-9)).all()
    inner = threshold < 0.6 * (1 - 1e-6)
    time = -tau[inner] * np.log1p(-((threshold[inner] / 0.6) ** 2))
    assert (time <= 0.01 * (1 + 1e-6)).all()
    if impulse:
        assert (threshold**2 * tau >= 0.8e-3 * (1 - 1e-9)).all()
        assert (threshold**2 * tau <= 3.0e-3 * (1 + 1e-9)).all()
        high, low = threshold > np.median(threshold), threshold < np.median(threshold)
        mean = (threshold**2 * tau)[high].mean() / (threshold**2 * tau)[low].mean()
        assert mean < 1.0


def test_drums_and_batches_are_those_that_the_show_names(tmp_path: Path) -> None:
    text = show(
        ["a/1", "b/1"],
        ['fire = "box/1/1"\ntime_s = 1.0', 'fire = "box/2/1"\ntime_s = 5.0'],
        length="10.0",
    )
    text = text.replace('to = "b"\n', 'to = "b"\ndrum = "second"\n')
    text = text.replace('id = "b 1"\n', 'id = "b 1"\nbatch = "old"\n')
    assessment = assessed(tmp_path, kit(band(0.3, 0.1), ohm_per_m=band(0.1, 0.05)), text)
    keys = [
        {x.key for x in make_plan(assessment, g).quantities.latents}
        for g in plan_groups(assessment)
    ]
    assert "drum/trial:wire" in keys[0]
    assert "drum/trial:wire/second" in keys[1]
    assert "batch/trial:match/threshold" in keys[0]
    assert "batch/trial:match/old/threshold" in keys[1]
    assert not keys[0] & keys[1]


def test_a_wider_reading_of_bands_scatters_more(tmp_path: Path) -> None:
    text = show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0'], more="[scatter]\nband_sigma = 2.0")
    assessment = assessed(
        tmp_path, kit("{ min = 0.2, typical = 0.3, max = 0.4 }", batch_share=0.0), text
    )
    plan = make_plan(assessment, plan_groups(assessment)[0])
    threshold, _ = _heating(plan, np.array([[-2.0, 0.0, 2.0]]))
    assert threshold.tolist() == pytest.approx([0.2, 0.3, 0.4])
