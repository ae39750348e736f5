"""Figures, ids and advice of the SUP rules, worked out by hand; their limits, met exactly."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding
from bridgewire.rules import sup005_output_over_rating
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from tests.rules.show_text import assessed, case_text, findings


def only(name: str, folder: Path) -> Finding:
    """The one finding of a case."""
    (found,) = findings(case_text(name), name[:6], folder)
    return found


@pytest.mark.parametrize(
    ("name", "subjects"),
    [
        ("SUP001/fail_all_light_at_the_limit", ("one", "a")),
        ("SUP002/fail_at_the_worst_corner", ("one", "a")),
        ("SUP003/fail_empty", ("a",)),
        ("SUP004/fail_half_a_second_after", ("two", "one", "a")),
        ("SUP004/fail_repeat", ("one", "a")),
        ("SUP005/fail_after_one_without_a_limit", ("one", "a")),
        ("SUP006/fail_second_box", ("a",)),
        ("SUP007/fail_hot_at_the_worst", ("a",)),
        ("SUP008/fail_just_below", ("a",)),
        ("SUP009/fail_kit_silent", ("a",)),
    ],
)
def test_what_a_finding_is_about(name: str, subjects: tuple[str, ...], tmp_path: Path) -> None:
    assert only(name, tmp_path).subjects == subjects


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("SUP002/fail_typically", "or use a stronger supply"),
        ("SUP002/fail_capacitor_not_recharged", "or from another box"),
        ("SUP007/fail_too_cold", "keep the box warm, or use a battery made for that temperature"),
        ("SUP007/fail_box_in_the_sun", "shaded, or use a battery made for that temperature"),
        (
            "SUP008/fail_flat",
            "off the charger and after an hour of rest, and see that the kind of box is right",
        ),
        (
            "SUP008/fail_capacitor",
            "read it again without load, and see that the kind of box is right",
        ),
        ("SUP009/fail_kit_silent", "state standby_A of yard:cell-no-standby in the kit"),
        ("SUP009/fail_show_silent", "state standby_s in the show"),
    ],
)
def test_what_to_do(name: str, remedy: str, tmp_path: Path) -> None:
    assert only(name, tmp_path).remedy.endswith(remedy)


# SUP001


def test_a_current_limit_is_that_of_the_kit(tmp_path: Path) -> None:
    found = only("SUP001/fail_all_light_at_the_limit", tmp_path)
    assert re.fullmatch(
        r"cue 'one' reaches the fold-back limit of 3\.00 A of box 'a' and gives up to \S+ A",
        found.message,
    )
    assert found.limit == 3.0
    assert found.measured is not None
    # A fold-back limit gives less the more is asked, but never below what a short circuit gets.
    assert 0.9 <= found.measured <= 3.1


def test_a_limit_reached_at_a_corner_is_a_note(tmp_path: Path) -> None:
    found = only("SUP001/fail_at_a_corner_only", tmp_path)
    assert " of box 'a' at a tolerance corner and gives up to " in found.message


def test_constant_current_that_lights_all_is_what_the_box_is_made_for(tmp_path: Path) -> None:
    """The same limit with fold-back is told, as fold-back leaves less for the next."""
    text = case_text("SUP001/pass_constant_current_enough")
    (cue,) = assessed(text, tmp_path).cues
    assert cue.limited
    assert findings(text, "SUP001", tmp_path) == ()
    assert findings(text.replace("yard:steady", "yard:folding"), "SUP001", tmp_path)


# SUP002


def test_a_box_that_keeps_just_the_voltage_it_needs_works(tmp_path: Path) -> None:
    """yard:weak needs 8 V: typically below it is an error, at a corner only a warning."""
    assessment = assessed(case_text("SUP002/fail_typically"), tmp_path)

    def found(lowest_V: float, typical_V: float) -> list[str]:
        (cue,) = assessment.cues
        fallen = evolve(cue, lowest_V=lowest_V, lowest_typical_V=typical_V)
        context = Context(evolve(assessment, cues=(fallen,)))
        told, _ = run_rules(context, [load_rule("SUP002")])
        return [f.severity.word for f in told]

    assert found(8.0, 8.0) == []
    assert found(7.999, 8.0) == ["warning"]
    assert found(7.999, 7.999) == ["error"]


# SUP003


WAITS = case_text("SUP003/fail_waits_too_long")


def waits(standby_s: float, charge_pct: float) -> str:
    text = WAITS.replace("standby_s = 90000", f"standby_s = {standby_s}")
    return re.sub(r"supply_V = .*", f"charge_pct = {charge_pct}", text)


def test_ampere_hours_of_waiting_and_of_a_battery_in_the_cold(tmp_path: Path) -> None:
    """0.5 A from 90331 s before the show to its last pulse at 10.5 s, and one match for 0.5 s;
    8 Ah, of which 50 % + 25/40 · 50 % are there at 5 °C and 90.07 % are charged."""
    (found,) = findings(waits(90331, 90.07), "SUP003", tmp_path)
    used_Ah, holds_Ah = 0.5 * (90331 + 10.5) / 3600, 8.0 * 0.8125 * 0.9007
    assert found.measured is not None
    # No more than 21 V over 1.5 ohm for half a second comes to it.
    assert used_Ah < found.measured < used_Ah + 14 * 0.5 / 3600
    assert found.limit == pytest.approx(0.8 * holds_Ah, rel=1e-6)
    assert found.message == (
        "box 'a' uses 12.5 Ah in the show, 214 % of the 5.85 Ah that its battery holds at its "
        "coldest and emptiest; 4.68 Ah (80 %) is as much as should be planned with"
    )


def test_four_fifths_of_a_battery_may_be_used(tmp_path: Path) -> None:
    """5.2 Ah of 6.5 Ah are 37440 s at 0.5 A; the pulse adds less than 14 s of that."""
    show_s = 10.5
    assert findings(waits(37440 - show_s - 14, 100), "SUP003", tmp_path) == ()
    (some,) = findings(waits(37440 - show_s + 1, 100), "SUP003", tmp_path)
    assert some.severity.word == "warning"
    # A little more than what is planned with does not read like it.
    assert "uses 5.20 Ah" not in some.message
    assert "; 5.20 Ah (80 %) is as much" in some.message
    # 6.5 Ah are 46800 s.
    (nearly,) = findings(waits(46800 - show_s - 14, 100), "SUP003", tmp_path)
    assert nearly.severity.word == "warning"
    (all_of_it,) = findings(waits(46800 - show_s + 1, 100), "SUP003", tmp_path)
    assert all_of_it.severity.word == "error"


def test_an_empty_battery_has_no_share(tmp_path: Path) -> None:
    found = only("SUP003/fail_empty", tmp_path)
    assert found.message.endswith("at its coldest and emptiest its battery holds nothing")
    assert found.limit == 0.0


# SUP004


def second_at(time_s: float) -> str:
    text = case_text("SUP004/fail_half_a_second_after")
    assert "time_s = 10.2\n" in text
    return text.replace("time_s = 10.2\n", f"time_s = {time_s!r}\n")


def test_a_capacitor_counts_as_charged_from_99_per_cent(tmp_path: Path) -> None:
    """Full is 46 V at the least, recharged from empty in 2.5 s at the most: 18.4 V in a second."""
    has_V = assessed(second_at(10.2), tmp_path).cues[1].results[0].emf_V.worst

    def when(volts: float) -> float:
        return 10.2 + (volts - has_V) / 18.4

    assert assessed(second_at(when(45.6)), tmp_path).cues[1].results[0].emf_V.worst == (
        pytest.approx(45.6, abs=1e-3)
    )
    assert findings(second_at(when(45.6)), "SUP004", tmp_path) == ()
    (found,) = findings(second_at(when(45.5)), "SUP004", tmp_path)
    assert found.measured == pytest.approx(45.5, abs=1e-3)
    assert found.limit == pytest.approx(0.99 * 46.0)
    # 0.04 V more.
    said = re.fullmatch(r"fire it ([\d.]+) ms later, or from another box", found.remedy)
    assert said is not None
    assert float(said[1]) == pytest.approx(1e3 * 0.04 / 18.4, abs=0.1)


@pytest.mark.parametrize("shift_s", [0.0, -20.0], ids=["in the show", "before its clock starts"])
def test_the_last_pulse_before_is_blamed(shift_s: float, tmp_path: Path) -> None:
    text = re.sub(
        r"time_s = ([\d.]+)",
        lambda m: f"time_s = {float(m[1]) + shift_s:.1f}",
        case_text("SUP004/fail_between_other_cues"),
    )
    found = findings(text, "SUP004", tmp_path)
    assert [f.subjects for f in found] == [("three", "two", "a"), ("two", "one", "a")]


def test_a_repeat_is_short_for_its_own_pulse(tmp_path: Path) -> None:
    found = only("SUP004/fail_repeat", tmp_path)
    assert found.message.startswith("repeat 1 of cue 'one' may start at ")
    assert found.message.endswith(
        "V in place of 46.0 V (45.5 V would do): the capacitor is not "
        "charged again after the pulse before it"
    )
    assert found.remedy.endswith(", or shorten the pulse")


# SUP005


@pytest.mark.parametrize(("peak_A", "told"), [(2.0, 0), (2.001, 1)])
def test_an_output_may_carry_just_what_it_is_rated(
    peak_A: float, told: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    context = Context(assessed(case_text("SUP005/fail_several_in_parallel"), tmp_path))
    rule = load_rule("SUP005")
    monkeypatch.setattr(sup005_output_over_rating, "output_peaks", lambda _: {("a", 1): peak_A})
    found, _ = run_rules(context, [rule])
    assert [f.measured for f in found] == [peak_A] * told
    assert all(f.limit == 2.0 for f in found)


def test_an_output_is_told_with_its_box(tmp_path: Path) -> None:
    found = only("SUP005/fail_after_one_without_a_limit", tmp_path)
    assert re.fullmatch(
        r"under cue 'one' output 1 of box 'a' carries up to \S+ A; it may carry 2\.00 A",
        found.message,
    )


# SUP007 and SUP008


@pytest.mark.parametrize(
    ("name", "measured", "limit"),
    [
        ("SUP007/fail_too_cold", -25.0, -20.0),
        ("SUP007/fail_hot_at_the_worst", 55.0, 50.0),
        ("SUP008/fail_just_above", 21.15, 21.0),
        # 20.5 V, full, less the 20.8 V - 15.0 V that the curve falls.
        ("SUP008/fail_just_below", 14.55, 14.7),
    ],
)
def test_what_is_read_and_what_can_be(
    name: str, measured: float, limit: float, tmp_path: Path
) -> None:
    found = only(name, tmp_path)
    assert found.measured == pytest.approx(measured)
    assert found.limit == pytest.approx(limit)
