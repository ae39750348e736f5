"""Voltage and charge of every box's supply, cue by cue, read from an assessment."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.supplies import left_pct
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, BoxKind, CapacitorSupply
from bridgewire.timeline.charge import BoxLedger
from bridgewire.timeline.outcomes import Assessment, CueOutcome


@frozen
class SupplyEntry:
    """One cue. Figures are None where the cue cannot be computed."""

    switch_s: float
    cue: int
    """Index in the show."""
    id: str
    open_V: float | None
    """Open-circuit voltage as the box switches, worst corner."""
    open_typical_V: float | None
    lowest_V: float | None
    """Lowest voltage at the supply's terminals during the cue, worst corner."""
    lowest_typical_V: float | None
    used_before_C: float | None
    """Charge used before the cue, with standing by where that is known, C."""
    left_pct: float | None
    """Charge left before the cue, of what the full battery holds at the coldest ambient, from the
    least state of charge, %; None where that is not known."""
    left_typical_pct: float | None
    """The same from the typical state of charge."""

    @property
    def used_before_Ah(self) -> float | None:
        """Charge used before the cue, Ah."""
        return None if self.used_before_C is None else self.used_before_C / 3600.0


@frozen
class SupplyLog:
    """One box through the show."""

    box: str
    kind: str
    """Full id of its kind."""
    supply: str
    """``battery``, ``regulated``, ``capacitor`` or ``model``."""
    min_supply_V: float | None
    """Least voltage at which the box works."""
    capacity_Ah: float | None
    """Least charge of the full battery at the coldest ambient, Ah."""
    charge_pct: Band | None
    """State of charge when the box is switched on."""
    used_C: float | None
    """Charge used from switching on to the end of the last cue, C."""
    left_pct: float | None
    """Charge left after the show from the least state of charge, %."""
    entries: tuple[SupplyEntry, ...]
    """In order of time."""
    notes: tuple[str, ...] = ()
    """What is not known and therefore not counted."""

    @property
    def lowest(self) -> SupplyEntry | None:
        """The cue that pulls the supply lowest at the worst corner; the first of equals."""
        known = [e for e in self.entries if e.lowest_V is not None]
        return min(
            known, key=lambda e: math.inf if e.lowest_V is None else e.lowest_V, default=None
        )

    @property
    def below_minimum(self) -> tuple[SupplyEntry, ...]:
        """The cues at which the box may stop working, at the worst corner.

        A capacitor is meant to run down in the pulse: its voltage before the cue counts.
        """
        return tuple(e for e in self.entries if sags(self, e))


def sags(log: SupplyLog, entry: SupplyEntry) -> bool:
    """Whether a cue leaves a box less than it needs to work, at the worst corner."""
    return _sags(log.supply == "capacitor", entry.open_V, entry.lowest_V, log.min_supply_V)


def _sags(
    capacitor: bool, open_V: float | None, lowest_V: float | None, least_V: float | None
) -> bool:
    """A capacitor is meant to run down in the pulse: its voltage before the cue counts."""
    volts = open_V if capacitor else lowest_V
    return volts is not None and least_V is not None and volts < least_V


def cue_sags(kind: BoxKind, cue: CueOutcome) -> bool:
    """Whether a cue leaves its box less than it needs to work, at the worst corner.

    Parameters
    ----------
    kind : BoxKind
    cue : CueOutcome

    Returns
    -------
    bool
        False where the box states no `min_supply_V`, or the cue is not computed.
    """
    open_V = None if cue.start_V is None else cue.start_V.worst
    capacitor = isinstance(kind.supply, CapacitorSupply)
    return _sags(capacitor, open_V, cue.lowest_V, kind.min_supply_V)


def used_C(assessment: Assessment, box: str, *, late_s: float = 0.0) -> float | None:
    """Charge a box uses from switching on to the end of its last pulse, C.

    Parameters
    ----------
    assessment : Assessment
    box : str
    late_s : float
        How much later than planned the show begins.

    Returns
    -------
    float or None
        None where the supply cannot be computed.
    """
    ledger = assessment.simulation.ledgers.get(box)
    if ledger is None:
        return None
    return ledger.used_C + standing_C(ledger, show_end_s(assessment, box) + late_s)


def standing_C(ledger: BoxLedger, until_s: float) -> float:
    """Charge used by standing by up to a moment of the show, C."""
    return ledger.standby_A * max(ledger.standby_s + until_s, 0.0)


def show_end_s(assessment: Assessment, box: str) -> float:
    """End of a box's last pulse, s; 0 where it has none."""
    return max((f.end_s for f in assessment.schedule.firings if f.box == box), default=0.0)


def supply_logs(assessment: Assessment) -> tuple[SupplyLog, ...]:
    """Follow every box's supply through the show.

    Parameters
    ----------
    assessment : Assessment
        From `bridgewire.timeline.assess.assess`.

    Returns
    -------
    tuple of SupplyLog
        In the show's order of boxes. Charge is that of `bridgewire.timeline.charge`: from the
        typical first current of each pulse.

    Examples
    --------
    >>> from bridgewire.timeline.supply_log import SupplyEntry
    >>> SupplyEntry(10.0, 0, "opening", 21.0, 21.2, 19.5, 20.1, 180.0, 95.0, 99.0).used_before_Ah
    0.05
    """
    return tuple(_log(assessment, box) for box in assessment.layout.boxes)


def _log(assessment: Assessment, box: str) -> SupplyLog:
    layout = assessment.layout
    _, kind, kind_id = layout.boxes[box]
    ledger = assessment.simulation.ledgers.get(box)
    battery = None if ledger is None else ledger.supply.battery
    cues = [c for c in assessment.by_time() if c.way is not None and c.way[0] == box]
    used = used_C(assessment, box)

    def left(charge: float, used: float | None) -> float | None:
        if battery is None or used is None:
            return None
        return left_pct(charge, used, battery.capacity_C)

    def entry(cue: CueOutcome) -> SupplyEntry:
        before = cue.used_before_C
        worst = typical = None
        if battery is not None:
            worst = left(battery.charge_pct.min, before)
            typical = left(battery.charge_pct.typical, before)
        return SupplyEntry(
            cue.switch_s,
            cue.cue,
            cue.id,
            None if cue.start_V is None else cue.start_V.worst,
            None if cue.start_V is None else cue.start_V.typical,
            cue.lowest_V,
            cue.lowest_typical_V,
            before,
            worst,
            typical,
        )

    return SupplyLog(
        box,
        kind_id,
        kind.supply.kind,
        kind.min_supply_V,
        None if battery is None else battery.capacity_C / 3600.0,
        None if battery is None else battery.charge_pct,
        used,
        None if battery is None else left(battery.charge_pct.min, used),
        tuple(entry(c) for c in cues),
        tuple(_notes(layout, assessment, box, cues)),
    )


def _notes(layout: Layout, assessment: Assessment, box: str, cues: list[CueOutcome]) -> list[str]:
    """What is not known about a box and so not in its figures."""
    kind = layout.boxes[box][1]
    notes: list[str] = []
    data, lacks = assessment.simulation.supplies[box]
    if data is None or lacks:
        keys = ", ".join(dict.fromkeys(m.key for m in lacks))
        what = "no voltage can be computed" if data is None else "sag and charge left are not known"
        notes.append(f"the kit does not state {keys}: {what}")
    if isinstance(kind.supply, BatterySupply):
        missing = standby_lacks(layout, box)
        if missing:
            are = "is" if len(missing) == 1 else "are"
            notes.append(f"waiting is not counted: {' and '.join(missing)} {are} not stated")
    if kind.min_supply_V is None:
        notes.append("the kit does not state min_supply_V: nothing says when the box stops working")
    unknown = sum(c.start_V is None for c in cues)
    if unknown:
        notes.append(f"{unknown} of its cues cannot be computed; their charge is not counted")
    return notes


def standby_lacks(layout: Layout, box: str) -> list[str]:
    """What is not stated of a battery box's waiting."""
    index, kind, kind_id = layout.boxes[box]
    if not isinstance(kind.supply, BatterySupply):
        return []
    lacks = []
    if kind.supply.standby_A is None:
        lacks.append(f"standby_A of {kind_id} in the kit")
    if layout.show.box[index].standby_s is None and kind.supply.standby_A != 0.0:
        lacks.append("standby_s in the show")
    return lacks
