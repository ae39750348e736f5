"""Every formula of docs/physics.md is what the code computes.

Each entry holds a formula as the page has it, the same formula in Python, and our function. A
formula of the page that is in no entry must be named in `DEFINITIONS`: it defines symbols, or it is
the equation that the tests in tests/oracles solve by other means.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest

from bridgewire.physics import bridge_heating as bridge
from bridgewire.physics import capacitor_heating as capacitor
from bridgewire.physics.conductor_heating import adiabatic_end_C, material_factor
from bridgewire.physics.conductors import awg_diameter_m, loop_ohm, resistance_factor
from bridgewire.physics.step_response import response
from bridgewire.physics.supply import SupplyArrays, operating_point
from tests.docs.page_tools import DOCS

TEXT = (DOCS / "physics.md").read_text(encoding="utf-8")
SHOWN = [" ".join(m.split()) for m in re.findall(r"\$\$(.*?)\$\$", TEXT, re.S)]

I0, AMPS, TAU, T = 0.4, 0.9, 0.02, 0.013
C, GAMMA, R0, LIT = 1.2e-4, 6e-3, 1.5, 250.0


def _capacitor() -> tuple[float, float]:
    v0, r_t, c_s = 48.0, 8.0, 4.7e-3
    tau, tau_e = C / GAMMA, r_t * c_s / 2
    shape = tau * tau_e / (tau_e - tau) * (math.exp(-T / tau_e) - math.exp(-T / tau))
    ours = capacitor.capacitor_rise(T, v0, c_s, r_t, R0, C, GAMMA)
    return v0**2 * R0 / (r_t**2 * C) * shape, float(ours)


def _supply(limited: bool) -> tuple[float, float]:
    """Free current on a load; or the limit at the voltage that is left."""
    e, r, g, d = 12.0, 0.2, 1.5, 0.7
    supply = SupplyArrays.plain(e, r)
    if limited:
        supply.limit_A[:], supply.short_circuit_A[:] = 5.0, 2.0
    volts, amps, held = operating_point(supply, supply.emf_V, np.array([g]), np.array([d]))
    assert bool(held[0]) == limited
    if limited:
        return 2.0 + (5.0 - 2.0) * float(volts[0]) / e, float(amps[0])
    return g * (e - d) / (1 + r * g), float(amps[0])


def _step() -> tuple[float, float]:
    x0, u0, middle, end, h = 0.2, 1.3, 1.5, 1.9, 0.6 * TAU
    second = 2.0 * (end - 2.0 * middle + u0) / 2.0

    def u(s: float) -> float:
        z = s / h
        return u0 + (2.0 * (middle - u0) - second) * z + 2.0 * second * z * z

    assert (u(0.0), u(h / 2), u(h)) == pytest.approx((u0, middle, end))
    points, weights = np.polynomial.legendre.leggauss(40)
    at = [0.5 * h * (1.0 + p) for p in points.tolist()]
    each = [math.exp(-(h - s) / TAU) * u(s) for s in at]
    integral = 0.5 * h * float(np.dot(weights, each))
    arrays = [np.array([v]) for v in (x0, u0, middle, second, h / TAU, 1.0)]
    return x0 * math.exp(-h / TAU) + integral / TAU, float(response(*arrays)[0][0])


def _cable() -> tuple[float, float]:
    amps, area, start, beta = 30.0, 0.5, 20.0, 234.5
    exponent = (amps * math.sqrt(T) / (material_factor("copper") * area)) ** 2
    return (start + beta) * math.exp(exponent) - beta, float(
        adiabatic_end_C(amps, T, area, "copper", start)
    )


Pair = Callable[[], tuple[float, float]]
CHECKED: dict[str, Pair] = {
    r"R = \frac{\rho L}{A} \left( \frac{1}{n_\mathrm{feed}} "
    r"+ \frac{1}{n_\mathrm{return}} \right)": (
        lambda: (1.7e-8 * 30 / 5e-7 * (1 / 2 + 1 / 3), float(loop_ohm(1.7e-8 / 5e-7, 30, 2, 3)))
    ),
    r"R(T) = R_{20} \left( 1 + \alpha_{20} (T - 20\,°\mathrm{C}) \right)": (
        lambda: (1 + 0.00393 * (-7.0 - 20.0), float(resistance_factor(-7.0, "copper")))
    ),
    r"d = 0.127\,\mathrm{mm} \times 92^{(36 - n)/39}": (
        lambda: (0.127e-3 * 92 ** ((36 - 22) / 39), float(awg_diameter_m(22)))
    ),
    r"I = \frac{G (E - d)}{1 + r G}": lambda: _supply(limited=False),
    r"I \le I_\mathrm{short} + (I_\mathrm{limit} - I_\mathrm{short}) "
    r"\frac{V}{V_\mathrm{nominal}}": (lambda: _supply(limited=True)),
    r"I_0 = \sqrt{\frac{\gamma \theta_\mathrm{lit}}{R_0}}": (
        lambda: (math.sqrt(GAMMA * LIT / R0), float(bridge.threshold_current(GAMMA, LIT, R0)))
    ),
    r"t = -\tau \ln \left( 1 - \left( \frac{I_0}{I} \right)^2 \right)": (
        lambda: (-TAU * math.log(1 - (I0 / AMPS) ** 2), float(bridge.light_time(AMPS, I0, TAU)))
    ),
    r"I = \frac{I_0}{\sqrt{1 - e^{-t/\tau}}}": (
        lambda: (I0 / math.sqrt(1 - math.exp(-T / TAU)), float(bridge.required_current(T, I0, TAU)))
    ),
    r"\theta(t) = \frac{V_0^2 R_0}{R_t^2 C} \cdot \frac{\tau \tau_e}{\tau_e - \tau} "
    r"\left( e^{-t/\tau_e} - e^{-t/\tau} \right)": _capacitor,
    r"x(t + h) = x(t) e^{-h/\tau} + \frac{1}{\tau} \int_0^h e^{-(h-s)/\tau} u(t + s)\, "
    r"\mathrm{d}s": _step,
    r"T_2 = (T_1 + \beta)\, e^{\left( I \sqrt{t} / (k S) \right)^2} - \beta": _cable,
}
DEFINITIONS = {
    r"C \frac{\mathrm{d}\theta}{\mathrm{d}t} = I^2 R_0 (1 + \alpha \theta) - \gamma \theta": (
        "solved by scipy and ngspice in tests/oracles"
    ),
    r"\frac{\mathrm{d}x}{\mathrm{d}t} = \frac{u - x}{\tau}, \qquad "
    r"u = \left( \frac{I}{I_0} \right)^2 (1 + a x)": "the same, divided by the rise that lights",
}


@pytest.mark.parametrize("formula", CHECKED)
def test_formula_of_the_page_is_what_we_compute(formula: str) -> None:
    assert formula in SHOWN
    page, ours = CHECKED[formula]()
    assert ours == pytest.approx(page, rel=1e-9)


def test_no_formula_of_the_page_is_unchecked() -> None:
    assert sorted(SHOWN) == sorted([*CHECKED, *DEFINITIONS])


def test_scaled_equation_is_the_plain_one() -> None:
    # Both forms of the page at one state: dx/dt from each.
    alpha, theta = 4e-4, 90.0
    plain = (AMPS**2 * R0 * (1 + alpha * theta) - GAMMA * theta) / C / LIT
    threshold = math.sqrt(GAMMA * LIT / R0)
    heating = (AMPS / threshold) ** 2 * (1 + alpha * LIT * theta / LIT)
    assert (heating - theta / LIT) / (C / GAMMA) == pytest.approx(plain, rel=1e-12)


def test_constants_of_the_page() -> None:
    assert f"{round(material_factor('copper'))} A s^½/mm² for copper" in TEXT
    assert f"{round(material_factor('aluminium'))} A s^½/mm² for aluminium" in TEXT
    assert float(resistance_factor(21.0, "aluminium")) - 1 == pytest.approx(0.00403, abs=5e-7)
    assert float(resistance_factor(21.0, "copper-clad-aluminium")) - 1 == pytest.approx(
        0.00401, abs=5e-6
    )
