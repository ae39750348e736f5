"""Events of a cue straight from the files of show and kit: nothing of bridgewire is used.

The files are read with tomllib, the circuit is put together with its feed and its return as nodes
of their own, currents are solved by nodal equations and the bridges by scipy. Only what the shows
beside this module need is understood.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from attrs import define, field, frozen
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

Floats = NDArray[np.float64]
Table = dict[str, Any]
Choose = Callable[[str, float, float, float], float]
"""Value of a named quantity from its low end, typical value and high end."""

SHOWS = Path(__file__).parent / "shows"
PER_K = {"copper": 0.00393, "aluminium": 0.00403}  # IEC 60028; IEC 60287-1-1 Table 1


def typical(_name: str, _low: float, middle: float, _high: float) -> float:
    """Every value typical."""
    return middle


@frozen
class Bridge:
    """One igniter's bridge."""

    igniter: str
    string: int
    cold_ohm: float
    threshold_A: float
    tau_s: float
    rise: float
    opens: float
    after_ohm: float


@define
class Circuit:
    """One way: branches of the loop as (parent, ohm), strings as (node, leads)."""

    emf_V: float
    internal_ohm: float
    switch_ohm: float
    farad: float = math.inf
    limit_A: float = math.inf
    short_A: float = math.inf
    nominal_V: float = math.inf
    branches: list[tuple[int, float]] = field(factory=list)
    strings: list[tuple[int, float]] = field(factory=list)
    bridges: list[Bridge] = field(factory=list)

    def currents(self, x: Floats, parted: list[bool], emf_V: float) -> tuple[Floats, float, float]:
        """Current of each string, and current and voltage of the supply."""
        ohm = np.array([leads for _, leads in self.strings])
        for b, rise, gone in zip(self.bridges, x, parted, strict=True):
            ohm[b.string] += b.after_ohm if gone else b.cold_ohm * (1.0 + b.rise * rise)
        n = len(self.branches) + 1
        g = np.zeros((2 * n + 1, 2 * n + 1)) + np.diag(np.full(2 * n + 1, 1e-13))

        def join(a: int, b: int, siemens: float) -> None:
            for i in (a, b):
                if i >= 0:
                    g[i, i] += siemens
            if a >= 0 and b >= 0:
                g[a, b] -= siemens
                g[b, a] -= siemens

        # Half of a loop's resistance is feed (nodes 0 to n - 1), half is return (n to 2 n - 1).
        for k, (parent, loop) in enumerate(self.branches, 1):
            join(k, parent, 2.0 / loop)
            join(n + k, n + parent, 2.0 / loop)
        join(2 * n, 0, 2.0 / self.switch_ohm)
        join(n, -1, 2.0 / self.switch_ohm)
        for (node, _), r in zip(self.strings, ohm, strict=True):
            join(node, n + node, 1.0 / r)

        def solved(siemens: float, ampere: float) -> Floats:
            whole, given = g.copy(), np.zeros(2 * n + 1)
            whole[2 * n, 2 * n] += siemens
            given[2 * n] = ampere
            return np.asarray(np.linalg.solve(whole, given))

        volt = solved(1.0 / self.internal_ohm, emf_V / self.internal_ohm)
        total = (emf_V - volt[2 * n]) / self.internal_ohm
        if math.isfinite(self.limit_A):
            slope = (self.limit_A - self.short_A) / self.nominal_V
            if total > self.short_A + slope * volt[2 * n]:
                volt = solved(-slope, self.short_A)
                total = self.short_A + slope * volt[2 * n]
        nodes = [node for node, _ in self.strings]
        across = volt[nodes] - volt[[n + node for node in nodes]]
        return across / ohm, float(total), float(volt[2 * n])

    def events(
        self, pulse_s: float, emf_V: float | None = None
    ) -> tuple[list[float], list[float], float]:
        """When each bridge lights and parts, s (nan: never), and the charge given, C."""
        count = len(self.bridges)
        light, part, parted = [math.nan] * count, [math.nan] * count, [False] * count
        state = np.append(np.zeros(count), [self.emf_V if emf_V is None else emf_V, 0.0])

        def slope(_t: float, y: Floats) -> Floats:
            string_A, total, _ = self.currents(y[:count], parted, float(y[count]))
            rate = np.zeros(count + 2)
            for i, b in enumerate(self.bridges):
                if not parted[i]:  # else its temperature no longer matters
                    u = (string_A[b.string] / b.threshold_A) ** 2 * (1.0 + b.rise * y[i])
                    rate[i] = (u - y[i]) / b.tau_s
            rate[count:] = -total / self.farad, total
            return rate

        now = 0.0
        while now < pulse_s:
            watched: list[tuple[list[float], int, Any]] = []
            for i, b in enumerate(self.bridges):
                if not parted[i]:
                    watched.append((part, i, _reaches(i, b.opens, stop=True)))
                    if math.isnan(light[i]):
                        watched.append((light, i, _reaches(i, 1.0, stop=False)))
            found = solve_ivp(
                slope,
                (now, pulse_s),
                state,
                "DOP853",
                rtol=1e-8,
                atol=1e-11,
                first_step=min(1e-6, 0.1 * (pulse_s - now)),
                events=[event for _, _, event in watched] or None,
            )
            assert found.success, found.message
            for (kept, i, _), times in zip(watched, found.t_events or [], strict=True):
                if len(times):
                    kept[i] = float(times[0])
                    parted[i] |= kept is part
            now, state = float(found.t[-1]), found.y[:, -1]
        return light, part, float(state[-1])


def _reaches(index: int, level: float, *, stop: bool) -> Any:
    def above(_t: float, y: Floats) -> float:
        return float(y[index] - level)

    above.terminal = stop  # type: ignore[attr-defined]
    above.direction = 1.0  # type: ignore[attr-defined]
    return above


def ends(value: Any) -> tuple[float, float, float]:
    """Low end, typical value and high end as the file states them."""
    if not isinstance(value, dict):
        return value, value, value
    if "tol" in value:
        middle = value["typical"]
        return middle - value["tol"], middle, middle + value["tol"]
    return value["min"], value["typical"], value["max"]


@define
class Reader:
    """One show with its kit; `choose` gives every value."""

    show: Table
    kit: dict[str, dict[str, Table]]
    choose: Choose

    @classmethod
    def of(cls, name: str, choose: Choose = typical) -> Reader:
        """Read a show of this folder."""
        show = tomllib.loads((SHOWS / f"{name}.toml").read_text(encoding="utf-8"))
        (kit_id,) = show["kits"]
        kit = tomllib.loads((SHOWS / f"{kit_id}.toml").read_text(encoding="utf-8"))
        tables = {t: {e["id"]: e for e in v} for t, v in kit.items() if isinstance(v, list)}
        return cls(show, tables, choose)

    def value(self, name: str, band: Any) -> float:
        """One value."""
        return self.choose(name, *ends(band))

    def charge_curve(self) -> tuple[list[float], list[float]]:
        """Per cent and rest voltage of the box's battery."""
        points = self._box()["supply"]["charge_curve"]
        return [p["charge_pct"] for p in points], [p["open_circuit_V"] for p in points]

    def _box(self) -> Table:
        return self.kit["box"][self.show["box"][0]["kind"]]

    def _pair(self, contact: str, name: str) -> float:
        """A contact in the feed and one in the return."""
        band = self.kit["contact"][contact]["contact_ohm"]
        return self.value(f"{name} feed", band) + self.value(f"{name} return", band)

    def _loop(self, cable: str, length: Any, name: str, ambient_C: float) -> float:
        spec = self.kit["cable"][cable]
        per_m = self.value(f"{name} ohm_per_m", spec["ohm_per_m"])
        warm = 1.0 + PER_K[spec["metal"]] * (ambient_C - 20.0)
        return 2.0 * per_m * warm * self.value(f"{name} length", length)

    def _inner(self, kind: Table, name: str) -> float:
        """Inside of a strip, feed and return."""
        return sum(self.value(f"{name} {leg}", kind["inner_ohm"]) for leg in ("feed", "return"))

    def _supply(self, ambient_C: float) -> Circuit:
        box, s = self._box(), self._box()["supply"]
        switch = self.value("switch", box["switch_ohm"])
        if s["kind"] == "capacitor":
            volt, ohm = self.value("emf", s["charged_V"]), self.value("r", s["series_ohm"])
            return Circuit(volt, ohm, switch, farad=self.value("farad", s["capacitance_F"]))
        ohm = self.value("r", s["internal_ohm"])
        here = self.show["box"][0]
        if s["kind"] == "battery":
            cold = sorted((p["at_C"], p["internal_ohm_factor"]) for p in s["cold_curve"])
            ohm *= float(np.interp(ambient_C, [c for c, _ in cold], [f for _, f in cold]))
            if "charge_pct" in here:
                pct, volts = self.charge_curve()
                charge = self.value("charge", here["charge_pct"])
                full = self.value("emf", s["open_circuit_V"]) - ends(s["open_circuit_V"])[1]
                return Circuit(float(np.interp(charge, pct, volts)) + full, ohm, switch)
        volt = self.value("emf", here.get("supply_V", s["open_circuit_V"]))
        circuit = Circuit(volt, ohm, switch)
        if "limit" in s:
            circuit.limit_A = self.value("limit", s["limit"]["limit_A"])
            circuit.short_A, circuit.nominal_V = circuit.limit_A, volt
            if s["limit"]["kind"] == "fold-back":
                circuit.short_A = self.value("short", s["limit"]["short_circuit_A"])
        return circuit

    def circuit(self, way: int) -> Circuit:
        """The circuit of a way of the first box's first output."""
        ambient_C = self.value("ambient", self.show["site"]["ambient_C"])
        out = self._supply(ambient_C)
        kinds = {s["id"]: self.kit["strip"][s["kind"]] for s in self.show["strip"]}
        node: dict[str, int] = {}
        for run in self.show["run"]:  # in order from the box
            fed, to = run["from"], run["to"]
            if "/" in fed:
                parent, ohm = 0, self._pair(self._box()["output_contact"], "output")
            else:
                parent, ohm = node[fed], self._inner(kinds[fed], f"{fed} through")
                ohm += self._pair(kinds[fed]["through_contact"], f"{fed} onward")
            ohm += self._loop(run["cable"], run["length_m"], to, ambient_C)
            ohm += self._pair(kinds[to]["inlet_contact"], f"{to} inlet")
            out.branches.append((parent, ohm))
            node[to] = len(out.branches)
        terminal: dict[str, int] = {}
        string: dict[tuple[str, str], int] = {}
        for entry in self.show["igniter"]:
            strip, number = entry["at"].split("/")
            if int(number) != way:
                continue
            if strip not in terminal:
                ohm = self._inner(kinds[strip], f"{strip} way")
                ohm += self._pair(kinds[strip]["terminal_contact"], f"{strip} terminal")
                out.branches.append((node[strip], ohm))
                terminal[strip] = len(out.branches)
            for n in range(entry.get("count", 1)):  # a count is in series here
                key = (strip, entry.get("string", entry["id"]))
                if key not in string:
                    string[key] = len(out.strings)
                    out.strings.append((terminal[strip], 0.0))
                at = string[key]
                bridge, leads = self._bridge(entry, n, at, ambient_C)
                out.strings[at] = (terminal[strip], out.strings[at][1] + leads)
                out.bridges.append(bridge)
        return out

    def _bridge(
        self, entry: Table, number: int, string: int, ambient_C: float
    ) -> tuple[Bridge, float]:
        klass, name = self.kit["igniter_class"][entry["class"]], f"{entry['id']} {number}"

        def q(key: str) -> float:
            return self.value(f"{name} {key}", klass[key])

        leads = q("lead_ohm")
        if "extra_lead_m" in entry:
            extra = f"{name} extra"
            leads += self._loop(entry["lead_cable"], entry["extra_lead_m"], extra, ambient_C)
        cold, rise = q("bridge_ohm"), 0.0
        if "lit_C" in klass:
            loss, theta = q("loss_W_per_K"), q("lit_C") - ambient_C
            threshold = math.sqrt(loss * theta / cold)
            tau, rise = q("heat_capacity_J_per_K") / loss, klass.get("alpha_per_K", 0.0) * theta
        else:
            threshold, tau = q("threshold_A"), q("tau_s")
        after = math.inf if klass["after_fire"] == "open" else q("after_fire_ohm")
        opens = q("burn_open")
        return Bridge(entry["id"], string, cold, threshold, tau, rise, opens, after), leads
