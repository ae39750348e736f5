"""Published bridge heating, igniter classes and test currents."""

from __future__ import annotations

import math

import pytest
from tests.agreements import Agreement

from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass
from bridgewire.physics.bridge_heating import action, light_energy, light_time
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.physics.igniter_data import heating

BY_HAND = Agreement(
    "rosenthal-by-hand",
    oracle="closed form of Rosenthal's equation (1961), evaluated by hand",
    what="times to light at constant current",
    limit=1e-5,
    differences="The hand values have six digits.",
)

AMBIENT = Band(-10.0, 20.0, 35.0)


# Source: closed form of Rosenthal's equation (Rev. Sci. Instrum. 32, 1033 (1961)), evaluated by
# hand: I0 = 0.4 A, tau = 20 ms.
@pytest.mark.parametrize(
    ("current", "milliseconds"), [(0.6, 11.7557), (1.0, 3.48707), (2.0, 0.81644)]
)
def test_light_time(current: float, milliseconds: float) -> None:
    BY_HAND.close(light_time(current, 0.4, 0.020) * 1e3, milliseconds)


def test_adiabatic_limit() -> None:
    # Source: the same: tau (I0/I)² = 0.8 ms at 2 A; the exact time is longer by the loss.
    assert float(action(0.4, 0.020)) / 2.0**2 == pytest.approx(0.8e-3)
    assert float(light_time(2.0, 0.4, 0.020)) > 0.8e-3
    assert light_time(200.0, 0.4, 0.020) == pytest.approx(0.020 * (0.4 / 200.0) ** 2, rel=1e-5)


def bridge_a() -> IgniterClass:
    # Source: 1. SprengV Anlage 2 Nr. 1.2.
    return IgniterClass(
        "a",
        "bridge-igniter",
        bridge_ohm=Band(0.8, 1.4, 2.0),
        no_fire_A=0.18,
        all_fire_A=0.6,
        all_fire_time_s=0.010,
        impulse_mJ_per_ohm=Band(0.8, 1.55, 3.0),
        series_fire_A=0.8,
    )


def bridge_u() -> IgniterClass:
    # Source: 1. SprengV Anlage 2 Nr. 1.3.
    return IgniterClass(
        "u",
        "bridge-igniter",
        bridge_ohm=Band(0.4, 0.6, 0.8),
        no_fire_A=0.45,
        all_fire_A=1.3,
        all_fire_time_s=0.010,
        impulse_mJ_per_ohm=Band(8.0, 11.3, 16.0),
        series_fire_A=1.5,
    )


@pytest.mark.parametrize("cls", [bridge_a(), bridge_u()], ids=lambda c: c.id)
def test_regulated_class_keeps_its_regulation(cls: IgniterClass) -> None:
    # Source: 1. SprengV Anlage 2: must fire within 10 ms at the all-fire current, must not fire
    # in 5 min at the no-fire current, impulse within the stated range.
    h = heating(cls, AMBIENT)
    assert h is not None
    assert cls.all_fire_A is not None
    assert cls.no_fire_A is not None
    assert cls.impulse_mJ_per_ohm is not None
    assert h.basis == "data-sheet with impulse"
    for pair in (h.slow, h.typical, h.fast):
        assert light_time(cls.all_fire_A, *pair) <= 0.010 * (1 + 1e-9)
        assert math.isinf(float(light_time(cls.no_fire_A, *pair)))
        impulse = float(action(*pair)) * 1e3
        assert cls.impulse_mJ_per_ohm.min * (1 - 1e-9) <= impulse
        assert impulse <= cls.impulse_mJ_per_ohm.max * (1 + 1e-9)
    assert light_time(cls.all_fire_A, *h.slow) == pytest.approx(0.010)


@pytest.mark.parametrize(
    ("cls", "budget", "least_ms", "most_ms"),
    [(bridge_a(), 3.6, 24.7, 92.6), (bridge_u(), 16.9, 39.5, 79.0)],
    ids=["a", "u"],
)
def test_regulated_class_bounds(
    cls: IgniterClass, budget: float, least_ms: float, most_ms: float
) -> None:
    # Source: computed from 1. SprengV Anlage 2: all-fire impulse 0.6² x 10 ms = 3.6 and 1.3² x
    # 10 ms = 16.9 mJ/ohm; time constants of at most K / I_no-fire² = 24.7 to 92.6 and 39.5 to
    # 79.0 ms.
    h = heating(cls, AMBIENT)
    assert h is not None
    assert cls.all_fire_A is not None
    assert cls.all_fire_A**2 * 10.0 == pytest.approx(budget)
    assert h.fast[1] * 1e3 == pytest.approx(least_ms, abs=0.05)
    assert h.tau_s.max * 1e3 <= most_ms + 0.05
    # A reaches the bound; U does not, since 16 mJ/ohm at I0 = no-fire would take over 10 ms
    assert h.tau_s.max * 1e3 == pytest.approx(most_ms, rel=0.01)


def test_series_current_fires_five_alike_together() -> None:
    # Source: 1. SprengV Anlage 2: five alike in series fire together at 0.8 A (A) and 1.5 A (U).
    # "Alike" are igniters of one production: the slowest must light before the fastest opens the
    # circuit. With the whole range of the class (K from 0.8 to 3.0 mJ/ohm) they would not.
    for cls, current in ((bridge_a(), 0.8), (bridge_u(), 1.5)):
        h = heating(cls, AMBIENT)
        assert h is not None
        # typical ones get their impulse in time
        assert float(light_time(current, *h.typical)) < 0.010
        assert light_time(current, *h.slow) > light_time(current, *h.fast)


def test_nasa_standard_initiator_power_and_current() -> None:
    # Source: NASA technical report 20130009741: bridge 1.05 ohm, fires above 3.5 W dc; and
    # Soyuz/Apollo pyrotechnics comparison, Table VIII: no-fire 1 A / 1 W for 5 min.
    fire_A = math.sqrt(3.5 / 1.05)
    assert fire_A == pytest.approx(1.826, abs=5e-4)
    cls = IgniterClass(
        "nsi",
        "bridge-igniter",
        bridge_ohm=Band(0.95, 1.05, 1.15),
        no_fire_A=1.0,
        all_fire_A=3.5,
        all_fire_time_s=0.010,
    )  # all-fire 3.5 A, 10 ms: from memory
    h = heating(cls, AMBIENT)
    assert h is not None
    # a threshold of the published dc power lies within what the data sheet currents allow
    assert h.threshold_A.min < fire_A < h.threshold_A.max
    # the energy at a high power tends to P0 tau
    assert light_energy(3.5e6, 3.5, 0.01) == pytest.approx(0.035, rel=1e-5)


def test_automotive_initiator_impulses() -> None:
    # Source: USCAR-28 / AK-LV 16 (from memory): all-fire 1.2 A for 2 ms, or 1.75 A for 0.5 ms;
    # no-fire 0.4 A. Adiabatic impulses 2.88 and 1.53 mJ/ohm.
    assert pytest.approx(2.88e-3) == 1.2**2 * 2e-3
    assert pytest.approx(1.53e-3, rel=2e-3) == 1.75**2 * 0.5e-3
    cls = IgniterClass("x", "bridge-igniter", no_fire_A=0.4, all_fire_A=1.2, all_fire_time_s=2e-3)
    h = heating(cls, AMBIENT)
    assert h is not None
    assert action(*h.slow) <= 2.88e-3
    assert light_time(1.2, *h.slow) == pytest.approx(2e-3)


# Source: WAC 212-17-317(6), text of the fireworks display code NFPA 1123: 0.05 A or 20 % of the
# no-fire current, whichever is less.
@pytest.mark.parametrize(
    ("no_fire", "allowed"), [(0.18, 0.036), (0.20, 0.040), (0.45, 0.050), (1.0, 0.050)]
)
def test_fireworks_code_test_current(no_fire: float, allowed: float) -> None:
    assert allowed_test_current_A(no_fire) == pytest.approx(allowed)


# Source: 14 CFR Part 417 Appendix D, D417.21(d): one tenth of the no-fire current; capped at 50 mA
# by range payload safety requirements 13.8.1.1.1.
@pytest.mark.parametrize(
    ("no_fire", "allowed"), [(0.18, 0.018), (0.20, 0.020), (0.45, 0.045), (1.0, 0.05)]
)
def test_one_tenth_test_current(no_fire: float, allowed: float) -> None:
    assert allowed_test_current_A(no_fire, "one-tenth") == pytest.approx(allowed)
