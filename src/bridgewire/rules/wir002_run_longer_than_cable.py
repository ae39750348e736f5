"""A run is longer than any single cable in the kit.

What it checks
--------------
The longest value of each run's length against max_length_m of its cable, with the joints that the
run states, and each extra lead against its own cable.

Why it matters
--------------
On the field two pieces get joined with whatever is at hand. The joint's contacts are then missing
from the calculation, and wet grass gets into it.

Model and limits
----------------
A run with joints may be as long as its pieces together. Joints in extra leads are not part of the
format.

Example
-------
A run of 60 m on a cable that comes in pieces of 50 m, with no joints.

Do instead
----------
State the joints and their contact so that they are counted, or plan a route that one piece
covers.

Settings
--------
None.

References
----------
The kit profile's own figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.wiring import run_label, run_subjects
from bridgewire.rules.words import count
from bridgewire.units import plain, told_apart

RULE = Rule("WIR002", "run-longer-than-cable", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each run and extra lead longer than the longest piece of its cable."""
    for i, run in enumerate(context.show.run):
        spec, length = context.layout.run_cables[i], context.layout.run_lengths[i]
        short = joints_needed(spec, length) - run.joints
        if length is None or spec.max_length_m is None or short <= 0:
            continue
        limit_m = spec.max_length_m * (run.joints + 1)
        is_m, in_all = told_apart(plain, length.max, limit=limit_m)
        piece = f"{spec.max_length_m:g}" if run.joints else in_all
        yield RULE.finding(
            f"{run_label(run)} is {is_m} m long, but the longest piece of {run.cable!r} is "
            f"{piece} m, and the run states "
            + (f"{count(run.joints, 'joint')}, {in_all} m in all" if run.joints else "no joints"),
            ("run", i) if run.length_m is None else ("run", i, "length_m"),
            measured=length.max,
            limit=limit_m,
            unit="m",
            subjects=run_subjects(run),
            remedy=f"state joints = {run.joints + short} with their joint_contact, or move the box "
            "or a splitter nearer, or use a cable of longer pieces",
        )
    for placed in context.layout.igniters:
        ref, lead_m = placed.igniter.lead_cable, placed.igniter.extra_lead_m
        lead = None if ref is None else context.catalogue.cables.get(ref)
        most_m = None if lead is None else lead.max_length_m
        if lead is None or lead_m is None or most_m is None or joints_needed(lead, lead_m) <= 0:
            continue
        is_m, piece = told_apart(plain, lead_m.max, limit=most_m)
        yield RULE.finding(
            f"the extra lead of {placed.id!r} is {is_m} m long, but the longest piece of {ref!r} "
            f"is {piece} m",
            (*placed.path, "extra_lead_m"),
            measured=lead_m.max,
            limit=most_m,
            unit="m",
            subjects=(placed.id,),
            remedy="put a strip nearer to the igniter, or use a cable of longer pieces",
        )


def joints_needed(spec: CableSpec, length_m: Band | None) -> int:
    """Joints that a length needs for want of a longer piece; 0 where nobody can tell.

    >>> joints_needed(CableSpec("a", "copper", "solid", 8, max_length_m=50), Band.exact(120))
    2
    """
    if length_m is None or spec.max_length_m is None:
        return 0
    return max(math.ceil(length_m.max / spec.max_length_m - 1e-9) - 1, 0)
