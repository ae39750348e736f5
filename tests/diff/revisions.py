"""Pairs of revisions of a small show, made by replacing text."""

from __future__ import annotations

from pathlib import Path

from bridgewire.api import Report, check
from bridgewire.report.diff_changes import ShowDiff
from bridgewire.report.show_diff import show_diff

SHOW = """format = 1
title = "Regatta Night"
kits = ["harrowmere", "generic"]
[site]
ambient_C = { min = 4, typical = 11, max = 18 }
[[box]]
id = "heron-1"
kind = "heron"
supply_V = { typical = 21.2, tol = 0.2 }
standby_s = 600
[[strip]]
id = "jetty"
kind = "jetty-strip-8"
[[run]]
from = "heron-1/1"
to = "jetty"
cable = "shore-cable"
length_m = 30
[[igniter]]
id = "gerb"
at = "jetty/1"
class = "clip-on-short"
[[igniter]]
id = "comet"
at = "jetty/2"
class = "lantern-match"
[[cue]]
id = "gerbs"
fire = "heron-1/1/1"
time_s = 5.0
pulse_s = 2.0
[[cue]]
id = "opening"
fire = "heron-1/1/2"
time_s = 15.0
pulse_s = 0.5
"""


def changed(*pairs: tuple[str, str], base: str = SHOW) -> str:
    """The show with texts replaced; each must be there once."""
    for old, new in pairs:
        assert base.count(old) == 1, old
        base = base.replace(old, new)
    return base


def report_of(folder: Path, text: str, name: str) -> Report:
    """Check a show that is a text."""
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return check(file)


def difference(folder: Path, old: str, new: str) -> ShowDiff:
    """What changed between two texts."""
    return show_diff(
        report_of(folder, old, "old/show.toml"), report_of(folder, new, "new/show.toml")
    )
