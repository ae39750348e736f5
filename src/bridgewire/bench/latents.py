"""The unknowns of a bench record: independent standard normal values, and what each one moves.

Those of `bridgewire.uncertainty.scatter` for each trial, under names that trials share: what is
common (an igniter class, a drum of cable, a kind of contact, a kind of box) is one unknown for
the whole record; an igniter's own values belong to its trial, cables and contacts to their bench.
For each value of an igniter class there is one unknown more: how widely its igniters scatter.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from attrs import define, field, frozen

from bridgewire.uncertainty.quantities import Group

Role: TypeAlias = Literal["common", "scatter", "igniter", "wiring", "shot"]
"""What an unknown is of: what all trials share; how igniters of a class scatter; one igniter; the
cables and contacts of one bench; the reading of one supply voltage."""

SCATTER_LOG_SD = 0.5
"""How unsure the scatter between igniters is before any trial: its standard deviation is what the
band says times a lognormal factor, of which this is the standard deviation of the logarithm (1.65
either way; common practice, no source)."""


@frozen
class Unknown:
    """One unknown: standard normal before any trial."""

    key: str
    """Stable name. That of a common latent is the one that odds use."""
    role: Role
    group: Group
    trials: frozenset[int]
    """Trials whose outcome it has a part in."""
    place: int = -1
    """For an igniter's own values: the igniter's number in its trial."""


@define
class UnknownTable:
    """Collects unknowns; equal keys are one."""

    rows: dict[str, Unknown] = field(factory=dict)
    _numbers: dict[str, int] = field(factory=dict)

    def add(self, key: str, role: Role, group: Group, trial: int, place: int = -1) -> int:
        """The number of an unknown, which a trial has a part in."""
        known = self.rows.get(key)
        trials = frozenset((trial,)) | (known.trials if known else frozenset())
        self.rows[key] = Unknown(key, role, group, trials, place)
        return self._numbers.setdefault(key, len(self._numbers))
