"""Nobody says how long a run is.

What it checks
--------------
Each run without length_m: whether its length follows from the coordinates of its ends and the
slack of the site. Lengths that do follow are noted in one finding for all.

Why it matters
--------------
Length is resistance. Without it everything behind the run is unknown. A derived length is too
short where a whole 50 m cable is laid for 30 m.

Model and limits
----------------
Straight distance in the plane times 1 plus cable_slack_pct / 100, taken as exact. Without a
stated slack nothing is derived.

Example
-------
A run between two strips, neither of which has a position.

Do instead
----------
State the length of the cable that will lie there, not that of the path.

Settings
--------
site.cable_slack_pct.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.places import straight_distance_m
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names
from bridgewire.rules.wiring import run_label, run_name, run_subjects
from bridgewire.rules.words import count
from bridgewire.units import significant

RULE = Rule("WIR014", "run-length-unknown", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each run of unknown length, and one for all derived lengths."""
    derived: list[int] = []
    for i, run in enumerate(context.show.run):
        if run.length_m is not None:
            continue
        if context.layout.run_lengths[i] is not None:
            derived.append(i)
            continue
        distance = straight_distance_m(context.show, i)
        lacking = (
            "its ends have no coordinates"
            if distance is None
            else f"its ends are {significant(distance)} m apart but site.cable_slack_pct is not "
            "stated"
        )
        yield RULE.finding(
            f"{run_label(run)} states no length_m, and {lacking}; what is behind it is unknown",
            ("run", i),
            subjects=run_subjects(run),
            remedy="state length_m of the cable as laid, with its tolerance; or coordinates of "
            "both ends and site.cable_slack_pct",
        )
    if derived:
        labels = [run_name(context.show.run[i]) for i in derived]
        yield RULE.finding(
            f"{count(len(derived), 'run')} with a length taken from "
            f"coordinates plus {context.show.site.cable_slack_pct:g} % slack: {names(labels)}",
            ("run", derived[0]),
            severity=Severity.INFO,
            measured=float(len(derived)),
            limit=0.0,
            subjects=tuple(context.show.run[i].to for i in derived),
            remedy="state length_m where a drum of another length is laid: all of a cable counts, "
            "also what stays on the drum",
        )
