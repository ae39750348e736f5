"""What is written along the circuit of a way."""

from __future__ import annotations

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.ways import WayCircuit
from bridgewire.report.cue_table import spent
from bridgewire.report.figures import number
from bridgewire.report.plain_text import clip_middle, visible
from bridgewire.report.wiring.ladder import Rung
from bridgewire.report.wiring.runs import cable_id, short_id
from bridgewire.report.wiring.steps import Range, Steps
from bridgewire.report.wiring.symbols import VERDICT_SYMBOL
from bridgewire.report.wiring.verdicts import worst
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Verdict
from bridgewire.units import amperes, ohms, significant


@frozen
class WayWords:
    """A way with what a cue does to it, in words."""

    layout: Layout
    circuit: WayCircuit
    cue: CueOutcome | None
    steps: Steps

    def run(self, node: int) -> list[str]:
        """Id, cable, length, resistance and loss of the run to a node."""
        index = self.layout.parts[self.circuit.nodes[node].part].run
        assert index is not None
        run, length = self.layout.show.run[index], self.layout.run_lengths[index]
        cable = short_id(cable_id(self.layout, index))
        if run.parallel > 1:
            cable = f"{run.parallel} × {cable}"
        long = "? m" if length is None else f"{number(length.typical)} m"
        elements = self.circuit.nodes[node].elements
        known = any(e.kind == "cable" for e in elements)
        ohm = ohms(sum(e.ohm.typical for e in elements)) if known else "? Ω"
        lost = self.steps.lost.get(node)
        loses = "" if lost is None else f"loses {volts_of(lost)}"
        return [*([run.id] if run.id else []), cable, f"{long}, {ohm}", loses]

    def node(self, node: int) -> tuple[str, str]:
        """The part at a node and the voltage there."""
        after = self.steps.after.get(node)
        return self.circuit.nodes[node].part, "" if after is None else volts_of(after)

    def rung(self, rung: Rung) -> tuple[str, list[str]]:
        """Verdict symbol and words of the igniters of a rung."""
        names = [visible(self.layout.names[n]) for n in rung.igniters]
        lines = [" + ".join(clip_middle(n, max(17 // len(names) - 2, 4)) for n in names)]
        if len(names) == 1:
            lines = [clip_middle(names[0], 17)]
        found = self.outcomes(rung)
        mark = ""
        if found:
            verdict = worst(i.verdict for i in found)
            states = {_state(i) for i in found}
            lines.append(states.pop() if len(states) == 1 else (verdict or Verdict.UNKNOWN).value)
            if verdict is not None and not any(spent(i) for i in found):
                mark = VERDICT_SYMBOL[verdict]
        bridges = len(self.circuit.strings[rung.strings[0]].bridges)
        if bridges > 1:
            lines.append(f"{bridges} in series")
        if len(rung.strings) > 1:
            lines.append(f"{len(rung.strings)} parallel{', each' if found else ''}")
        return mark, [*lines, *_amounts(found)]

    def outcomes(self, rung: Rung) -> list[IgniterOutcome]:
        """What the cue does to the igniters of a rung."""
        if self.cue is None:
            return []
        return [i for i in self.cue.igniters if i.igniter in rung.igniters]


def volts_of(found: Range) -> str:
    """Write a range of voltages; one value where its ends are the same within 1 %.

    >>> volts_of(Range(5.43, 5.43)), volts_of(Range(3.35, 5.43))
    ('5.43 V', '3.35–5.43 V')
    """
    if found.high - found.low <= 0.01 * abs(found.high):
        return f"{significant(0.5 * (found.low + found.high))} V"
    return f"{significant(found.low)}–{significant(found.high)} V"


def _state(igniter: IgniterOutcome) -> str:
    if spent(igniter):
        return "lit before"
    if igniter.verdict is Verdict.UNKNOWN:
        return "unknown"
    return igniter.verdict.value if igniter.intended else "not meant"


def _amounts(found: list[IgniterOutcome]) -> list[str]:
    """Current and voltage of a rung; only currents where those of its igniters differ."""
    live = [i for i in found if not spent(i)]
    currents = [i.terminal_A for i in live if i.terminal_A is not None]
    volts = [i.terminal_V for i in live if i.terminal_V is not None]
    if not currents or not volts:
        return []
    if max(currents) - min(currents) > 0.01 * max(currents):
        return [f"{significant(min(currents))}–{amperes(max(currents))}"]
    return [f"{amperes(currents[0])}, {significant(volts[0])} V"]
