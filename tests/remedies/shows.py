"""Small shows with one fault each, for tests of remedies."""

from __future__ import annotations

HEAD = """\
format = 1
title = "a fault"
kits = ["harrowmere", "generic"]
[site]
ambient_C = { min = 5, typical = 10, max = 15 }
cable_slack_pct = 5
[requirements]
margin = 1.1
[costs]
currency = "EUR"
per_m = 0.1
per_output = 2.0
per_minute = 0.5
per_shift_s = 1.0
minutes_per_run = 3
minutes_per_m = 0.05
minutes_per_part = 5
minutes_per_igniter = 2
[[position]]
id = "boathouse"
at_m = [0, 0]
[[position]]
id = "point"
at_m = [40, 0]
[[box]]
id = "heron-1"
kind = "harrowmere:heron"
position = "boathouse"
supply_V = { typical = 21.2, tol = 0.2 }
standby_s = 600
"""


def strip(name: str, at: tuple[float, float] = (40, 0)) -> str:
    """A strip."""
    return (
        f'[[strip]]\nid = "{name}"\nkind = "harrowmere:jetty-strip-8"\nat_m = [{at[0]}, {at[1]}]\n'
    )


def run(start: str, to: str, metres: float, cable: str = "harrowmere:shore-cable") -> str:
    """A run."""
    return f'[[run]]\nfrom = "{start}"\nto = "{to}"\ncable = "{cable}"\nlength_m = {metres}\n'


def igniter(name: str, at: str, klass: str = "generic:clip-on-short", more: str = "") -> str:
    """An igniter."""
    return f'[[igniter]]\nid = "{name}"\nat = "{at}"\nclass = "{klass}"\n{more}'


def cue(name: str, fire: str, time_s: float, pulse_s: float, more: str = "") -> str:
    """A cue."""
    return (
        f'[[cue]]\nid = "{name}"\nfire = "{fire}"\ntime_s = {time_s}\npulse_s = {pulse_s}\n{more}'
    )


SHORT_PULSE = (
    HEAD
    + strip("west")
    + run("heron-1/1", "west", 42)
    + igniter("comet", "west/1")
    + cue("go", "heron-1/1/1", 10, 0.5)
)
"""One slow igniter whose pulse is too short."""

LONG_WAY = (
    HEAD
    + strip("west")
    + run("heron-1/1", "west", 50)
    + "".join(igniter(f"comet {n}", "west/1") for n in range(3))
    + cue("go", "heron-1/1/1", 10, 4.0)
)
"""Three slow igniters that a thin cable, longer than it must be, starves at any pulse."""

CHAIN = (
    HEAD
    + strip("near", (15, 0))
    + strip("far", (30, 0))
    + run("heron-1/1", "near", 16)
    + run("near", "far", 16)
    + igniter("comet 1", "near/1")
    + igniter("comet 2", "far/1")
    + cue("go", "heron-1/1/1", 10, 1.0)
)
"""Two slow igniters on a chain; the far one does not light in the pulse."""

HOLD_OFF = (
    HEAD
    + strip("west")
    + run("heron-1/1", "west", 42)
    + igniter("match 1", "west/1", "harrowmere:lantern-match")
    + igniter("match 2", "west/2", "harrowmere:lantern-match")
    + cue("first", "heron-1/1/1", 10, 0.05)
    + cue("again", "heron-1/1/1", 10.3, 0.05, 'lights = ["match 1"]\n')
    + cue("other", "heron-1/1/2", 12, 0.05)
)
"""A way that is fired again too early."""
