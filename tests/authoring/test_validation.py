"""A profile judged alone, and two profiles side by side."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.authoring.comparison import compare, comparison_text
from bridgewire.authoring.inherited import inherited_text
from bridgewire.authoring.validation import Validation, validate
from bridgewire.kits.discovery import LoadedKit, find_kits, shipped_profiles_dir


def load(folder: Path, text: str, name: str = "mine") -> LoadedKit:
    head = f'format = 1\nid = "{name}"\n'
    (folder / f"{name}.toml").write_text(head + text, encoding="utf-8")
    return find_kits([name], [folder, shipped_profiles_dir()])[name]


def doubts(found: Validation) -> list[tuple[str, str]]:
    return [(d.item, d.key) for d in found.doubts]


MATCH = """
[[igniter_class]]
id = "m"
kind = "electric-match"
bridge_ohm = { typical = 1.5, tol = 0.1 }
lead_ohm = { typical = 0.2, tol = 0.05 }
threshold_A = { min = 0.31, typical = 0.32, max = 0.33 }
tau_s = 0.0045
no_fire_A = 0.25
all_fire_A = 0.45
all_fire_time_s = 0.02
"""


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_the_shipped_profiles_are_clean(name: str) -> None:
    found = validate(find_kits([name], [shipped_profiles_dir()])[name])
    assert found.doubts == ()
    assert found.without_source == ()


def test_gaps_say_what_they_prevent(tmp_path: Path) -> None:
    found = validate(load(tmp_path, '[[contact]]\nid = "c"\ncontact_ohm = 0.01\n'))
    assert [(g.item, g.key, g.blocks) for g in found.gaps] == [("contact c", "rated_A", False)]
    assert found.gaps[0].prevents == "overload of the contact"
    assert found.without_source == (("contact c", "contact_ohm"),)
    assert not found.clean


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ("", None),
        ("no_fire_A = 0.32", "no_fire_A"),  # above the quickest piece's threshold
        ("all_fire_A = 0.33", "all_fire_A"),  # not above the slowest piece's threshold
        ("all_fire_time_s = 0.001", "all_fire_time_s"),
        ("tau_s = 2", "tau_s"),
    ],
)
def test_heating_data_against_the_currents(tmp_path: Path, change: str, key: str | None) -> None:
    text = MATCH
    if change:
        name = change.split(" = ", maxsplit=1)[0]
        text = "\n".join(x for x in MATCH.splitlines() if not x.startswith(f"{name} ="))
    found = validate(load(tmp_path, f"{text}\n{change}\n"))
    item = "igniter class m"
    assert (doubts(found) == []) if key is None else ((item, key) in doubts(found))


def test_less_resistance_than_copper_allows(tmp_path: Path) -> None:
    """24 AWG copper has 25.67 ohm per 1000 ft, 0.0842 ohm per metre (wire table in Floyd, Electric
    Circuit Fundamentals); 0.0257 is the value per foot."""
    cable = ('[[cable]]\nid = "c"\nmetal = "copper"\nstranding = "solid"\nconductors = 2\n'
             "gauge_awg = 24\nohm_per_m = {}\n")  # fmt: skip
    low = validate(load(tmp_path, cable.format("0.0257")))
    assert doubts(low) == [("cable c", "ohm_per_m")]
    assert "less than this much copper can have" in low.doubts[0].why
    assert doubts(validate(load(tmp_path, cable.format("0.0842")))) == []
    loop = validate(load(tmp_path, cable.format("0.1684")))
    assert "feed and return seem to be counted together" in loop.doubts[0].why


def test_a_fault_is_told_once(tmp_path: Path) -> None:
    text = MATCH.replace("no_fire_A = 0.25", "no_fire_A = 0.6")
    assert doubts(validate(load(tmp_path, text))) == [("igniter class m", "no_fire_A")]


def test_a_contact_that_is_not_there(tmp_path: Path) -> None:
    found = validate(load(tmp_path, '[[splitter]]\nid = "s"\noutlets = 2\ninlet_contact = "x"\n'))
    assert ("splitter s", "inlet_contact") in doubts(found)


def test_a_doubt_about_an_inherited_value_says_where_it_stands(tmp_path: Path) -> None:
    found = validate(
        load(
            tmp_path,
            'extends = "harrowmere"\n[[box]]\nid = "teal"\n[box.supply]\ncharged_V = 25\n',
        )
    )
    (doubt,) = found.doubts
    assert doubt.key == "min_supply_V"
    assert "[from harrowmere (" in doubt.why
    assert "harrowmere.toml:" in doubt.why


# -- comparison ------------------------------------------------------------------------------------


def test_values_side_by_side(tmp_path: Path) -> None:
    own = 'extends = "harrowmere"\n[[contact]]\nid = "lake-plug"\ncontact_ohm = 0.03\n'
    mine = load(tmp_path, own + '[[cable]]\nid = "rope"\nextends = "reed-lead"\n')
    other = find_kits(["harrowmere"], [shipped_profiles_dir()])["harrowmere"]
    found = compare(other, mine)
    (row,) = [r for r in found.rows if not r.same]
    assert (row.item, row.key) == ("contact lake-plug", "contact_ohm")
    assert row.ratio == pytest.approx(0.03 / 0.008)
    assert row.overlap is False  # 3 to 25 mohm against 30
    assert row.first_origin.startswith("harrowmere (")
    assert row.second_origin.startswith("mine (")
    assert "mine.toml:6" in row.second_origin
    assert (found.only_first, found.only_second) == ((), ("cable rope",))
    text = comparison_text(found)
    assert "×3.75" in text
    assert "apart" in text
    assert "Only in mine: cable rope." in text
    assert "rated_A" not in text
    assert "rated_A" in comparison_text(found, everything=True)
    assert "[no source stated]" in " ".join(comparison_text(found, origins=True).split())


@pytest.mark.parametrize("width", [60, 80, 140])
def test_the_table_keeps_to_its_width(tmp_path: Path, width: int) -> None:
    kits = find_kits(["generic", "harrowmere"], [shipped_profiles_dir()])
    mine = load(tmp_path, 'extends = "generic"\n[[cable]]\nid = "bell-wire"\narea_mm2 = 0.5\n')
    for found in (compare(kits["generic"], mine), compare(kits["generic"], kits["harrowmere"])):
        text = comparison_text(found, width, everything=True)
        assert max(len(line) for line in text.splitlines()) <= width


def test_profiles_without_a_common_entry() -> None:
    kits = find_kits(["generic", "harrowmere"], [shipped_profiles_dir()])
    text = comparison_text(compare(kits["generic"], kits["harrowmere"]))
    assert text.startswith("No entry in common.")


def test_a_value_that_only_one_states(tmp_path: Path) -> None:
    a = load(tmp_path, '[[contact]]\nid = "c"\nrated_A = 2\n', "a")
    b = load(tmp_path, '[[contact]]\nid = "c"\ncontact_ohm = 0\n', "b")
    rows = {r.key: r for r in compare(a, b).rows}
    assert (rows["rated_A"].second, rows["rated_A"].ratio) == ("", None)
    assert rows["contact_ohm"].second_origin


def test_inherited_values_are_listed_with_their_lines(tmp_path: Path) -> None:
    own = 'extends = "harrowmere"\n[[contact]]\nid = "lake-plug"\ncontact_ohm = 0.03\n'
    text = inherited_text(load(tmp_path, own), 100)
    part = text.split("contact lake-plug\n")[1].split("\n\n")[0]
    assert part.splitlines()[0] == "  mine: contact_ohm (line 6)"
    assert "harrowmere: rated_A (line 13)" in part
