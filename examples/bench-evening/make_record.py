"""Writes record.toml: an invented evening on the bench, computed by other means than bridgewire.

Nobody fired anything. The trials are worked out from the numbers under ``TRUTH`` with scipy's
solve_ivp and a dense matrix of conductances, so that a fit of the record is held against a solver
that shares no code with it. Every igniter, cable and contact has values of its own.

Run: python examples/bench-evening/make_record.py
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

SEED = 20
AMBIENT_C = 14.0
SUPPLY_V = 21.2
DIODE_V = 0.56

TRUTH = {
    "supply_ohm": 0.34,  # warm
    "switch_ohm": 0.03,
    "diode_ohm": 0.03,
    "shore_ohm_per_m": 0.0852,
    "cca_ohm_per_m": 0.133,
    "plug_ohm": 0.010,
    "clamp_ohm": 0.010,
    "inner_ohm": 0.015,
}
CLASSES = {
    # bridge ohm, leads ohm, heat capacity J/K, loss W/K, lights at °C, parts at (times the rise);
    # then how widely single igniters scatter (standard deviation of the logarithm)
    "clip-on-short": (
        (1.73, 0.05, 0.0063, 0.00195, 705.0, 1.62),
        (0.02, 0.1, 0.035, 0.03, 0.012, 0.06),
    ),
    "clip-on-long": (
        (3.45, 0.05, 0.0124, 0.0039, 700.0, 1.6),
        (0.02, 0.1, 0.03, 0.03, 0.012, 0.06),
    ),
}
MATCH = ((1.5, 0.2, 0.324, 0.0047, 1.6), (0.05, 0.1, 0.025, 0.08, 0.08))
"""Bridge ohm, leads ohm, threshold A, time constant s, parting level; and their scatter."""
ALPHA_PER_K = 1e-4
COPPER_PER_K = 0.00393

rng = np.random.default_rng(SEED)


def about(value: float, sd_log: float) -> float:
    return value * math.exp(sd_log * rng.standard_normal())


class Bridge:
    """One igniter: resistance, threshold, time constant, parting level, state."""

    def __init__(self, klass: str) -> None:
        if klass == "electric-match":
            values = [about(v, s) for v, s in zip(*MATCH, strict=True)]
            self.ohm, self.lead, self.threshold, self.tau, self.parts_at = values
            self.rise = 0.0
        else:
            ohm, lead, heat, loss, lit, parts = (
                about(v, s) for v, s in zip(*CLASSES[klass], strict=True)
            )
            theta = lit - AMBIENT_C
            self.ohm, self.lead, self.parts_at = ohm, lead, parts
            self.threshold, self.tau = math.sqrt(loss * theta / ohm), heat / loss
            self.rise = ALPHA_PER_K * theta
        self.klass = klass
        self.x = 0.0
        self.lit = self.open = False


class Bench:
    """A tree of nodes; node 0 is behind the switch."""

    def __init__(self) -> None:
        self.parent = [-1]
        self.ohm = [about(TRUTH["supply_ohm"], 0.0) + about(TRUTH["switch_ohm"], 0.1)]
        self.places: dict[str, int] = {}

    def node(self, parent: int, ohm: float) -> int:
        self.parent.append(parent)
        self.ohm.append(ohm)
        return len(self.parent) - 1

    def run(self, name: str, parent: str, per_m: str, length_m: float, warm_per_K: float) -> None:
        """A cable with a plug at each end, and the inside of the part before it."""
        above = 0 if parent == "box" else self.places[parent]
        warm = 1.0 + warm_per_K * (AMBIENT_C - 20.0)
        metal = 2.0 * about(TRUTH[per_m], 0.006) * length_m * warm
        plugs = sum(about(TRUTH["plug_ohm"], 0.25) for _ in range(4))
        inside = 0.0 if parent == "box" else 2.0 * about(TRUTH["inner_ohm"], 0.1)
        self.places[name] = self.node(above, metal + plugs + inside)

    def terminal(self, name: str) -> int:
        clamps = sum(about(TRUTH["clamp_ohm"], 0.25) for _ in range(2))
        inside = 2.0 * about(TRUTH["inner_ohm"], 0.1) + TRUTH["diode_ohm"]
        return self.node(self.places[name], clamps + inside)


def currents(
    bench: Bench, ends: Sequence[int], bridges: Sequence[Bridge], x: np.ndarray
) -> np.ndarray:
    """Current of each bridge, by nodal equations."""
    count = len(bench.parent)
    G = np.zeros((count, count))
    source = np.zeros(count)
    for n, (parent, ohm) in enumerate(zip(bench.parent, bench.ohm, strict=True)):
        g = 1.0 / ohm
        G[n, n] += g
        if parent < 0:
            source[n] += g * (SUPPLY_V - DIODE_V)
        else:
            G[parent, parent] += g
            G[n, parent] -= g
            G[parent, n] -= g
    loads = []
    for end, b, level in zip(ends, bridges, x, strict=True):
        g = 0.0 if b.open else 1.0 / (b.lead + b.ohm * (1.0 + b.rise * level))
        G[end, end] += g
        loads.append(g)
    volts = np.linalg.solve(G, source)
    return np.array([g * volts[end] for g, end in zip(loads, ends, strict=True)])


def pulse(
    bench: Bench, ends: Sequence[int], bridges: Sequence[Bridge], length_s: float
) -> list[float | None]:
    """Fire once; the bridges keep their state. Returns when each is lit, s."""
    lights: list[float | None] = [None] * len(bridges)
    clock = 0.0

    def rate(_: float, x: np.ndarray) -> np.ndarray:
        amperes = currents(bench, ends, bridges, x)
        out = np.empty(x.size)
        for i, b in enumerate(bridges):
            u = 0.0 if b.open else (amperes[i] / b.threshold) ** 2 * (1.0 + b.rise * x[i])
            out[i] = (u - x[i]) / b.tau
        return out

    while clock < length_s - 1e-12:
        events = []
        for i, b in enumerate(bridges):
            level = b.parts_at if b.lit else 1.0
            if b.open:
                level = 1e9

            def reached(_: float, x: np.ndarray, i: int = i, level: float = level) -> float:
                return float(x[i] - level)

            reached.terminal = True  # type: ignore[attr-defined]
            reached.direction = 1  # type: ignore[attr-defined]
            events.append(reached)
        start = np.array([b.x for b in bridges])
        done = solve_ivp(
            rate, (clock, length_s), start, method="DOP853", rtol=1e-8, atol=1e-10, events=events
        )
        clock = float(done.t[-1])
        for b, x in zip(bridges, done.y[:, -1], strict=True):
            b.x = float(x)
        for i, b in enumerate(bridges):
            if done.t_events[i].size:
                if b.lit:
                    b.open = True
                else:
                    b.lit, lights[i] = True, clock
    return lights


class Record:
    """The text of the record, trial by trial."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def put(self, *lines: str) -> None:
        self.lines += lines


def wiring(
    out: Record, strips: Sequence[tuple[str, str, str, float]], splitter: str | None
) -> None:
    out.put("[[trial.box]]", 'id = "heron-1"', 'kind = "heron"', "standby_s = 0", "")
    if splitter is not None:
        out.put("[[trial.splitter]]", 'id = "mooring"', f'kind = "{splitter}"', "")
    for name, _, _, _ in strips:
        if name != "mooring":
            out.put("[[trial.strip]]", f'id = "{name}"', 'kind = "jetty-strip-8"', "")
    for name, parent, cable, length in strips:
        start = "heron-1/1" if parent == "box" else parent
        out.put(
            "[[trial.run]]",
            f'from = "{start}"',
            f'to = "{name}"',
            f'cable = "{cable}"',
            f"length_m = {length:g}",
            "",
        )


PER_M = {"shore-cable": "shore_ohm_per_m", "patch-24awg-cca": "cca_ohm_per_m"}


def trial(
    out: Record,
    ident: str,
    title: str,
    runs: Sequence[tuple[str, str, str, float]],
    igniters: Sequence[tuple[str, str, int, str]],
    shots: Sequence[tuple[int, float, int, float, float | None]],
    *,
    times: str = "interval",
    splitter: str | None = None,
    fresh: bool = False,
) -> None:
    """Make one trial.

    runs: part, parent, cable, metres. igniters: name, strip, way, class. shots: way, pulse, further
    pulses, gap, rest before. times: interval (0.1 s), reading, order or none.
    """
    bench = Bench()
    for name, parent, cable, length in runs:
        bench.run(name, parent, PER_M[cable], length, COPPER_PER_K)
    ends = {name: bench.terminal(strip) for name, strip, _, _ in igniters}
    bridges = {name: Bridge(klass) for name, _, _, klass in igniters}
    out.put("", f"# {'-' * 70}", "", "[[trial]]", f'id = "{ident}"', f'title = "{title}"', "")
    wiring(out, runs, splitter)
    for name, strip, way, klass in igniters:
        out.put(
            "[[trial.igniter]]", f'id = "{name}"', f'at = "{strip}/{way}"', f'class = "{klass}"', ""
        )
    if fresh:
        for name, b in bridges.items():
            reading = round(b.ohm + b.lead + 0.017 * rng.standard_normal(), 2)
            out.put("[[trial.reading]]", f'igniter = "{name}"', f"reading_ohm = {reading}", "")
    for way, length, more, gap, rest in shots:
        here = [name for name, _, w, _ in igniters if w == way]
        mine = [bridges[name] for name in here]
        if rest is not None:
            for b in bridges.values():
                b.x *= math.exp(-rest / b.tau)
        was_lit = {name: bridges[name].lit for name in here}
        was_open = {name: bridges[name].open for name in here}
        lit_at: dict[str, float] = {}
        for n in range(1 + more):
            if n:
                for b in mine:
                    b.x *= math.exp(-gap / b.tau)
            found = pulse(bench, [ends[name] for name in here], mine, length)
            for name, at in zip(here, found, strict=True):
                if at is not None:
                    lit_at[name] = at + n * (length + gap)
        out.put("[[trial.shot]]", f'fire = "heron-1/1/{way}"', f"pulse_s = {length:g}")
        if more:
            out.put(f"repeat = {{ times = {more}, gap_s = {gap:g} }}")
        out.put(f"supply_V = {round(SUPPLY_V + 0.02 * rng.standard_normal(), 2)}")
        if rest is not None:
            out.put(f"rest_s = {rest:g}")
        rank = {
            name: 1 + sum(o < at - 0.05 for o in lit_at.values()) for name, at in lit_at.items()
        }
        for name in here:
            if was_lit[name] and was_open[name]:
                continue
            out.put("[[trial.shot.seen]]", f'igniter = "{name}"')
            if not was_lit[name]:
                out.put(f"lit = {'true' if name in lit_at else 'false'}")
            if name in lit_at:
                at = lit_at[name]
                if times == "interval":
                    low = math.floor(at * 10.0) / 10.0
                    out.put(f"time_s = {{ min = {low:.1f}, max = {low + 0.1:.1f} }}")
                elif times == "reading":
                    out.put(f"time_s = {max(round(at + 0.03 * rng.standard_normal(), 2), 0.01)}")
                if times in ("interval", "order") and len(lit_at) > 1:
                    out.put(f"order = {rank[name]}")
            if bridges[name].lit:
                out.put(f'state_after = "{"open" if bridges[name].open else "closed"}"')
        out.put("")


def chain(names: Sequence[str], cable: str, length_m: float) -> list[tuple[str, str, str, float]]:
    above = ["box", *names]
    return [(n, a, cable, length_m) for n, a in zip(names, above, strict=False)]


def main() -> None:
    out = Record()
    out.put(
        "# An evening on the bench of the Harrowmere Lantern Society, as it might have been:",
        "# invented igniters, fired by a computer (make_record.py here). No such hardware exists.",
        "# Read it with:  bridgewire bench check examples/bench-evening/record.toml",
        "# Fit it with:   bridgewire bench fit examples/bench-evening/record.toml",
        "",
        "format = 1",
        'title = "Evening on the bench"',
        'kits = ["harrowmere", "generic"]',
        "",
        "[site]",
        "ambient_C = { typical = 14, tol = 1 }",
        "",
        "[meter]",
        "voltage_tol_V = 0.06",
        "resistance_tol_ohm = 0.05",
        "time_tol_s = 0.09",
        "together_s = 0.1",
    )
    four = ["one", "two", "three", "four"]
    slow, match, long = "clip-on-short", "electric-match", "clip-on-long"
    trial(
        out,
        "1",
        "chain of four, 20 m runs: near first, the far ones on the repeats",
        chain(four, "shore-cable", 20.0),
        [(f"a{n}", s, 1, slow) for n, s in enumerate(four, 1)],
        [(1, 2.5, 0, 0.0, None), (1, 2.5, 0, 0.0, 30.0), (1, 2.5, 0, 0.0, 30.0)],
        fresh=True,
    )
    trial(
        out,
        "2",
        "the same chain, a longer pulse",
        chain(four, "shore-cable", 20.0),
        [(f"b{n}", s, 1, slow) for n, s in enumerate(four, 1)],
        [(1, 4.0, 0, 0.0, None), (1, 4.0, 0, 0.0, 60.0)],
    )
    arms = ["north", "east", "south", "west"]
    star = [("mooring", "box", "shore-cable", 10.0)] + [
        (a, "mooring", "shore-cable", 10.0) for a in arms
    ]
    trial(
        out,
        "3",
        "four equal runs from one splitter",
        star,
        [(f"c{n}", s, 1, slow) for n, s in enumerate(arms, 1)],
        [(1, 4.0, 0, 0.0, None)],
        splitter="mooring-4",
    )
    six = [*four, "five", "six"]
    trial(
        out,
        "4",
        "six electric matches on a long chain, 40 ms from a timer: the last on the second",
        chain(six, "shore-cable", 50.0),
        [(f"d{n}", s, 1, match) for n, s in enumerate(six, 1)],
        [(1, 0.04, 0, 0.0, None), (1, 0.04, 0, 0.0, 10.0)],
        times="none",
        fresh=True,
    )
    trial(
        out,
        "5",
        "single igniters: stays closed, short pulses add up, a plain one",
        [("one", "box", "shore-cable", 20.0)],
        [("e1", "one", 1, slow), ("e2", "one", 2, slow), ("e3", "one", 3, slow)],
        [
            (1, 0.22, 0, 0.0, None),
            (1, 1.0, 0, 0.0, 20.0),
            (2, 0.1, 0, 0.0, 20.0),
            (2, 0.1, 4, 0.05, 30.0),
            (3, 1.0, 0, 0.0, 20.0),
        ],
        times="reading",
        fresh=True,
    )
    trial(
        out,
        "6",
        "chain of four on thin clad cable",
        chain(four, "patch-24awg-cca", 20.0),
        [(f"f{n}", s, 1, slow) for n, s in enumerate(four, 1)],
        [(1, 2.0, 0, 0.0, None), (1, 2.0, 0, 0.0, 30.0), (1, 2.0, 0, 0.0, 30.0)],
    )
    trial(
        out,
        "7",
        "chain of four, short runs",
        chain(four, "shore-cable", 10.0),
        [(f"g{n}", s, 1, slow) for n, s in enumerate(four, 1)],
        [(1, 1.5, 0, 0.0, None), (1, 1.5, 0, 0.0, 30.0)],
        times="reading",
    )
    trial(
        out,
        "8",
        "four electric matches on a splitter",
        star,
        [(f"h{n}", s, 1, match) for n, s in enumerate(arms, 1)],
        [(1, 0.05, 0, 0.0, None)],
        times="order",
        splitter="mooring-4",
    )
    trial(
        out,
        "9",
        "far single igniters",
        [("one", "box", "shore-cable", 45.0)],
        [("i1", "one", 1, slow), ("i2", "one", 2, slow), ("i3", "one", 3, slow)],
        [(1, 2.0, 0, 0.0, None), (2, 2.0, 0, 0.0, 20.0), (3, 0.4, 0, 0.0, 20.0)],
        times="reading",
    )
    trial(
        out,
        "10",
        "chain of four with long wires",
        chain(four, "shore-cable", 10.0),
        [(f"j{n}", s, 1, long) for n, s in enumerate(four, 1)],
        [(1, 3.0, 0, 0.0, None), (1, 3.0, 0, 0.0, 60.0)],
        fresh=True,
    )
    Path(__file__).with_name("record.toml").write_text(
        "\n".join(out.lines) + "\n", encoding="utf-8"
    )


if __name__ == "__main__":
    main()
