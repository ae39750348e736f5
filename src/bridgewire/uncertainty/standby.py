"""How many minutes late a show can begin before a box's battery has waited too long.

A box that is switched on draws its standby current. Every minute the show is late costs charge:
the battery may not last, its voltage is lower at every cue, an igniter may lose its verdict, or the
supply may sag below what the box needs. The cues' order and distances stay.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import Literal

from attrs import evolve, frozen

from bridgewire.circuit.layout import WayKey
from bridgewire.circuit.supplies import diode_drop, site_ambient
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.model.kit import BatterySupply, RegulatedSupply
from bridgewire.timeline.charge import most_load_S
from bridgewire.timeline.evaluate import evaluate
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C, simulate
from bridgewire.timeline.supply_log import cue_sags, show_end_s, standby_lacks, standing_C
from bridgewire.uncertainty.battery_range import knowledge

LONGEST_MIN = 7 * 24 * 60
"""No delay beyond this is looked into, minutes."""
_ROUNDS = 3

Limit = Literal["charge", "verdict", "supply", "none", "search", "not known"]
"""What ends the wait: the battery is empty, a verdict gets worse, the supply sags below
`min_supply_V`; nothing does; nothing does within a week; or nobody can tell."""

_RANK = {Verdict.SURE: 0, Verdict.MARGINAL: 1, Verdict.UNKNOWN: 2, Verdict.NO: 3}


@frozen
class Lateness:
    """How late the show can begin, as far as one box goes."""

    box: str
    minutes: int | None
    """Whole minutes that do no harm; None where nothing limits them or nobody can tell."""
    limit: Limit
    reason: str
    """In words."""
    standby_A: float | None
    standby_s: float | None
    """Waiting that the show plans."""
    holds_C: float | None = None
    """Least charge that the battery holds when switched on, at the coldest ambient, C."""
    pulses_C: float | None = None
    """Most charge that the show's pulses can take, C."""
    waiting_C: float | None = None
    """Charge that standing by takes as planned, up to the last pulse, C."""
    cues: tuple[str, ...] = ()
    """Cues that fail one minute later."""
    notes: tuple[str, ...] = ()


@frozen
class _Battery:
    """A box whose delay can be sought."""

    standby_A: float
    standby_s: float
    holds_C: float
    pulses_C: float
    waiting_C: float

    @property
    def spare_C(self) -> float:
        """Charge left when the show is on time."""
        return self.holds_C - self.pulses_C - self.waiting_C


def latest_start(assessment: Assessment) -> tuple[Lateness, ...]:
    """For each box, how many minutes late the show can be.

    Parameters
    ----------
    assessment : Assessment
        Of the show on time.

    Returns
    -------
    tuple of Lateness
        In the show's order of boxes. The battery is at its least state of charge and the coldest
        ambient; pulses take the most charge that the tolerances allow. Verdicts (at tolerance
        corners) are those of the whole show computed anew; between two delays a cue is taken to
        get worse, not better, and the answer itself is computed once more with all cues.

    Examples
    --------
    >>> charge_minutes(spare_C=3600.0, standby_A=0.1)
    600
    """
    found: dict[str, Lateness] = {}
    sought: dict[str, _Battery] = {}
    for box in assessment.layout.boxes:
        answer = _known(assessment, box)
        if isinstance(answer, _Battery):
            sought[box] = answer
        else:
            found[box] = answer
    found.update(_search(assessment, sought))
    return tuple(found[box] for box in assessment.layout.boxes)


def charge_minutes(*, spare_C: float, standby_A: float) -> int:
    """Whole minutes of waiting that a charge covers.

    Parameters
    ----------
    spare_C : float
    standby_A : float
        Above 0.

    Examples
    --------
    >>> charge_minutes(spare_C=100.0, standby_A=0.15), charge_minutes(spare_C=-1.0, standby_A=0.15)
    (11, 0)
    """
    return max(math.floor(spare_C / standby_A / 60.0 + 1e-9), 0)


def most_pulse_C(assessment: Assessment, box: str) -> float:
    """Most charge that a box's pulses can take, C.

    Every pulse at one current, with every resistance least (a bridge's cold, hot or burned), the
    supply at its highest voltage and least resistance; or what the solver found at any corner,
    where that is more (current can take other ways too in a matrix without diodes).
    """
    simulation = assessment.simulation
    supply = simulation.ledgers[box].supply
    limit = math.inf if supply.limit_A is None else supply.limit_A.max
    volts = max(supply.emf_V.max - diode_drop(assessment.layout.boxes[box][1]).min, 0.0)
    solved = {id(r.firing): float(r.charge_C.max()) for r in simulation.results}
    total = 0.0
    for firing in assessment.schedule.firings:
        if firing.box != box:
            continue
        charge = 0.0
        for pulse in firing.pulses:
            load = most_load_S(simulation.ways[pulse.way])
            current = volts * load / (1.0 + supply.internal_ohm.min * load)
            charge += min(current, limit) * pulse.length_s
        total += max(charge, solved.get(id(firing), 0.0))
    return total


def _known(assessment: Assessment, box: str) -> Lateness | _Battery:
    """What can be said without computing the show again."""
    layout, simulation = assessment.layout, assessment.simulation
    index, kind, _ = layout.boxes[box]
    supply, shown = kind.supply, layout.show.box[index]
    if isinstance(supply, RegulatedSupply):
        reason = "a regulated supply has no charge to run down"
        return Lateness(box, None, "none", reason, supply.standby_A, shown.standby_s)
    if not isinstance(supply, BatterySupply):
        reason = f"the kit format does not say what feeds a {supply.kind} supply while it waits"
        return Lateness(box, None, "not known", reason, None, shown.standby_s)

    def unsaid(reason: str) -> Lateness:
        return Lateness(box, None, "not known", reason, supply.standby_A, shown.standby_s)

    lacks = standby_lacks(layout, box)
    if lacks:
        return unsaid(f"{' and '.join(lacks)} {'is' if len(lacks) == 1 else 'are'} not stated")
    ledger = simulation.ledgers.get(box)
    ambient = site_ambient(layout, shown) or UNKNOWN_AMBIENT_C
    known = knowledge(supply, ambient.min, ambient.max)
    outside = f"the site may be outside what the kit covers: {known.unknown}"
    if known.unknown is not None and supply.cold_curve:
        return unsaid(outside)
    if ledger is None or ledger.supply.battery is None:
        keys = dict.fromkeys(m.key for m in simulation.supplies[box][1])
        return unsaid(f"the kit does not state {', '.join(keys)}")
    if known.unknown is not None:
        return unsaid(outside)
    if any(c.way and c.way[0] == box and c.start_V is None for c in assessment.cues):
        return unsaid("some of its cues cannot be computed, so neither can their charge")
    battery = ledger.supply.battery
    return _Battery(
        ledger.standby_A,
        ledger.standby_s,
        battery.capacity_C * battery.charge_pct.min / 100.0,
        most_pulse_C(assessment, box),
        standing_C(ledger, show_end_s(assessment, box)),
    )


def _search(assessment: Assessment, sought: Mapping[str, _Battery]) -> dict[str, Lateness]:
    """Bisect over whole minutes, all boxes at once."""
    found: dict[str, Lateness] = {}
    before = {c.cue: c for c in assessment.cues}
    low: dict[str, int] = {}
    high: dict[str, int] = {}
    causes: dict[str, dict[int, Limit]] = {}
    ends: dict[str, Limit] = {}
    for box, b in sought.items():
        sagging = tuple(
            c.id
            for c in assessment.by_time()
            if c.way and c.way[0] == box and cue_sags(assessment.layout.boxes[box][1], c)
        )
        if b.spare_C <= 0.0:
            found[box] = _answer(assessment, box, b, 0, "charge")
        elif sagging:
            reason = "the supply sags below min_supply_V already, on time"
            found[box] = evolve(_answer(assessment, box, b, 0, "supply", sagging), reason=reason)
        elif b.standby_A == 0.0:
            reason = "the box draws nothing while it waits"
            found[box] = evolve(_answer(assessment, box, b, None, "none"), reason=reason)
        else:
            by_charge = charge_minutes(spare_C=b.spare_C, standby_A=b.standby_A)
            high[box] = min(by_charge, LONGEST_MIN)
            ends[box] = "charge" if by_charge <= LONGEST_MIN else "search"
            low[box] = high[box]
    for _ in range(_ROUNDS):
        open_boxes = [box for box in low if box not in found]
        if not open_boxes:
            break
        worse = _worse(assessment, before, {box: low[box] for box in open_boxes}, None)
        for box in open_boxes:
            if box not in worse:
                cues = tuple(before[i].id for i in causes.get(box, {}))
                limit = next(iter(causes[box].values())) if box in causes else ends[box]
                found[box] = _answer(assessment, box, sought[box], low[box], limit, cues)
            else:
                causes[box] = worse[box]
                high[box], low[box] = low[box], 0
        _bisect(assessment, before, low, high, causes, [b for b in open_boxes if b not in found])
    for box in low:
        if box not in found:
            reason = "its cues do not get worse steadily as the show gets later"
            b = sought[box]
            found[box] = evolve(_answer(assessment, box, b, None, "not known"), reason=reason)
    return found


def _bisect(
    assessment: Assessment,
    before: Mapping[int, CueOutcome],
    low: dict[str, int],
    high: dict[str, int],
    causes: dict[str, dict[int, Limit]],
    boxes: Collection[str],
) -> None:
    """Narrow the brackets down to a minute, watching the cues that failed at their upper ends."""
    while True:
        trial = {b: (low[b] + high[b]) // 2 for b in boxes if high[b] - low[b] > 1}
        if not trial:
            return
        ways = {w for b in trial for i in causes[b] if (w := before[i].way) is not None}
        worse = _worse(assessment, before, trial, ways)
        for box, minutes in trial.items():
            bad = {i: why for i, why in worse.get(box, {}).items() if i in causes[box]}
            if bad:
                high[box], causes[box] = minutes, bad
            else:
                low[box] = minutes


def _worse(
    assessment: Assessment,
    before: Mapping[int, CueOutcome],
    late_min: Mapping[str, int],
    only_ways: Collection[WayKey] | None,
) -> dict[str, dict[int, Limit]]:
    """The cues of each box that get worse by its delay, and how."""
    late = delayed(assessment, late_min, only_ways)
    found: dict[str, dict[int, Limit]] = {}
    for cue in late:
        if cue.way is None or cue.way[0] not in late_min or cue.start_V is None:
            continue
        box = cue.way[0]
        was = {i.igniter: i.verdict for i in before[cue.cue].meant}
        if any(_RANK[i.verdict] > _RANK[was[i.igniter]] for i in cue.meant):
            found.setdefault(box, {})[cue.cue] = "verdict"
        elif cue_sags(assessment.layout.boxes[box][1], cue):
            found.setdefault(box, {})[cue.cue] = "supply"
    return found


def delayed(
    assessment: Assessment,
    late_min: Mapping[str, float],
    only_ways: Collection[WayKey] | None = None,
) -> tuple[CueOutcome, ...]:
    """What becomes of the cues if boxes wait longer than planned.

    Parameters
    ----------
    assessment : Assessment
    late_min : mapping of box id to minutes
    only_ways : collection of WayKey, optional
        Compute these ways only.
    """
    layout = assessment.layout
    boxes = tuple(
        evolve(b, standby_s=(b.standby_s or 0.0) + 60.0 * late_min[b.id]) if b.id in late_min else b
        for b in layout.show.box
    )
    late = evolve(layout, show=evolve(layout.show, box=boxes))
    builder = CircuitBuilder(late, assessment.simulation.ambient_C)
    ways = (
        {w for c in assessment.cues if (w := c.way) is not None and w[0] in late_min}
        if only_ways is None
        else only_ways
    )
    simulation = simulate(late, builder, assessment.schedule, only_ways=ways)
    for result in simulation.results:
        result.snapshots = {}  # where voltage is lost is not wanted here
    return evaluate(simulation, {})


def _answer(
    assessment: Assessment,
    box: str,
    battery: _Battery,
    minutes: int | None,
    limit: Limit,
    cues: tuple[str, ...] = (),
) -> Lateness:
    index, kind, _ = assessment.layout.boxes[box]
    shown = assessment.layout.show.box[index]
    reasons = {
        "charge": "the battery no longer holds enough for the whole show"
        if battery.spare_C > 0.0
        else "the battery does not hold enough for the show even on time",
        "verdict": "an igniter is no longer as sure to light as on time",
        "supply": "the supply sags below min_supply_V",
        "search": "nothing gets worse within a week",
    }
    ambient = site_ambient(assessment.layout, shown)
    notes = []
    if ambient is None:
        notes.append("ambient is not stated: reckoned with a wide range")
    note = knowledge(
        kind.supply,
        (ambient or UNKNOWN_AMBIENT_C).min,
        (ambient or UNKNOWN_AMBIENT_C).max,
    ).note
    if note is not None:
        notes.append(note)
    if kind.min_supply_V is None:
        notes.append("the kit does not state min_supply_V, so that is not looked at")
    return Lateness(
        box,
        minutes,
        limit,
        reasons.get(limit, ""),
        battery.standby_A,
        shown.standby_s,
        battery.holds_C,
        battery.pulses_C,
        battery.waiting_C,
        cues,
        tuple(notes),
    )
