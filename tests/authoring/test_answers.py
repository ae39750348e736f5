"""From an answers file to a profile that loads."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.authoring.answers_file import profile_of_answers, read_answers
from bridgewire.authoring.draft import Draft, draft
from bridgewire.authoring.entry_data import Entry, band_data, figure
from bridgewire.authoring.question import UNKNOWN
from bridgewire.authoring.questions import SECTIONS, section
from bridgewire.authoring.toml_text import FileThereError, profile_text, write_new
from bridgewire.diagnostics import format_path
from bridgewire.documents.loader import load_kit
from bridgewire.errors import InputError
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, Kit
from bridgewire.report.kit_gaps import kit_doubts
from bridgewire.rules.kit006_resistance_below_physics import least_ohm_per_m

EVENING = Path(__file__).parent / "evening.toml"


@pytest.fixture(scope="module")
def made() -> tuple[Draft, str]:
    return profile_of_answers(EVENING)


def kit_of(tmp_path: Path, text: str) -> Kit:
    file = tmp_path / "made.toml"
    file.write_text(text, encoding="utf-8")
    return load_kit(file)[0]


def from_answers(tmp_path: Path, text: str) -> tuple[Draft, Kit]:
    file = tmp_path / "answers.toml"
    file.write_text(text, encoding="utf-8")
    made, profile = profile_of_answers(file)
    return made, kit_of(tmp_path, profile)


# -- a whole evening -------------------------------------------------------------------------------


def test_the_profile_loads_and_reads_back(tmp_path: Path, made: tuple[Draft, str]) -> None:
    kit = kit_of(tmp_path, made[1])
    assert (kit.id, kit.title, kit.version) == ("lakeshed", "Lake shed kit", "2026-05-31")
    assert tomllib.loads(made[1]) == made[0].data()
    assert [c.id for c in kit.cable] == ["drum", "flex"]


def test_values_are_worked_out(tmp_path: Path, made: tuple[Draft, str]) -> None:
    kit = kit_of(tmp_path, made[1])
    contact = kit.contact[0].contact_ohm
    assert contact is not None
    # (0.31 + 0.34 + 0.30) / 3 - 0.12 - 0.05, over ten pairs
    assert contact.typical == pytest.approx(0.01467, abs=1e-5)
    supply = kit.box[0].supply
    assert isinstance(supply, BatterySupply)
    assert supply.internal_ohm is not None
    # 0.45 V at 1.2575 A and 1.65 V at 4.79 A
    assert supply.internal_ohm.min <= 1.65 / 4.79 <= supply.internal_ohm.max
    assert supply.limit is None
    bridge = kit.igniter_class[0].bridge_ohm
    assert bridge is not None
    assert bridge.typical == pytest.approx(1.878 - 0.12 - 0.2, abs=1e-3)
    assert kit.box[0].continuity_test is not None
    assert kit.box[0].continuity_test.current_A == Band(0.009402, 0.0098, 0.0102)  # 1 % and 0.3 mA


def test_a_clad_cable_is_noticed_and_its_print_left_out(
    tmp_path: Path, made: tuple[Draft, str]
) -> None:
    kit, (draft_, text) = kit_of(tmp_path, made[1]), made
    drum, flex = kit.cable
    assert drum.gauge_awg is None  # 0.133 ohm per metre is no 24 AWG copper
    assert drum.ohm_per_m is not None
    assert drum.ohm_per_m.typical == pytest.approx(0.1335, abs=5e-4)
    remarks = {e.data["id"]: e.remarks for e in draft_.entries}
    assert any("looks like copper-clad aluminium" in r for r in remarks["drum"])
    assert "the reading fits the printed size" in remarks["flex"]
    assert flex.area_mm2 == 0.5
    assert "# Looks like copper-clad aluminium" in text


def test_each_value_has_its_source(tmp_path: Path, made: tuple[Draft, str]) -> None:
    kit = kit_of(tmp_path, made[1])
    source = kit.cable[0].sources["ohm_per_m"]
    assert source.startswith("measured 2026-05-31 with bench meter ±0.8 % + 3 digits: 26.60 ohm")
    assert "meter leads 0.12 ohm taken off" in source
    assert kit.contact[0].sources["rated_A"] == "label on the plug"
    assert kit.igniter_class[0].sources["no_fire_A"] == "data sheet of the batch"
    assert "inner_ohm" not in kit.strip[0].sources  # nobody said


def test_what_is_not_known_is_left_out_and_said(made: tuple[Draft, str]) -> None:
    data = {e.data["id"]: e for e in made[0].entries}
    assert "rated_A" not in data["drum"].data
    assert "rated_A" in data["drum"].unknown
    assert "burn_open" not in data["match"].data
    assert "# Not known: title, rated_A, source." not in made[1]
    assert "# Not known:" in made[1]


def test_what_follows_from_a_data_sheet(made: tuple[Draft, str]) -> None:
    (match,) = [e for e in made[0].entries if e.data["id"] == "match"]
    # WAC 212-17-317(6): 20 % of the no-fire current of 0.18 A.
    assert "follows: test current at most 36 mA" in match.remarks
    assert any("sure to light from 0.6 A" in r for r in match.remarks)


# -- answers that lead to gaps ---------------------------------------------------------------------

HEAD = '[kit]\nid = "k"\n[meter]\nvolt_accuracy = "0.5 + 2"\n'
BOX = """
[[box]]
id = "b"
outputs = 1
ways = 1
map = "pair"
feed_conductors = 1
return_conductors = 1
diode = "no"
supply = "regulated"
open_V = "24.00"
load_1_ohm = "20 ± 1 %"
load_1_V = "23.64"
load_2_ohm = "5 ± 1 %"
load_2_V = "15.00"
"""


def test_a_limit_of_unknown_kind_leaves_the_resistance_out(tmp_path: Path) -> None:
    made, kit = from_answers(tmp_path, HEAD + BOX)
    supply = kit.box[0].supply
    assert supply.kind == "regulated"
    assert supply.internal_ohm is None
    assert supply.limit is None
    assert any("left out until the kind of limit is known" in r for r in made.entries[0].remarks)


def test_one_load_does_not_show_a_limit_and_gives_no_supply_without_one(tmp_path: Path) -> None:
    """The one reading may itself be on the limit; a box without a limit would be too strong."""
    made, kit = from_answers(tmp_path, HEAD + BOX.split("load_2_ohm")[0])
    supply = kit.box[0].supply
    assert supply.kind == "regulated"
    assert supply.open_circuit_V is not None
    assert supply.internal_ohm is None
    assert supply.limit is None
    assert "supply.internal_ohm" not in kit.box[0].sources
    [remark] = [r for r in made.entries[0].remarks if "left out until" in r]
    assert "until a second, smaller resistor shows whether it limits its current" in remark


def test_a_third_load_tells_the_limit(tmp_path: Path) -> None:
    _, kit = from_answers(tmp_path, HEAD + BOX + 'load_3_ohm = "2 ± 1 %"\nload_3_V = "6.00"\n')
    limit = kit.box[0].supply.limit
    assert limit is not None
    assert limit.kind == "constant-current"
    assert limit.limit_A.min <= 3.0 <= limit.limit_A.max


def test_igniters_without_lead_resistance_have_no_bridge(tmp_path: Path) -> None:
    text = HEAD + '[[igniter_class]]\nid = "m"\nkind = "electric-match"\nreadings = "1.8"\n'
    made, kit = from_answers(tmp_path, text)
    assert kit.igniter_class[0].bridge_ohm is None
    assert "cannot be told from its leads" in made.entries[0].remarks[0]


def test_an_unknown_temperature_is_not_20_degrees(tmp_path: Path) -> None:
    cable = (
        '[[cable]]\nid = "c"\nmetal = "copper"\nstranding = "solid"\nconductors = 2\n'
        'length_m = 50\nloop = "8.42"\n'
    )
    _, unknown = from_answers(tmp_path, HEAD + cable)
    _, known = from_answers(tmp_path, HEAD + cable + "at_C = 20\n")
    wide, sharp = unknown.cable[0].ohm_per_m, known.cable[0].ohm_per_m
    assert wide is not None
    assert sharp is not None
    assert wide.min < sharp.min
    assert sharp.max < wide.max
    assert "nobody noted" in unknown.cable[0].sources["ohm_per_m"]


SHORT_PIECE = """
[kit]
id = "k"
[meter]
ohm_accuracy = "1.2 % + 5"
leads = "0.2"
[[contact]]
id = "plug"
pairs = 10
readings = ["0.41", "0.39", "0.44"]
wire_ohm = "0.1"
[[cable]]
id = "c"
metal = "copper"
stranding = "stranded"
conductors = 10
size = "{size}"
length_m = 50
loop = "{loop}"
at_C = 15
"""


@pytest.mark.parametrize(("size", "loop"), [("0.5 mm2", "3.9"), ("20 AWG", "3.7")])
def test_a_coarse_meter_does_not_make_better_metal_than_there_is(
    tmp_path: Path, size: str, loop: str
) -> None:
    made, kit = from_answers(tmp_path, SHORT_PIECE.format(size=size, loop=loop))
    least = least_ohm_per_m(kit.cable[0])
    stated = kit.cable[0].ohm_per_m
    assert least is not None
    assert stated is not None
    assert least <= stated.min <= least * 1.05  # an area's own tolerance is cut too
    assert any("a longer piece would tell more" in r for e in made.entries for r in e.remarks)
    assert "has at least" in kit.cable[0].sources["ohm_per_m"]
    assert kit_doubts(kit) == ()


def test_a_reading_below_what_the_metal_can_have_is_left_as_it_is(tmp_path: Path) -> None:
    made, kit = from_answers(tmp_path, SHORT_PIECE.format(size="0.5 mm2", loop="3.4"))
    least = least_ohm_per_m(kit.cable[0])
    stated = kit.cable[0].ohm_per_m
    assert least is not None
    assert stated is not None
    assert stated.min < least
    assert not any("a longer piece" in r for e in made.entries for r in e.remarks)


def test_a_contact_that_the_meter_cannot_resolve(tmp_path: Path) -> None:
    made, kit = from_answers(tmp_path, SHORT_PIECE.format(size="0.5 mm2", loop="3.9"))
    assert kit.contact[0].contact_ohm is not None
    assert kit.contact[0].contact_ohm.min == 0.0
    assert any("join more pairs" in r for r in made.entries[0].remarks)


def test_without_the_meters_accuracy_no_tolerance_is_made_up(tmp_path: Path) -> None:
    text = '[kit]\nid = "k"\n' + BOX.replace(" ± 1 %", "").split("load_2_ohm")[0]
    _, kit = from_answers(tmp_path, text)
    volts = kit.box[0].supply
    assert volts.kind == "regulated"
    assert volts.open_circuit_V is not None
    assert not volts.open_circuit_V.stated
    assert "of unknown accuracy" in kit.box[0].sources["supply.open_circuit_V"]


def test_readings_as_numbers_lose_their_noughts_but_work(tmp_path: Path) -> None:
    """24.00 as a number reads as 24.0: one digit fewer, so a wider band."""
    bare = from_answers(tmp_path, HEAD + BOX.replace('"24.00"', "24.00"))[1]
    kept = from_answers(tmp_path, HEAD + BOX)[1]
    wide, sharp = bare.box[0].supply, kept.box[0].supply
    assert wide.kind == sharp.kind == "regulated"
    assert wide.open_circuit_V is not None
    assert sharp.open_circuit_V is not None
    assert wide.open_circuit_V.max > sharp.open_circuit_V.max


# -- bad answers -----------------------------------------------------------------------------------

PLUG = HEAD + '[[contact]]\nid = "c"\n'
TWICE = HEAD + BOX + BOX


@pytest.mark.parametrize(
    ("text", "code", "path", "words"),
    [
        ('[kit]\ntitle = "x"\n', "DOC005", "kit", '"id" is missing'),
        (HEAD + "[[cabel]]\n", "DOC004", "cabel", "nothing of the name"),
        (HEAD + "colour = 1\n", "DOC004", "meter.colour", "nothing of the name"),
        (HEAD + "[cable]\n", "DOC006", "cable", "not [[cable]]"),
        ('kit = "x"\n', "DOC006", "kit", "not a table"),
        ('[kit]\nid = "a/b"\n', "DOC007", "kit.id", "without"),
        ('[kit]\nid = "a"\nmeasured_on = "31 May"\n', "DOC007", "kit.measured_on", "2026-05-31"),
        ('[kit]\nid = "a"\n[meter]\nleads = "-0.1"\n', "DOC007", "meter.leads", "out of range"),
        ('[kit]\nid = "a"\n[meter]\nleads = true\n', "DOC007", "meter.leads", "in quotes"),
        (PLUG + 'rated_A = "5 A"\n', "DOC007", "contact[0].rated_A", "number"),
        (PLUG + "pairs = 1.5\n", "DOC007", "contact[0].pairs", "whole"),
        (PLUG + 'readings = "1"\n', "DOC019", "contact[0].readings", "pairs"),
        (HEAD + BOX.replace("23.64", "25.64"), "DOC007", "box[0]", "above the open-circuit"),
        (HEAD + BOX.replace('"pair"', '"ring"'), "DOC007", "box[0].map", "one of"),
        (TWICE, "DOC007", "box[1].id", "two of the name"),
        (HEAD + '[[box]]\nid = "b"\nmap = "-"\n', "DOC005", "box[0]", '"outputs" is missing'),
        (HEAD + '[[igniter_class]]\nid = "m"\nkind = "electric-match"\nno_fire_A = 2\n'
         "all_fire_A = 1\nall_fire_time_s = 1\n", "DOC007", "igniter_class[0]", "not below"),
    ],
)  # fmt: skip
def test_bad_answers_are_shown_at_their_place(
    tmp_path: Path, text: str, code: str, path: str, words: str
) -> None:
    file = tmp_path / "answers.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        profile_of_answers(file)
    found = caught.value.findings[0]
    assert (found.code, format_path(found.path)) == (code, path)
    assert words in found.message
    assert found.location is not None
    assert found.location.file == str(file)


def test_all_bad_answers_are_shown_at_once(tmp_path: Path) -> None:
    file = tmp_path / "answers.toml"
    file.write_text('[kit]\nid = "a/b"\n[meter]\nleads = "x"\nname = 1\n[lamp]\n', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_answers(file)
    assert [f.code for f in caught.value.findings] == ["DOC007", "DOC007", "DOC004"]


# -- questions -------------------------------------------------------------------------------------


def test_every_question_tells_how_to_find_out() -> None:
    for part in SECTIONS:
        keys = [q.key for q in part.questions]
        assert len(keys) == len(set(keys))
        for question in part.questions:
            assert len(question.help) > 5
            assert not question.prompt.endswith("?")
            assert question.choices or question.form != "choice"
            for other in filter(None, (question.known, (question.only_if or ("",))[0])):
                assert keys.index(other) < keys.index(question.key)


def test_numbers_say_their_unit() -> None:
    bare = {
        f"{part.key}.{q.key}"
        for part in SECTIONS
        for q in part.questions
        if q.form in ("number", "numbers", "quantity", "reading", "readings") and not q.unit
    }
    assert bare == {"igniter_class.burn_open"}  # a ratio


def test_measuring_igniters_comes_with_its_caution() -> None:
    text = section("igniter_class").question("readings").help
    assert "no-fire current" in text
    assert "shield" in text


@given(st.text(max_size=30))
def test_any_text_is_an_answer_or_refused_with_words(text: str) -> None:
    for part in SECTIONS:
        for question in part.questions:
            try:
                kept = question.checked(text)
            except ValueError as error:
                kept, words = None, str(error)
                assert words
            assert kept in (None, text.strip(), *question.choices)


# -- text and file ---------------------------------------------------------------------------------


@given(st.floats(1e-9, 1e6), st.floats(1e-9, 1e3), st.floats(0, 1))
def test_bands_are_rounded_outwards(low: float, width: float, part: float) -> None:
    band = Band(low, low + part * width, low + width)
    data = band_data(band)
    if isinstance(data, dict):
        assert data["min"] <= band.min * (1 + 1e-9)
        assert data["max"] >= band.max * (1 - 1e-9)
        assert data["min"] <= data["typical"] <= data["max"]
        assert data["max"] - data["min"] <= width + 2.1e-3 * band.max
    assert figure(0.0) == 0.0


@given(st.text(alphabet=st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=40))
def test_any_title_survives(title: str) -> None:
    entry = Entry("contact", {"id": "plug", "title": title}, {"rated A": title}, [title or "x"])
    made = Draft({"format": 1, "id": "k", "title": title}, [f"# {title}"], [entry])
    assert tomllib.loads(profile_text(made)) == made.data()


def test_a_file_that_is_there_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "k.toml"
    file.write_text("mine", encoding="utf-8")
    with pytest.raises(FileThereError, match="--force"):
        write_new(file, "new")
    assert file.read_text(encoding="utf-8") == "mine"
    write_new(file, "new", replace=True)
    assert file.read_text(encoding="utf-8") == "new"
    assert os.listdir(tmp_path) == ["k.toml"]


def test_a_memory_stick_without_hard_links_takes_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    file = tmp_path / "k.toml"
    write_new(file, "new")
    assert file.read_text(encoding="utf-8") == "new"
    with pytest.raises(FileThereError, match="--force"):
        write_new(file, "newer")
    assert file.read_text(encoding="utf-8") == "new"
    assert os.listdir(tmp_path) == ["k.toml"]


def test_a_failed_write_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_new(tmp_path / "k.toml", "new")
    assert os.listdir(tmp_path) == []


def test_an_empty_kit_is_a_kit(tmp_path: Path) -> None:
    text = profile_text(draft({"kit": [{"id": "k", "title": UNKNOWN}]}))
    assert kit_of(tmp_path, text).id == "k"
