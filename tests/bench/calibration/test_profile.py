"""A fitted profile: what is in it, that it loads, and that odds use what goes together."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path

import numpy as np
import pytest

from bridgewire.authoring.fitted_profile import fitted_text, write_fitted
from bridgewire.authoring.toml_text import FileThereError
from bridgewire.bench.calibration.agreement import Agreement
from bridgewire.bench.calibration.parameters import class_values, parameters_of
from bridgewire.bench.calibration.posterior import Diagnostics, Posterior
from bridgewire.bench.calibration.profile import fitted_kit, learned_values
from bridgewire.bench.calibration.study import FitStudy, class_summaries
from bridgewire.bench.calibration.tempering import Settings
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.wiring import load_record
from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
from bridgewire.model.kit import BatterySupply
from bridgewire.report.bench_fit_json import bench_fit_json
from bridgewire.report.bench_fit_text import bench_fit_text
from tests.bench.calibration.benches import EXAMPLE
from tests.bench.setups import valid


@pytest.fixture(scope="module")
def posterior() -> Posterior:
    """Draws as a fit might give them: two parameters learned, and going together."""
    model = compile_record(load_record(EXAMPLE))
    rng = np.random.default_rng(1)
    z = rng.standard_normal((1200, model.size))
    at = {p.label: p.unknown for p in parameters_of(model)}
    a = rng.standard_normal(1200)
    z[:, at["heron supply.internal_ohm"]] = 1.0 + 0.4 * a
    z[:, at["clip-on-short heat_capacity_J_per_K"]] = (
        -1.0 - 0.3 * a + 0.1 * rng.standard_normal(1200)
    )
    return Posterior(
        model,
        z,
        np.zeros((1200, 10)),
        (),
        Diagnostics(1.01, "drum", 900.0, 10, 1000),
        7,
        Settings(),
    )


@pytest.fixture(scope="module")
def agreement(posterior: Posterior) -> tuple[Agreement, ...]:
    return tuple(
        Agreement(t.id, 0.001 if t.id == "6" else 0.5, 0.001, 0.5, 0.3, t.id == "6", 1, 4)
        for t in posterior.model.record.trial
    )


def test_parameters_are_in_the_units_of_the_kit(posterior: Posterior) -> None:
    model = posterior.model
    zero = np.zeros((1, model.size))
    for p in posterior.parameters:
        assert p.prior is not None
        assert p.typical(zero)[0] == pytest.approx(p.prior.typical, rel=1e-9), p.label
    labels = [p.label for p in posterior.parameters]
    assert len(labels) == len(set(labels))
    assert "shore-cable ohm_per_m" in labels
    assert "heron supply.internal_ohm" in labels
    ends = {p.label: p.value(np.array([-3.0, 3.0])) for p in posterior.parameters}
    assert ends["heron supply.internal_ohm"] == pytest.approx([0.2, 0.4])
    assert ends["clip-on-short burn_open"] == pytest.approx([1.4, 2.2])
    assert ends["shore-cable ohm_per_m"] == pytest.approx([0.081, 0.088])


def test_classes_have_a_threshold_and_a_time_constant(posterior: Posterior) -> None:
    zero = np.zeros((1, posterior.model.size))
    found = {c.class_id: c for c in class_values(posterior.model, zero, np.random.default_rng(1))}
    slow = found["generic:clip-on-short"]
    assert slow.threshold_A[0] == pytest.approx((0.002 * (700 - 14) / 1.7) ** 0.5)
    assert slow.tau_s[0] == pytest.approx(3.0)
    assert found["generic:electric-match"].threshold_A[0] == pytest.approx(0.32)


def test_bands_hold_what_is_not_known_and_the_scatter(posterior: Posterior) -> None:
    found = {v.parameter.label: v for v in learned_values(posterior)}
    box = found["heron supply.internal_ohm"]
    assert box.learned
    # One box: no scatter. Median one standard deviation up, and 0.4 of it wide.
    up = np.log(0.4 / 0.3) / 3
    assert np.log(box.band.typical / 0.3) == pytest.approx(up, abs=0.01)
    assert np.log(box.band.max / box.band.typical) == pytest.approx(3 * 0.4 * up, rel=0.15)
    heat = found["clip-on-short heat_capacity_J_per_K"]
    down = np.log(0.006 / 0.005) / 3
    # Common 0.32 times the root of 0.3, own the root of 0.7 (times what is not known of that).
    total = np.hypot(0.32 * 0.3**0.5, 0.7**0.5)
    assert np.log(heat.band.typical / heat.band.min) == pytest.approx(3 * total * down, rel=0.2)
    assert not found["electric-match tau_s"].learned


def test_the_profile_loads_and_keeps_its_origin(
    tmp_path: Path, posterior: Posterior, agreement: tuple[Agreement, ...]
) -> None:
    kit = fitted_kit(
        posterior,
        learned_values(posterior),
        agreement,
        kit_id="our-kit",
        title='with "quotes" and <script>',
        version="0",
    )
    paths = write_fitted(kit, tmp_path, [shipped_profiles_dir()])
    assert [p.name for p in paths] == ["our-kit.samples.csv", "our-kit.toml"]
    loaded = find_kits(["our-kit"], [tmp_path, shipped_profiles_dir()])["our-kit"]
    assert loaded.samples is not None
    box = next(b for b in loaded.kit.box if b.id == "heron")
    assert box.ways == 16
    assert isinstance(box.supply, BatterySupply)
    assert box.supply.internal_ohm is not None
    assert box.supply.internal_ohm.typical > 0.32
    assert "Evening on the bench" in box.sources["supply.internal_ohm"]
    text = paths[1].read_text(encoding="utf-8")
    assert posterior.model.loaded.document.sha256 in text.replace("\n# ", "")
    assert "trial 6 disagrees" in text.replace("\n# ", " ")
    tomllib.loads(text)
    columns = ["/".join(c) for c in loaded.samples.columns]
    a, b = (
        columns.index(c)
        for c in (
            "box/heron/supply.internal_ohm",
            "igniter_class/clip-on-short/heat_capacity_J_per_K",
        )
    )
    assert loaded.samples.correlation()[a, b] == pytest.approx(-0.95, abs=0.03)
    rows = list(csv.reader(paths[0].read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 1001


def test_files_that_are_there_are_kept(
    tmp_path: Path, posterior: Posterior, agreement: tuple[Agreement, ...]
) -> None:
    kit = fitted_kit(
        posterior, learned_values(posterior), agreement, kit_id="our-kit", title="", version="0"
    )
    (tmp_path / "our-kit.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(FileThereError):
        write_fitted(kit, tmp_path, [shipped_profiles_dir()])
    assert [p.name for p in tmp_path.iterdir()] == ["our-kit.toml"]
    write_fitted(kit, tmp_path, [shipped_profiles_dir()], replace=True)
    assert (tmp_path / "our-kit.toml").read_text(encoding="utf-8") == fitted_text(kit)


def test_reports(posterior: Posterior, agreement: tuple[Agreement, ...]) -> None:
    from attrs import evolve

    from bridgewire.bench.calibration.observed import observations_of

    whole = evolve(posterior, data=observations_of(posterior.model))
    study = FitStudy(whole, learned_values(whole), class_summaries(whole), agreement)
    text = bench_fit_text(study, ["kits/our-kit.toml"], 80)
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "trial 6: DISAGREES" in text
    assert "! trial 6 disagrees with the rest" in text
    assert "supply.internal_ohm" in text
    assert "no permission to fire" in text.replace("\n  ", " ")
    data = valid(bench_fit_json(study, "0"), "bench-fit")
    assert any("no permission to fire" in c for c in data["cautions"])
    assert data["trials"][5]["disagrees"] is True
    assert {p["key"] for p in data["parameters"]} >= {"supply.internal_ohm", "ohm_per_m"}
    drum = "drum/harrowmere:shore-cable"
    bad = evolve(whole, diagnostics=Diagnostics(1.4, drum, 20.0, 10, 1000))
    text = bench_fit_text(evolve(study, posterior=bad), (), 80).replace("\n  ", " ")
    assert "have not settled (R-hat 1.40 of shore-cable resistance per metre" in text
    assert "at most 1.1 wanted; 20 effective draws, 100 wanted" in text
