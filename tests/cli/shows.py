"""Shows for the tests of the command line."""

from __future__ import annotations

from pathlib import Path

SMALL = Path(__file__).parents[1] / "report" / "shows" / "small.toml"
KITS = SMALL.parent / "kits"

BAD = """format = 1
titel = "Regatta Night"
kits = ["bench"]

[[box]]
id = "heron-1"
kind = "bench:heron"

[[run]]
from = "heron-1/1"
to = "jetty-9"
cable = "bench:reel"
length_m = -20
"""

CLEAN = """format = 1
title = "Quiet night"
kits = ["bench"]
[site]
ambient_C = 10.0
[[box]]
id = "heron-1"
kind = "bench:heron"
standby_s = 600
[[strip]]
id = "jetty-1"
kind = "bench:strip-8"
[[run]]
from = "heron-1/1"
to = "jetty-1"
cable = "bench:reel"
length_m = 20
[[igniter]]
id = "opener"
at = "jetty-1/1"
class = "bench:quick"
[[cue]]
id = "opening"
fire = "heron-1/1/1"
time_s = 5.0
pulse_s = 0.1
"""


def write_show(folder: Path, text: str, name: str = "show.toml") -> Path:
    """Write a show with the bench kit beside it."""
    (folder / "bench.toml").write_bytes((KITS / "bench.toml").read_bytes())
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file
