"""Small shows without resistance but in the igniters, so that closed forms hold."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from bridgewire.api import load_show
from bridgewire.plugins import PluginSet
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment

EMF_V, BRIDGE_OHM, TAU_S, PULSE_S = 1.0, 2.0, 0.01, 0.05
CURRENT_A = EMF_V / BRIDGE_OHM
REACH = math.sqrt(1.0 - math.exp(-PULSE_S / TAU_S))
"""A single igniter at constant current lights if its threshold is below this times the current."""


def band(typical: float, sigma: float, k: float = 3.0) -> str:
    """A band that is read as a lognormal scatter of the given log standard deviation."""
    low, high = typical * math.exp(-k * sigma), typical * math.exp(k * sigma)
    return f"{{ min = {low!r}, typical = {typical!r}, max = {high!r} }}"


def kit(
    threshold: str,
    *,
    bridge: str = f"{BRIDGE_OHM}",
    batch_share: float = 0.3,
    tau: str = f"{TAU_S}",
    supply: str = "",
    igniter: str = "",
    burn_open: str = "2.0",
    ohm_per_m: str = "0.0001",
    drum_share: float = 0.8,
    path: str = 'map = "pair"',
    contact: str = "0.0",
) -> str:
    """A kit of one box, one strip, one cable and one igniter class."""
    supply = supply or f'kind = "regulated"\nopen_circuit_V = {EMF_V}\ninternal_ohm = 0.0'
    heating = igniter or f"threshold_A = {threshold}\ntau_s = {tau}"
    return f"""
format = 1
id = "trial"
[[contact]]
id = "pin"
contact_ohm = {contact}
[[cable]]
id = "wire"
metal = "copper"
stranding = "solid"
conductors = 16
ohm_per_m = {ohm_per_m}
drum_share = {drum_share}
[[strip]]
id = "row"
ways = 8
through = 1
inlet_contact = "pin"
through_contact = "pin"
terminal_contact = "pin"
inner_ohm = 0.0
leads_per_terminal = 8
[[igniter_class]]
id = "match"
kind = "electric-match"
bridge_ohm = {bridge}
lead_ohm = 0.0
{heating}
burn_open = {burn_open}
after_fire = "open"
batch_share = {batch_share}
[[box]]
id = "club"
outputs = 4
ways = 8
output_contact = "pin"
switch_ohm = 0.0
[box.path]
{path}
[box.supply]
{supply}
[box.pulses]
min_s = 0.001
max_s = 10.0
"""


def show(
    igniters: Sequence[str], cues: Sequence[str], *, length: str = "0.0", more: str = ""
) -> str:
    """A show with a strip on each output of the box; `igniters` are terminals, `cues` tables."""
    strips = sorted({at.split("/")[0] for at in igniters})
    text = 'format = 1\ntitle = "Boathouse Proms"\nkits = ["trial"]\n'
    text += f"{more}\n[site]\nambient_C = 20\n"
    text += '[[box]]\nid = "box"\nkind = "club"\n'
    for n, strip in enumerate(strips, start=1):
        text += f'[[strip]]\nid = "{strip}"\nkind = "row"\n'
        text += f'[[run]]\nfrom = "box/{n}"\nto = "{strip}"\ncable = "wire"\nlength_m = {length}\n'
    for at in igniters:
        text += f'[[igniter]]\nid = "{at.replace("/", " ")}"\nat = "{at}"\nclass = "match"\n'
    for n, cue in enumerate(cues):
        text += f'[[cue]]\nid = "cue {n}"\npulse_s = {PULSE_S}\n{cue}\n'
    return text


def assessed(folder: Path, kit_text: str, show_text: str) -> Assessment:
    """The show, checked."""
    (folder / "trial.toml").write_text(kit_text, encoding="utf-8")
    file = folder / "show.toml"
    file.write_text(show_text, encoding="utf-8")
    return assess(load_show(file, plugins=PluginSet()).layout)


def single(folder: Path, threshold: str, **more: object) -> Assessment:
    """One igniter under one cue."""
    text = show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0'])
    return assessed(folder, kit(threshold, **more), text)  # type: ignore[arg-type]
