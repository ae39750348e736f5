"""Small shows written for the tests of traces: exact values, one kit, few parts."""

from __future__ import annotations

from pathlib import Path

from bridgewire.api import check
from bridgewire.timeline.outcomes import Assessment

KIT = """
format = 1
id = "lab"

[[contact]]
id = "plug"
contact_ohm = 0.001

[[cable]]
id = "reel"
metal = "copper"
stranding = "solid"
conductors = 16
ohm_per_m = 0.05

[[strip]]
id = "strip"
ways = 8
through = 1
inlet_contact = "plug"
through_contact = "plug"
terminal_contact = "plug"
inner_ohm = 0.001

[[igniter_class]]
id = "bridge"
kind = "bridge-igniter"
bridge_ohm = 1.0
lead_ohm = 0.0
threshold_A = 0.4
tau_s = 0.02
burn_open = 1.5
after_fire = "open"

[[igniter_class]]
id = "wire"
kind = "clip-on-nichrome"
bridge_ohm = { min = 1.6, typical = 1.7, max = 1.8 }
lead_ohm = 0.0
alpha_per_K = 1e-4
heat_capacity_J_per_K = 0.006
loss_W_per_K = 0.002
lit_C = 700
burn_open = 1.6
after_fire = "open"

[[box]]
id = "steady"
outputs = 1
ways = 8
output_contact = "plug"
switch_ohm = 0.001
[box.path]
map = "pair"
[box.supply]
kind = "regulated"
open_circuit_V = 30.0
internal_ohm = 0.01
[box.supply.limit]
kind = "constant-current"
limit_A = 0.6

[[box]]
id = "battery"
outputs = 1
ways = 8
output_contact = "plug"
switch_ohm = 0.001
[box.path]
map = "pair"
[box.supply]
kind = "regulated"
open_circuit_V = { min = 19, typical = 20, max = 21 }
internal_ohm = 0.3

[[box]]
id = "capacitor"
outputs = 1
ways = 8
output_contact = "plug"
switch_ohm = 0.001
[box.path]
map = "pair"
[box.supply]
kind = "capacitor"
charged_V = 40.0
capacitance_F = 0.001
series_ohm = 0.5
recharge_s = 1.0

[[box]]
id = "grid"
outputs = 1
ways = 4
output_contact = "plug"
switch_ohm = 0.001
[box.path]
map = "matrix"
rows = 2
columns = 2
[box.supply]
kind = "regulated"
open_circuit_V = 20.0
internal_ohm = 0.3
"""

SHOW = """
format = 1
title = "Bench night"
kits = ["lab"]
[site]
ambient_C = 20.0
[[box]]
id = "b"
kind = "lab:{box}"
[[strip]]
id = "near"
kind = "lab:strip"
[[strip]]
id = "far"
kind = "lab:strip"
[[run]]
from = "b/1"
to = "near"
cable = "lab:reel"
length_m = 20
[[run]]
from = "near"
to = "far"
cable = "lab:reel"
length_m = 20
"""


def igniter(name: str, at: str, klass: str, more: str = "") -> str:
    """One igniter entry."""
    return f'[[igniter]]\nid = "{name}"\nat = "{at}"\nclass = "lab:{klass}"\n{more}\n'


def cue(name: str, way: int, time_s: float, pulse_s: float, more: str = "") -> str:
    """One cue on output 1 of the box."""
    return (
        f'[[cue]]\nid = "{name}"\nfire = "b/1/{way}"\ntime_s = {time_s}\n'
        f"pulse_s = {pulse_s}\n{more}\n"
    )


def write_show(folder: Path, box: str, *entries: str) -> Path:
    """Write kit and show into a folder."""
    (folder / "lab.toml").write_text(KIT, encoding="utf-8")
    file = folder / "show.toml"
    file.write_text(SHOW.format(box=box) + "".join(entries), encoding="utf-8")
    return file


def assessed(folder: Path, box: str, *entries: str) -> Assessment:
    """Check a show and return everything computed."""
    assessment = check(write_show(folder, box, *entries)).assessment
    assert assessment is not None
    return assessment
