"""Values that were learned together are drawn together."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from bridgewire.api import load_show
from bridgewire.physics.network import Floats
from bridgewire.timeline.assess import assess
from bridgewire.uncertainty.dependence import plan_groups
from bridgewire.uncertainty.draws import bridge_values
from bridgewire.uncertainty.odds import show_odds
from bridgewire.uncertainty.odds_blocks import latent_values
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.scatter import make_plan
from bridgewire.uncertainty.streams import Streams

KIT = """\
format = 1
id = "tried"
extends = ["harrowmere", "generic"]
{samples}
[[box]]
id = "heron"
[box.supply]
internal_ohm = {{ min = 2.0, typical = 3.0, max = 4.5 }}

[[igniter_class]]
id = "lantern-match"
threshold_A = {{ min = 0.24, typical = 0.32, max = 0.4266667 }}
tau_s = {{ min = 0.0044, typical = 0.0045, max = 0.0046 }}
"""
SHOW = """\
format = 1
title = "Regatta Night: drawn together"
kits = ["tried"]

[site]
ambient_C = 20

[[box]]
id = "heron-1"
kind = "heron"
supply_V = 21.0

[[strip]]
id = "a"
kind = "jetty-strip-8"

[[run]]
from = "heron-1/1"
to = "a"
cable = "shore-cable"
length_m = 50

[[igniter]]
id = "near"
at = "a/1"
class = "lantern-match"
count = 5
connection = "parallel"

[[cue]]
id = "one"
fire = "heron-1/1/1"
time_s = 1
pulse_s = 0.05
"""


def folder_with(tmp_path: Path, correlation: float | None) -> Path:
    """A show and its kit; strong supplies go with quick (-) or slow (+) igniters."""
    tmp_path.mkdir(exist_ok=True)
    samples = "" if correlation is None else 'samples = "tried.samples.csv"\n'
    (tmp_path / "tried.toml").write_text(KIT.format(samples=samples), encoding="utf-8")
    file = tmp_path / "show.toml"
    file.write_text(SHOW, encoding="utf-8")
    if correlation is not None:
        rng = np.random.default_rng(5)
        a = rng.standard_normal(2000)
        b = correlation * a + np.sqrt(1 - correlation**2) * rng.standard_normal(2000)
        with (tmp_path / "tried.samples.csv").open("w", encoding="utf-8", newline="") as stream:
            writer = csv.writer(stream)
            match = "igniter_class/lantern-match/threshold_A"
            writer.writerow(["box/heron/supply.internal_ohm", match, f"{match}/scatter_pct"])
            writer.writerows(
                [f"{3.0 * np.exp(0.13 * x):.6g}", f"{0.32 * np.exp(0.09 * y):.6g}", "2"]
                for x, y in zip(a, b, strict=True)
            )
    return file


def drawn(file: Path, draws: int = 4000) -> tuple[Plan, Floats, Floats]:
    """The show's plan, and the box's internal resistance and the thresholds in each draw."""
    assessment = assess(load_show(file).layout)
    (group,) = plan_groups(assessment)
    plan = make_plan(assessment, group)
    z = latent_values(Streams(1, draws), plan.quantities.latents, 0, draws)
    values = plan.quantities.values(z)
    (component,) = bridge_values(plan, z)
    return plan, values[plan.firings[0].supply.internal_ohm], component.threshold_A


@pytest.mark.parametrize("correlation", [-0.9, 0.0, 0.7])
def test_correlation_is_kept(tmp_path: Path, correlation: float) -> None:
    _, ohm, threshold = drawn(folder_with(tmp_path, correlation))
    mean = np.log(threshold).mean(axis=1)
    found = np.corrcoef(np.log(ohm), mean)[0, 1]
    assert found == pytest.approx(correlation, abs=0.05)


def test_bands_stay_what_they_are(tmp_path: Path) -> None:
    _, ohm, threshold = drawn(folder_with(tmp_path, 0.7))
    for values, sd in ((ohm, np.log(4.5 / 3.0) / 3), (threshold[:, 0], np.log(4 / 3) / 3)):
        assert np.log(values).std() == pytest.approx(sd, rel=0.05)
    # Nearly all of the variance is common: igniters of the batch are alike.
    assert np.corrcoef(np.log(threshold[:, 0]), np.log(threshold[:, 1]))[0, 1] > 0.9


def test_without_samples_nothing_changes(tmp_path: Path) -> None:
    plan, ohm, threshold = drawn(folder_with(tmp_path, None))
    assert plan.quantities.mixed.size == 0
    assert abs(np.corrcoef(np.log(ohm), np.log(threshold).mean(axis=1))[0, 1]) < 0.05


def test_odds_know_what_goes_together(tmp_path: Path) -> None:
    """A weak supply with slow igniters fails more often than either way alone, and the other way
    round: if weak supplies come with quick igniters, what is lacking is made good."""
    lights = {}
    for name, correlation in (("worse", 0.95), ("alone", 0.0), ("better", -0.95)):
        file = folder_with(tmp_path / name, correlation)
        odds = show_odds(assess(load_show(file).layout), draws=4000, seed=3)
        lights[name] = odds.cues[0].all_light.value
    assert lights["worse"] < lights["alone"] - 0.01
    assert lights["better"] > lights["alone"] + 0.01


def test_boxes_of_a_kind_that_was_tried_go_together(tmp_path: Path) -> None:
    file = folder_with(tmp_path, 0.5)
    text = SHOW.replace(
        '[[strip]]\nid = "a"',
        '[[box]]\nid = "heron-2"\nkind = "heron"\nsupply_V = 21.0\n\n[[strip]]\nid = "a"',
    )
    file.write_text(text, encoding="utf-8")
    plan, _, _ = drawn(file)
    keys = {latent.key for latent in plan.quantities.latents}
    assert "kind/tried:heron/internal resistance" in keys
    assert not any(key.startswith("box/heron-1/internal") for key in keys)
