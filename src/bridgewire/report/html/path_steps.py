"""The chain of a way, from the supply to the bridge, with what each element costs."""

from __future__ import annotations

from collections import defaultdict

from attrs import frozen

from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import Part, PlacedIgniter
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
from bridgewire.diagnostics import DocPath
from bridgewire.report.figures import number
from bridgewire.report.html.prose import arrows
from bridgewire.report.plain_text import visible
from bridgewire.timeline.outcomes import Assessment, CueOutcome, IgniterOutcome
from bridgewire.units import significant


@frozen
class Step:
    """One element of a path; texts, empty where there is no figure."""

    label: str
    ohm: str
    lost: str
    left: str
    share: float | None
    """Voltage left over that at the source, 0 to 1."""
    peak: str
    over: bool
    """Whether the peak is above the rating of one conductor or contact."""


@frozen
class PathView:
    """The path of one igniter."""

    igniter: str
    steps: tuple[Step, ...]
    basis: str
    """What the voltages are those of."""
    missing: tuple[str, ...]


class Paths:
    """Finds the paths of a show's igniters."""

    def __init__(self, assessment: Assessment) -> None:
        self.assessment = assessment
        simulation = assessment.simulation
        self._builder = CircuitBuilder(assessment.layout, simulation.ambient_C)
        self._placed = {p.index: p for p in assessment.layout.igniters}

    def circuit(self, cue: CueOutcome) -> WayCircuit | None:
        """The circuit of a cue's way; None where the way does not exist or has no igniter."""
        layout = self.assessment.layout
        if cue.way is None or cue.way not in layout.by_way:
            return None
        found = self.assessment.simulation.ways.get(cue.way)
        return self._builder.way(cue.way) if found is None else found

    def chain(self, cue: CueOutcome, igniter: IgniterOutcome) -> str:
        """What hangs on what, in words: ``heron-1/2 → jetty-1 → jetty-2, terminal 4``."""
        placed = self._placed.get(igniter.igniter)
        if placed is None:
            return ""
        names: list[str] = []
        part: Part | None = placed.part
        while part is not None:
            names.append(visible(part.id))
            part = part.parent
        output = placed.part.output
        head = "not wired" if output is None else f"{visible(output[0])}/{output[1]}"
        return " → ".join([head, *reversed(names)]) + f", terminal {placed.way}"

    def view(self, cue: CueOutcome, igniter: IgniterOutcome) -> PathView | None:
        """The path of an igniter, element by element; None where there is none."""
        circuit = self.circuit(cue)
        placed = self._placed.get(igniter.igniter)
        if circuit is None or placed is None or self._way_of(placed) != cue.way:
            return None
        elements = _elements(circuit, placed.index)
        lost = {(d.label, d.path): d.volts for d in igniter.drops}
        loads = {(load.element.label, load.element.path): load for load in cue.loads}
        start, when = self._start(cue, igniter, elements)
        rows: list[tuple[str, DocPath, Element | None]] = []
        named = {(e.label, e.path) for e in elements}
        # What belongs to no element of the way: the supply's own resistance and the diode.
        before = [k for k in lost if k not in named]
        rows += [(label, path, None) for label, path in sorted(before, key=_supply_first)]
        rows += [(e.label, e.path, e) for e in {(e.label, e.path): e for e in elements}.values()]
        ohms: dict[tuple[str, DocPath], float] = defaultdict(float)
        for e in elements:
            # The leads of several igniters in series go by one name, and their losses are one sum.
            ohms[e.label, e.path] += e.ohm.typical
        left = start
        steps: list[Step] = []
        for label, path, element in rows:
            volts = lost.get((label, path))
            if left is not None and volts is not None:
                left = max(left - volts, 0.0)
            load = loads.get((label, path))
            rated = None if element is None else element.rated_A
            peak = "" if load is None else significant(load.each_A)
            if load is not None and rated is not None:
                peak = f"{peak} of {number(rated)}"
            steps.append(
                Step(
                    arrows(visible(label)),
                    "" if element is None else _ohm(ohms[label, path]),
                    "" if volts is None else _volts(volts),
                    "" if left is None or volts is None else _volts(left),
                    None if left is None or not start else left / start,
                    peak,
                    load is not None and rated is not None and load.each_A > rated * (1 + 1e-9),
                )
            )
        basis = ""
        if start is not None:
            basis = f"typical values {when}; the source gives {_volts(start)} V"
        missing = tuple(
            f"{visible(m.key)} of {m.noun} {visible(m.item)}: {visible(m.prevents)}"
            for m in circuit.missing
            if m.blocks
        )
        return PathView(visible(igniter.id), tuple(steps), basis, missing)

    def _start(
        self, cue: CueOutcome, igniter: IgniterOutcome, elements: list[Element]
    ) -> tuple[float | None, str]:
        """Source voltage from which the losses count, V, and the moment that they are those of."""
        if cue.start_V is None or cue.way is None or not igniter.drops:
            return None, ""
        lit = igniter.peak_rise is not None and igniter.peak_rise >= 1.0
        data = self.assessment.simulation.supplies[cue.way[0]][0]
        if data is None or data.capacitance_F is None:
            moment = "when it lights" if lit else "at the end of the pulse"
            return cue.start_V.typical, moment
        if not lit or igniter.terminal_V is None:
            return cue.start_V.typical, "at the beginning of the pulse"
        # By then the capacitor has fallen: count back from the terminal.
        leads = {(e.label, e.path) for e in elements if e.kind == "lead"}
        before = sum(d.volts for d in igniter.drops if (d.label, d.path) not in leads)
        return igniter.terminal_V + before, "when it lights"

    def _way_of(self, placed: PlacedIgniter) -> tuple[str, int, int] | None:
        return self.assessment.layout.way_of(placed)


def _supply_first(key: tuple[str, DocPath]) -> bool:
    return not key[0].startswith("supply")


def _elements(circuit: WayCircuit, igniter: int) -> list[Element]:
    """Elements from the switch to the igniter's leads, in the order of the current."""
    for n, string in enumerate(circuit.strings):
        if any(circuit.bridge_igniter[b] == igniter for b in string.bridges):
            path = [
                e for node in reversed(circuit.path_to(n)) for e in circuit.nodes[node].elements
            ]
            return [*path, *string.elements]
    return []


def _ohm(value: float) -> str:
    return f"{value:.3f}" if value < 99.95 else f"{value:.1f}"


def _volts(value: float) -> str:
    return f"{value:.2f}" if value >= 0.005 else "0.00"
