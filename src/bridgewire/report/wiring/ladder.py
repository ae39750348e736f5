"""The lay-out of a way's circuit: two rails, runs along them, igniters as rungs between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

from attrs import define, field, frozen

from bridgewire.circuit.ways import WayCircuit
from bridgewire.report.wiring.drawing import figure, text, use

RAILS = 76.0
RUN, RUNG, FORK = 130.0, 112.0, 24.0
SOURCE = 156.0
MOST_X = 884.0
_TOP, _TALL, _LINE = 58.0, 132.0, 13.0


@frozen
class Rung:
    """A string of igniters on a terminal, or several alike side by side."""

    strings: tuple[int, ...]
    igniters: tuple[int, ...]
    """Indexes in the show, in series."""


@frozen
class Words:
    """What is written at the parts of a ladder."""

    run: Callable[[int], list[str]]
    """Lines under the run that leads to a node."""
    node: Callable[[int], tuple[str, str]]
    """Name of the part at a node and the voltage there."""
    rung: Callable[[Rung], tuple[str, list[str]]]
    """Verdict symbol and lines beside a rung."""


@define
class Ladder:
    """A ladder in the making."""

    circuit: WayCircuit
    words: Words
    diode: bool
    out: list[str] = field(factory=list)
    wires: list[str] = field(factory=list)
    rows: int = 1
    widest: float = SOURCE
    _breaks: int = 0
    _later: list[tuple[str, int, int]] = field(factory=list)
    _parts: dict[int, list[int]] = field(factory=dict)
    _rungs: dict[int, list[Rung]] = field(factory=dict)

    def draw(self) -> None:
        """Draw all that hangs on node 0, the way's contact, from the box's terminals on."""
        self._parts, self._rungs = _sorted(self.circuit)
        self._fork(0, SOURCE, 0.0, 0)
        while self._later:
            letter, node, stage = self._later.pop(0)
            row = self.rows
            self.rows += 1
            self._ends(20.0, row, letter, -14.0)
            self._part(node, stage, 20.0, 14.0, row)

    def bottom(self) -> float:
        """Where the ladder ends."""
        return self.feed(self.rows - 1) + RAILS + 14.0

    @staticmethod
    def feed(row: int) -> float:
        """Height of the feed rail of a row."""
        return _TOP + _TALL * row

    def _rails(self, start: float, end: float, row: int) -> None:
        if end > start:
            y = self.feed(row)
            a, long = figure(start), figure(end - start)
            self.wires.append(f"M{a} {figure(y)}h{long}M{a} {figure(y + RAILS)}h{long}")
            self.widest = max(self.widest, end)

    def _ends(self, x: float, row: int, letter: str, aside: float) -> None:
        """A pair of terminals with a letter, where a row breaks off or goes on."""
        for y in (self.feed(row), self.feed(row) + RAILS):
            self.out.append(use("terminal", x, y) + text(x + aside, y + 4.0, letter))

    def _defer(self, node: int, stage: int, x: float, gap: float, row: int) -> None:
        again, place = divmod(self._breaks, 26)
        letter = chr(ord("A") + place) + (str(again + 1) if again else "")
        self._breaks += 1
        end = min(x + gap, MOST_X)
        self._rails(x, end, row)
        self._ends(end, row, letter, 6.0)
        self.widest = max(self.widest, end + 14.0)
        self._later.append((letter, node, stage))

    def _part(self, node: int, stage: int, x: float, gap: float, row: int) -> None:
        """A run (stage 0), the rungs at its end (stages from 1), and what hangs on the part.

        `gap` is the length of rail to lay before anything else: room for words.
        """
        if stage == 0:
            # A run and the first igniters at its end stay together.
            if x + gap + RUN + (RUNG if node in self._rungs else 0.0) > MOST_X:
                self._defer(node, 0, x, gap, row)
                return
            self._rails(x, x + gap, row)
            x, gap = x + gap + RUN, 0.0
            self._run(node, x - RUN, row)
        rungs = self._rungs.get(node, [])
        for k in range(max(stage - 1, 0), len(rungs)):
            if x + gap + RUNG > MOST_X:
                self._defer(node, k + 1, x, gap, row)
                return
            self._rails(x, x + gap, row)
            x, gap = x + gap, RUNG
            self._rung(rungs[k], x, row)
        self._fork(node, x, gap, row)

    def _fork(self, node: int, x: float, gap: float, row: int) -> None:
        """What hangs on a part: the first on the same row, the others on rows below."""
        parts = self._parts.get(node, [])
        if len(parts) < 2:
            for part in parts:
                self._part(part, 0, x, gap, row)
            return
        x0 = x + gap
        self._rails(x, x0 + FORK, row)
        down, back = x0 + 7.0, x0 + 17.0
        y = self.feed(row)
        self.out += [use("dot", down, y), use("dot", back, y + RAILS)]
        self._part(parts[0], 0, x0 + FORK, 0.0, row)
        for n, part in enumerate(parts[1:], start=2):
            below = self.rows
            self.rows += 1
            to = self.feed(below)
            after = figure(x0 + FORK)
            if n < len(parts):
                self.out += [use("dot", down, to), use("dot", back, to + RAILS)]
            self.wires.append(
                f"M{figure(down)} {figure(y)}V{figure(to)}H{after}"
                f"M{figure(back)} {figure(y + RAILS)}V{figure(to + RAILS)}H{after}"
            )
            self._part(part, 0, x0 + FORK, 0.0, below)

    def _run(self, node: int, x: float, row: int) -> None:
        y = self.feed(row)
        self.out.append(use("run", x, y))
        for n, line in enumerate(self.words.run(node)):
            self.out.append(text(x + 6.0, y + 20.0 + _LINE * n, line, 20))
        name, volts = self.words.node(node)
        self.out.append(text(x + RUN - 4.0, y - 21.0, name, 18, 'font-weight="bold"'))
        self.out.append(text(x + RUN - 4.0, y - 8.0, volts))
        self.widest = max(self.widest, x + RUN + 70.0)

    def _rung(self, rung: Rung, x: float, row: int) -> None:
        y = self.feed(row)
        self.out.append(use("rungd" if self.diode else "rung", x, y))
        mark, lines = self.words.rung(rung)
        top = y + 20.0
        for n, line in enumerate(lines):
            aside = 14.0 if n == 1 and mark else 0.0
            self.out.append(text(x + 12.0 + aside, top + _LINE * n, line, 17))
        if mark:
            self.out.append(use(mark, x + 18.0, top + _LINE - 3.5))
        self.widest = max(self.widest, x + RUNG)


def _sorted(circuit: WayCircuit) -> tuple[dict[int, list[int]], dict[int, list[Rung]]]:
    """Parts that hang on each node, and the rungs at each part's terminal."""
    parts: dict[int, list[int]] = defaultdict(list)
    owner: dict[int, int] = {}
    for n, node in enumerate(circuit.nodes):
        if n == 0:
            continue
        if node.part == circuit.nodes[node.parent].part and node.parent != 0:
            owner[n] = node.parent
        else:
            parts[node.parent].append(n)
    rungs: dict[int, list[Rung]] = defaultdict(list)
    for s, string in enumerate(circuit.strings):
        igniters = tuple(dict.fromkeys(circuit.bridge_igniter[b] for b in string.bridges))
        here = rungs[owner[string.node]]
        if here and here[-1].igniters == igniters and len(igniters) == 1:
            here[-1] = Rung((*here[-1].strings, s), igniters)
        else:
            here.append(Rung((s,), igniters))
    return dict(parts), dict(rungs)
