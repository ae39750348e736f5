"""Whether a trial is held against the others, and when it cannot be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bridgewire.bench.calibration.agreement import Agreement, check_agreement
from bridgewire.bench.calibration.observed import observations_of
from bridgewire.bench.calibration.posterior import Posterior
from bridgewire.bench.calibration.tempering import Settings
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.wiring import load_record

RECORD = """\
format = 1
title = "Two ways"
kits = ["harrowmere", "generic"]
[site]
ambient_C = 14
[[trial]]
id = "near"
box = [{ id = "h", kind = "heron" }]
strip = [{ id = "s", kind = "jetty-strip-8" }]
run = [{ from = "h/1", to = "s", cable = "shore-cable", length_m = 5 }]
igniter = [
  { id = "a", at = "s/1", class = "clip-on-short" },
  { id = "b", at = "s/2", class = "clip-on-short" },
]
shot = [
  { fire = "h/1/1", pulse_s = 2, supply_V = 21.2, seen = [{ igniter = "a"LIT }] },
  { fire = "h/1/2", pulse_s = 2, supply_V = 21.2, seen = [{ igniter = "b"LIT }] },
]
"""


def agreement(tmp_path: Path, lit: str) -> Agreement:
    """Of the trial with what the kit profiles alone say."""
    file = tmp_path / "record.toml"
    file.write_text(RECORD.replace("LIT", lit), encoding="utf-8")
    model = compile_record(load_record(file))
    z = np.random.default_rng(2).standard_normal((300, model.size))
    none: Any = None
    posterior = Posterior(model, z, np.zeros((300, 1)), observations_of(model), none, 1, Settings())
    (found,) = check_agreement(posterior, draws=500)
    return found


@pytest.mark.parametrize(
    ("lit", "judged", "disagrees"),
    [(", lit = false", 2, True), (", lit = true", 2, False), ("", 0, False)],
)
def test_igniters_on_other_ways_are_no_gap(
    tmp_path: Path, lit: str, judged: int, disagrees: bool
) -> None:
    """Nobody writes down that an igniter did not light when another way was fired."""
    found = agreement(tmp_path, lit)
    assert (found.judged, found.disagrees) == (judged, disagrees)
    assert ("later or less often" in found.advice) == disagrees
