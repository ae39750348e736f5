"""Small shows for the tests of sheets, written and checked on the spot."""

from __future__ import annotations

import os
import shutil
import tempfile
from functools import cache
from pathlib import Path

import pytest

from bridgewire.api import LoadedShow, Report, check, load_show
from bridgewire.plugins.plugin_set import PluginSet
from tests.oracles import REQUIRE

EXAMPLES = Path(__file__).parents[3] / "examples"
MIDWINTER = EXAMPLES / "midwinter-small.toml"
REGATTA = EXAMPLES / "regatta-night" / "show.toml"

HEAD = """format = 1
title = {title}
kits = ["harrowmere", "generic"]

[site]
ambient_C = 10

[[box]]
id = "heron-1"
kind = "heron"
position = "shed"

[[position]]
id = "shed"
title = "behind the shed"
at_m = [0, 0]
"""

PARALLEL_AND_LEADS = """
[[strip]]
id = "west"
kind = "jetty-strip-8"
position = "shed"
[[strip]]
id = "east"
kind = "jetty-strip-8"
at_m = [30, 40]
[[run]]
id = "R1"
from = "heron-1/1"
to = "west"
cable = "shore-cable"
length_m = { min = 17.5, typical = 18, max = 18.42 }
parallel = 2
joints = 1
joint_contact = "lake-plug"
[[run]]
from = "west"
to = "east"
cable = "pier-cable"
length_m = 20
[[igniter]]
id = "pair"
at = "west/1"
class = "lantern-match"
count = 2
connection = "parallel"
extra_lead_m = { min = 2, typical = 2.2, max = 2.31 }
lead_cable = "reed-lead"
lights = "gold comet"
batch = "spring box"
[[igniter]]
id = "chain"
at = "west/2"
class = "lantern-match"
count = 3
connection = "series"
extra_lead_m = 4
lead_cable = "reed-lead"
[[igniter]]
id = "slow a"
at = "east/1"
class = "clip-on-short"
string = "s"
[[igniter]]
id = "slow b"
at = "east/1"
class = "clip-on-short"
string = "s"
[[cue]]
id = "pair cue"
fire = "heron-1/1/1"
time_s = 10
pulse_s = 0.5
repeat = { times = 2, gap_s = 0.25 }
[[cue]]
id = "chain cue"
fire = "heron-1/1/2"
time_s = 5
pulse_s = 0.07
"""


def loaded(text: str, title: str = "Boathouse Proms", kit: str = "") -> LoadedShow:
    """A show of the head above and more tables, with a kit of its own where one is given."""
    quoted = '"' + "".join(f"\\U{ord(c):08x}" for c in title) + '"'
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "show.toml")
        head = HEAD.replace("{title}", quoted)
        if kit:
            Path(folder, "kits").mkdir()
            Path(folder, "kits", "shed.toml").write_text(kit, encoding="utf-8")
            head = head.replace('"generic"]', '"generic", "shed"]')
        file.write_text(head + text, encoding="utf-8")
        return load_show(file, plugins=PluginSet())


def checked(text: str, title: str = "Boathouse Proms") -> Report:
    """The report of such a show."""
    return check(loaded(text, title))


@cache
def parallel_and_leads() -> Report:
    """A show with parallel cables, joints, extra leads, series and strings."""
    return checked(PARALLEL_AND_LEADS)


@cache
def midwinter() -> Report:
    """The small example."""
    return check(MIDWINTER, plugins=PluginSet())


@cache
def regatta() -> Report:
    """The full-size example."""
    return check(REGATTA, plugins=PluginSet())


def tool_or_skip(name: str) -> None:
    """Skip a test whose outside program is not installed; fail where oracles are required."""
    if shutil.which(name) is not None:
        return
    if os.environ.get(REQUIRE) == "1":
        pytest.fail(f"the program {name} is missing, and {REQUIRE}=1", pytrace=False)
    pytest.skip(f"the program {name} is not installed")


EVIL = "<script>alert(1)</script>\"';}} @page{} \u202e=1+1"
"""A title that tries HTML, CSS, direction marks and formulas at once."""
EVIL_ID = "<img src=x onerror=alert(1)>"
LONG_ID = "very-" * 23 + "long"
HOSTILE = f"""
[[strip]]
id = {EVIL_ID!r}
kind = "jetty-strip-8"
position = "shed"
[[strip]]
id = "{LONG_ID}"
kind = "jetty-strip-8"
at_m = [1, 1]
[[strip]]
id = "北の桟橋 ñ"
kind = "jetty-strip-8"
at_m = [2, 1]
[[run]]
id = "=cmd|calc"
from = "heron-1/1"
to = {EVIL_ID!r}
cable = "shore-cable"
length_m = 8
[[run]]
from = {EVIL_ID!r}
to = "{LONG_ID}"
cable = "shore-cable"
length_m = 8
[[run]]
from = "heron-1/2"
to = "北の桟橋 ñ"
cable = "shore-cable"
length_m = 8
[[igniter]]
id = "+1+1"
at = {EVIL_ID + "/1"!r}
class = "lantern-match"
lights = "@SUM(1)\\tback\\\\slash </td>"
[[igniter]]
id = "-2"
at = "{LONG_ID}/1"
class = "lantern-match"
[[cue]]
id = "=1+1"
fire = "heron-1/1/1"
time_s = -4.5
"""


@cache
def hostile() -> Report:
    """A show whose names try everything."""
    return checked(HOSTILE, EVIL)
