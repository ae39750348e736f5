"""A small invented kit, record and show on a lawn, with few unknowns."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from attrs import frozen

from bridgewire.api import LoadedShow, load_show
from bridgewire.bench.design.asking import Asked, ask_show
from bridgewire.bench.design.belief import Belief
from bridgewire.bench.wiring import LoadedRecord, load_record
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment
from tests.bench.setups import fresh, seen, shot, wiring

KIT = """\
format = 1
id = "lawn"
title = "Lawn"
[[contact]]
id = "plug"
contact_ohm = { min = 0.003, typical = 0.004, max = 0.005 }
[[cable]]
id = "reel"
metal = "copper"
stranding = "solid"
conductors = 2
gauge_awg = 24
ohm_per_m = { min = 0.075, typical = 0.0842, max = 0.094 }
max_length_m = 50
[[strip]]
id = "row"
ways = 4
through = 1
inlet_contact = "plug"
through_contact = "plug"
terminal_contact = "plug"
inner_ohm = 0.0
[[splitter]]
id = "tee"
outlets = 2
inlet_contact = "plug"
outlet_contact = "plug"
inner_ohm = 0.0
[[igniter_class]]
id = "lance"
kind = "clip-on-nichrome"
bridge_ohm = { min = 1.6, typical = 1.7, max = 1.8 }
lead_ohm = { min = 0.04, typical = 0.05, max = 0.06 }
threshold_A = { min = 0.6, typical = 0.9, max = 1.35 }
tau_s = { min = 1.8, typical = 3.0, max = 5.0 }
burn_open = { min = 1.3, typical = 1.6, max = 2.5 }
after_fire = "open"
batch_share = 0.85
default_pulse_s = 1.0
[[box]]
id = "brick"
outputs = 1
ways = 4
max_strips = 4
output_contact = "plug"
switch_ohm = 0.02
[box.path]
map = "pair"
[box.supply]
kind = "regulated"
open_circuit_V = 20.0
internal_ohm = { min = 0.2, typical = 0.5, max = 1.2 }
[box.pulses]
min_s = 0.05
max_s = 4.0
step_s = 0.05
"""
RECORD = """\
format = 1
title = "Lawn"
kits = ["lawn"]
trial = []
[site]
ambient_C = { typical = 15, tol = 1 }
[meter]
time_tol_s = 0.3
"""
SHOW = """\
format = 1
title = "Far end"
kits = ["lawn"]
[site]
ambient_C = { typical = 15, tol = 1 }
[[box]]
id = "b"
kind = "brick"
[[strip]]
id = "far"
kind = "row"
[[run]]
from = "b/1"
to = "far"
cable = "reel"
length_m = 45
[[igniter]]
id = "x"
at = "far/1"
class = "lance"
[[cue]]
id = "go"
fire = "b/1/1"
time_s = 1
pulse_s = 1.0
"""
TRIAL = (
    '\n[[trial]]\nid = "again"\n'
    + wiring("trial", ("b", "brick"), ("far", "row"), "reel", 45)
    + fresh("x", "far/1", "lance")
    + shot("b/1/1", 1.0)
)
"""The show's own wiring, once."""
SEEN = seen('igniter = "x"', "lit = true", "time_s = 0.6")


@frozen(eq=False)
class Lawn:
    """All three, loaded."""

    folder: Path
    record: LoadedRecord
    show: LoadedShow
    assessment: Assessment

    def ask(self, within_s: float | None = 0.7, igniter: int | None = None) -> Asked:
        """The question about the show's only cue."""
        shas = [(k, v.document.sha256) for k, v in self.show.kits.items()]
        return ask_show(self.record, self.assessment, shas, 0, igniter, within_s)


def lawn(folder: Path, kit: str = KIT, record: str = RECORD, show: str = SHOW) -> Lawn:
    """Write the three files and load them."""
    for name, text in (("lawn.toml", kit), ("record.toml", record), ("show.toml", show)):
        (folder / name).write_text(text, encoding="utf-8")
    loaded = load_show(folder / "show.toml", kit_dirs=[folder])
    read = load_record(folder / "record.toml", kit_dirs=[folder])
    return Lawn(folder, read, loaded, assess(loaded.layout))


def kits_only(asked: Asked, rows: int, seed: int = 1) -> Belief:
    """What the kit says, over the unknowns of a question."""
    return Belief.of_kits(rows).covering(asked.question.keys, np.random.default_rng(seed))
