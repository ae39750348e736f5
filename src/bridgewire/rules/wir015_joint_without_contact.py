"""A run has joints of unknown resistance.

What it checks
--------------
Each run with joints, for joint_contact.

Why it matters
--------------
A joint is two plugs and a coupler, or a twist of wire under tape. It is the worst contact on the
field and often lies in wet grass, so it must not count as nothing.

Model and limits
----------------
Each joint counts two mated pairs in each leg, at both sides of the coupler.

Example
-------
joints = 1 for two 50 m cables with a coupler, and no joint_contact.

Do instead
----------
Name the contact, and give it a tolerance that covers worn and wet ones.

Settings
--------
None.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.wiring import run_label, run_subjects
from bridgewire.rules.words import count

RULE = Rule("WIR015", "joint-without-contact", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each run whose joints have no contact."""
    for i, run in enumerate(context.show.run):
        if run.joints and run.joint_contact is None:
            yield RULE.finding(
                f"{run_label(run)} has {count(run.joints, 'joint')} but no "
                "joint_contact, so what is behind it is unknown",
                ("run", i, "joints"),
                subjects=run_subjects(run),
                remedy="state joint_contact, a contact of the kit; each joint counts two mated "
                "pairs in each leg",
            )
