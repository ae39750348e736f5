"""A show before and after: entries, reasons, references, findings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import check, load_show, resolve_show
from bridgewire.bench.kit_changes import (
    ChangedEntry,
    changed_entries,
    mixed_kit,
    show_with_kit,
)
from bridgewire.bench.predict import predict
from bridgewire.bench.prediction import Prediction, Side
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.model.band import Band
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Verdict
from tests.bench.design.lawn import KIT, SHOW
from tests.bench.predict.taught import CABLE, CLASS, SUPPLY, write_files


def _predicted(
    folder: Path, entries: str, show: str = SHOW, kit: str = KIT, draws: int | None = None
) -> tuple[Prediction, Side, Side]:
    file = write_files(folder, entries, show, kit)
    before = load_show(file, kit_dirs=[folder])
    folders: Sequence[Path] = kit_folders(file, [folder])
    taught = find_kits(["taught"], folders)["taught"].kit
    moved = show_with_kit(before.show, taught)
    after = resolve_show(str(file), moved, before.document, folders, before.plugins)
    sides = []
    for one in (before, after):
        report = check(one, draws=draws)
        assert report.assessment is not None
        sides.append(Side(one.layout, report.assessment, report.findings, report.odds))
    return predict(str(file), taught, *sides), sides[0], sides[1]


def test_one_entry_explains_everything(tmp_path: Path) -> None:
    found, _, _ = _predicted(tmp_path, CLASS)
    [one] = found.igniters
    assert (one.before.verdict, one.after.verdict) == (Verdict.MARGINAL, Verdict.SURE)
    assert one.turned
    assert not one.worse
    [reason] = one.reasons
    assert reason.entry.id == "lance"
    assert reason.entry.keys == ("threshold_A", "tau_s")
    assert reason.share == pytest.approx(1.0)
    assert reason.alone == pytest.approx(one.after.margin)
    assert reason.without == pytest.approx(one.before.margin)
    assert not found.got_worse


def test_entries_are_weighed_one_at_a_time_and_left_out(tmp_path: Path) -> None:
    found, _, _ = _predicted(tmp_path, CLASS + CABLE + SUPPLY)
    assert {(e.table, e.id) for e in found.entries} == {
        ("igniter_class", "lance"),
        ("cable", "reel"),
        ("box", "brick"),
    }
    [one] = found.igniters
    by = {r.entry.id: r for r in one.reasons}
    assert one.reasons[0].entry.id == "lance"
    # The class carries the gain; the other two are named where they are worth a tenth.
    assert by["lance"].share > 0.5
    assert sum(r.share for r in one.reasons) == pytest.approx(1.0, abs=0.25)
    lance = by["lance"]
    assert lance.alone is not None
    assert lance.without is not None
    assert one.before.margin is not None
    assert one.after.margin is not None
    assert lance.alone > one.before.margin
    assert lance.without < one.after.margin
    # The supply is worth less than a tenth, and so not named.
    assert "brick" not in by


def test_all_entries_as_before_give_the_show_as_before(tmp_path: Path) -> None:
    found, before, after = _predicted(tmp_path, CLASS + CABLE + SUPPLY)
    kit = after.layout.catalogue.kits["taught"]
    mixed = mixed_kit(kit, found.entries)
    kits = {**after.layout.catalogue.kits, "taught": mixed}
    layout, problems = resolve(after.layout.show, Catalogue(kits))
    assert not problems
    assert layout is not None
    [cue] = assess(layout).cues
    [old] = before.assessment.cues
    for a, b in zip(cue.meant, old.meant, strict=True):
        assert (a.margin, a.light.typical) == (b.margin, b.light.typical)
    assert not changed_entries(before.layout, mixed)


def test_worse_is_said(tmp_path: Path) -> None:
    found, _, _ = _predicted(
        tmp_path,
        CLASS.replace(
            "min = 0.8, typical = 0.85, max = 0.9", "min = 2.3, typical = 2.4, max = 2.5"
        ),
    )
    [one] = found.igniters
    assert one.after.verdict is Verdict.NO
    assert one.worse
    assert found.got_worse
    # Between marginal and no typical values decide.
    assert not one.worst
    assert one.reasons[0].share == pytest.approx(1.0)
    assert "FIR001" in {f.code for f in found.new}


def test_nothing_changed(tmp_path: Path) -> None:
    found, _, _ = _predicted(tmp_path, "")
    assert found.entries == ()
    [one] = found.igniters
    assert not one.moved
    assert not one.reasons
    assert not found.new
    assert not found.gone


def test_an_entry_that_the_show_does_not_use_is_not_named(tmp_path: Path) -> None:
    other = '\n[[splitter]]\nid = "tee"\nextends = "lawn:tee"\ninner_ohm = 0.5\n'
    found, _, _ = _predicted(tmp_path, CLASS + other)
    assert [e.id for e in found.entries] == ["lance"]


def test_full_references_are_moved_too(tmp_path: Path) -> None:
    show = SHOW.replace('class = "lance"', 'class = "lawn:lance"').replace(
        'cable = "reel"', 'cable = "lawn:reel"'
    )
    found, _, after = _predicted(tmp_path, CLASS, show)
    assert after.layout.show.igniter[0].class_ == "taught:lance"
    assert after.layout.show.run[0].cable == "taught:reel"
    assert after.layout.show.kits == ("taught",)
    assert found.igniters[0].turned


OTHER = (
    'format = 1\nid = "other"\ntitle = "Other"\n[[cable]]\nid = "reel"\nmetal = "copper"\n'
    'stranding = "solid"\nconductors = 2\ngauge_awg = 22\n'
    "ohm_per_m = { min = 0.05, typical = 0.053, max = 0.06 }\nmax_length_m = 50\n"
)


def _with_other_kit(folder: Path, cable: str) -> tuple[Prediction, Side, Side]:
    """A show with two kits that both have a cable `reel`, the one that is extended last."""
    (folder / "other.toml").write_text(OTHER, encoding="utf-8")
    show = SHOW.replace('kits = ["lawn"]', 'kits = ["other", "lawn"]')
    assert show != SHOW
    return _predicted(folder, CABLE, show.replace('cable = "reel"', f'cable = "{cable}"'))


def test_an_entry_is_compared_with_the_one_that_the_show_used(tmp_path: Path) -> None:
    """Not with one of the same id in another kit of the show."""
    found, before, after = _with_other_kit(tmp_path, "lawn:reel")
    [reel] = found.entries
    [value] = reel.values
    assert (value.key, value.before) == ("ohm_per_m", Band(0.075, 0.0842, 0.094))
    mixed = mixed_kit(after.layout.catalogue.kits["taught"], found.entries)
    assert mixed.cable[0].ohm_per_m == Band(0.075, 0.0842, 0.094)
    assert not changed_entries(before.layout, mixed)


def test_a_bare_reference_meant_the_first_kit_of_the_show(tmp_path: Path) -> None:
    found, _, _ = _with_other_kit(tmp_path, "reel")
    [reel] = found.entries
    [gauge, per_m] = reel.values
    assert (gauge.key, gauge.before, gauge.after) == ("gauge_awg", 22.0, 24.0)
    assert per_m.before == Band(0.05, 0.053, 0.06)


def test_a_reference_to_another_kit_is_not_moved_and_names_no_change(tmp_path: Path) -> None:
    found, _, after = _with_other_kit(tmp_path, "other:reel")
    assert after.layout.show.run[0].cable == "other:reel"
    assert not found.entries


def test_contacts_of_the_taught_kit_count(tmp_path: Path) -> None:
    """A plug that was taught is found by parts that are taken over."""
    plug = (
        '\n[[contact]]\nid = "plug"\nextends = "lawn:plug"\n'
        "contact_ohm = { min = 0.4, typical = 0.5, max = 0.6 }\n"
    )
    found, _, _ = _predicted(tmp_path, plug)
    [one] = found.igniters
    assert one.before.margin is not None
    assert one.after.margin is not None
    assert one.after.margin < 0.9 * one.before.margin
    assert [r.entry.id for r in one.reasons] == ["plug"]


def test_probabilities(tmp_path: Path) -> None:
    found, _, _ = _predicted(tmp_path, CLASS, draws=1000)
    [one] = found.igniters
    assert one.lights_before is not None
    assert one.lights_after is not None
    assert one.lights_before.value < 0.98 < one.lights_after.value
    assert one.lights_before.low <= one.lights_before.value <= one.lights_before.high
    assert one.odds_moved
    [reason] = one.dark_reasons
    assert reason.entry.id == "lance"
    assert reason.share == pytest.approx(1.0)
    assert reason.without == pytest.approx(1.0 - one.lights_before.value, abs=0.03)
    assert reason.alone == pytest.approx(1.0 - one.lights_after.value, abs=0.03)
    assert not found.falls_short


def test_falling_short_of_the_requirement(tmp_path: Path) -> None:
    show = SHOW.replace("[[box]]", "[requirements]\nreliability = 0.999\n\n[[box]]")
    found, _, _ = _predicted(tmp_path, CABLE, show, draws=1000)
    assert found.falls_short


def test_changed_values_of_an_entry(tmp_path: Path) -> None:
    found, before, after = _predicted(tmp_path, SUPPLY)
    [entry] = found.entries
    [value] = entry.values
    assert value.key == "supply.internal_ohm"
    assert value.before == before.layout.catalogue.boxes.get("lawn:brick").supply.internal_ohm  # type: ignore[union-attr]
    assert value.after == after.layout.catalogue.boxes.get("taught:brick").supply.internal_ohm  # type: ignore[union-attr]
    same = ChangedEntry("box", "brick", (evolve(value),))
    assert same == entry


def test_a_value_that_the_kit_lacked_before_is_no_reason(tmp_path: Path) -> None:
    """Without it nothing can be computed, so its part in the change cannot be told either."""
    bare = KIT.replace("internal_ohm = { min = 0.2, typical = 0.5, max = 1.2 }\n", "")
    assert bare != KIT
    found, before, _ = _predicted(tmp_path, CLASS + SUPPLY, kit=bare, draws=500)
    assert before.assessment.cues[0].meant[0].verdict is Verdict.UNKNOWN
    [one] = found.igniters
    assert one.after.verdict is Verdict.SURE
    assert (one.reasons, one.dark_reasons) == ((), ())
