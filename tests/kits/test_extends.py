"""Kit profiles that extend others: values field by field, and where each one stands."""

from __future__ import annotations

import copy
import json
import tempfile
from pathlib import Path
from textwrap import dedent
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.diagnostics import Finding, format_path
from bridgewire.documents.parsed import no_places
from bridgewire.documents.schema import schema_of
from bridgewire.documents.source import SourceMap
from bridgewire.errors import InputError
from bridgewire.kits.discovery import LoadedKit, find_kits, list_kits, load_kit_file
from bridgewire.kits.overlay import Layer, Origin, merged_entry
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, CableSpec, RegulatedSupply

HOUSE = """\
    format = 1
    id = "house"
    title = "what the whole club has"

    [[contact]]
    id = "plug"
    contact_ohm = { typical = 0.02, tol = 0.01 }
    rated_A = 5

    [[cable]]
    id = "reel"
    metal = "copper"
    stranding = "solid"
    conductors = 8
    gauge_awg = 24
    ohm_per_m = { min = 0.08, typical = 0.085, max = 0.09 }
    rated_A = 2
    max_length_m = 50
    [cable.sources]
    ohm_per_m = "measured"
    "*" = "label"

    [[strip]]
    id = "strip"
    ways = 8
    inlet_contact = "plug"
    terminal_contact = "plug"
    inner_ohm = 0.01

    [[box]]
    id = "heron"
    outputs = 4
    ways = 8
    output_contact = "plug"
    [box.path]
    map = "matrix"
    rows = 4
    columns = 4
    [box.supply]
    kind = "battery"
    open_circuit_V = 21
    internal_ohm = { typical = 0.3, tol = 0.1 }
    capacity_Ah = 7
    [box.pulses]
    offered_s = [0.5, 1]
    [box.hold_off]
    scope = "way"
    time_s = 0.5
    [box.sources]
    supply = "bench"
    "hold_off.time_s" = "manual"

    [[igniter_class]]
    id = "wire"
    kind = "clip-on-nichrome"
    bridge_ohm = 1.7
    heat_capacity_J_per_K = 0.006
    loss_W_per_K = 0.002
    lit_C = 700
    after_fire = "residual"
    after_fire_ohm = 30
    """


def write(folder: Path, name: str, text: str) -> Path:
    path = folder / f"{name}.toml"
    path.write_text(dedent(text), encoding="utf-8")
    return path


def load(folder: Path, own: str, **others: str) -> LoadedKit:
    """Load a profile ``mine`` beside ``house`` and others."""
    write(folder, "house", HOUSE)
    for name, text in others.items():
        write(folder, name, f'format = 1\nid = "{name}"\n' + dedent(text))
    write(folder, "mine", 'format = 1\nid = "mine"\n' + dedent(own))
    return find_kits(["mine"], [folder])["mine"]


def problems(folder: Path, own: str, **others: str) -> tuple[Finding, ...]:
    with pytest.raises(InputError) as caught:
        load(folder, own, **others)
    return caught.value.findings


def line_of(folder: Path, name: str, text: str) -> int:
    lines = (folder / f"{name}.toml").read_text(encoding="utf-8").splitlines()
    (number,) = [n for n, line in enumerate(lines, 1) if line.startswith(text)]
    return number


# -- what is taken over -------------------------------------------------------------------------


def test_a_profile_holds_all_entries_of_the_one_it_extends(tmp_path: Path) -> None:
    loaded = load(tmp_path, 'extends = "house"\n[[contact]]\nid = "clamp"\n')
    house = find_kits(["house"], [tmp_path])["house"]
    kit = loaded.kit
    assert kit.id == "mine"
    assert kit.title == ""
    assert kit.extends == ("house",)
    assert [c.id for c in kit.contact] == ["plug", "clamp"]
    # Sources are written out value by value, so the entries are the same without them.
    assert kit.box[0].supply == house.kit.box[0].supply
    assert kit.cable[0].ohm_per_m == house.kit.cable[0].ohm_per_m
    assert loaded.extended
    assert not house.extended


def test_own_entries_of_the_same_id_go_over_it_field_by_field(tmp_path: Path) -> None:
    loaded = load(
        tmp_path,
        """
        extends = "house"
        [[box]]
        id = "heron"
        outputs = 2
        [box.supply]
        internal_ohm = 0.25
        [box.hold_off]
        time_s = 0.7
        """,
    )
    (box,) = loaded.kit.box
    assert (box.outputs, box.ways) == (2, 8)
    assert isinstance(box.supply, BatterySupply)
    assert box.supply.internal_ohm == Band(0.25, 0.25, 0.25)
    assert box.supply.open_circuit_V == Band(21, 21, 21)
    assert box.hold_off is not None
    assert (box.hold_off.scope, box.hold_off.time_s) == ("way", 0.7)


def test_an_entry_starts_from_one_of_another_profile(tmp_path: Path) -> None:
    loaded = load(
        tmp_path, '[[cable]]\nid = "short-reel"\nextends = "house:reel"\nmax_length_m = 20\n'
    )
    (cable,) = loaded.kit.cable
    assert cable.id == "short-reel"
    assert cable.extends == "house:reel"
    assert cable.max_length_m == 20
    assert cable.ohm_per_m == Band(0.08, 0.085, 0.09)
    assert loaded.kit.box == ()


def test_an_entry_starts_from_one_of_its_own_profile_or_the_extended_one(tmp_path: Path) -> None:
    loaded = load(
        tmp_path,
        """
        extends = "house"
        [[cable]]
        id = "b"
        extends = "a"
        max_length_m = 10
        [[cable]]
        id = "a"
        extends = "reel"
        conductors = 2
        """,
    )
    reel, b, a = loaded.kit.cable
    assert [c.id for c in (reel, b, a)] == ["reel", "b", "a"]
    assert (b.conductors, b.max_length_m, b.gauge_awg) == (2, 10, 24)
    assert (a.conductors, a.max_length_m) == (2, 50)


def test_chains_of_profiles(tmp_path: Path) -> None:
    loaded = load(
        tmp_path,
        'extends = "middle"\n[[contact]]\nid = "plug"\nrated_A = 4\n',
        middle='extends = "house"\n[[contact]]\nid = "plug"\ncontact_ohm = 0.05\nrated_A = 3\n',
    )
    (plug,) = loaded.kit.contact
    assert (plug.contact_ohm, plug.rated_A) == (Band(0.05, 0.05, 0.05), 4)
    assert loaded.origin_of(("contact", 0, "contact_ohm")).kit_id == "middle"


def test_in_a_diamond_a_change_beats_what_both_arms_share(tmp_path: Path) -> None:
    arms = {
        "left": 'extends = "house"\n[[contact]]\nid = "plug"\ncontact_ohm = 0.05\n',
        "right": 'extends = "house"\n[[contact]]\nid = "plug"\nrated_A = 3\n',
    }
    for order in ('["left", "right"]', '["right", "left"]'):
        loaded = load(tmp_path, f"extends = {order}\n", **arms)
        (plug,) = loaded.kit.contact
        assert plug.contact_ohm == Band(0.05, 0.05, 0.05)
        assert plug.rated_A == 3


def test_of_two_profiles_the_first_goes_first(tmp_path: Path) -> None:
    arms = {n: f'[[contact]]\nid = "c"\nrated_A = {a}\n' for n, a in (("left", 1), ("right", 2))}
    assert load(tmp_path, 'extends = ["left", "right"]\n', **arms).kit.contact[0].rated_A == 1
    assert load(tmp_path, 'extends = ["right", "left"]\n', **arms).kit.contact[0].rated_A == 2


def test_an_entry_and_its_profile_may_both_reach_one_entry(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[contact]]\nid = "plug"\nextends = "other:c"\n'
    other = '[[contact]]\nid = "c"\nextends = "house:plug"\nrated_A = 1\n'
    (plug,) = load(tmp_path, own, other=other).kit.contact
    assert (plug.contact_ohm, plug.rated_A) == (Band(0.01, 0.02, 0.03), 1)


def test_contacts_named_by_an_inherited_entry_come_along(tmp_path: Path) -> None:
    own = '[[strip]]\nid = "short"\nextends = "house:strip"\nways = 4\n'
    loaded = load(tmp_path, own)
    assert [c.id for c in loaded.kit.contact] == ["plug"]
    assert loaded.origin_of(("contact", 0, "rated_A")).kit_id == "house"
    changed = load(tmp_path, own + '[[contact]]\nid = "plug"\nrated_A = 1\n')
    assert [c.rated_A for c in changed.kit.contact] == [1]


# -- what does not simply follow the field ---------------------------------------------------------


def test_another_kind_of_supply_replaces_the_table(tmp_path: Path) -> None:
    loaded = load(
        tmp_path,
        """
        extends = "house"
        [[box]]
        id = "heron"
        [box.supply]
        kind = "regulated"
        open_circuit_V = 24
        """,
    )
    supply = loaded.kit.box[0].supply
    assert supply == RegulatedSupply("regulated", open_circuit_V=Band(24, 24, 24))
    assert "supply.open_circuit_V" not in loaded.kit.box[0].sources


def test_another_path_map_replaces_the_table(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[box]]\nid = "heron"\npath = { map = "pair" }\n'
    assert load(tmp_path, own).kit.box[0].path.rows is None


def test_a_band_is_one_value(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[contact]]\nid = "plug"\ncontact_ohm = { min = 0.03, max = 0.05 }\n'
    assert load(tmp_path, own).kit.contact[0].contact_ohm == Band(0.03, 0.04, 0.05)


def test_another_gauge_voids_resistance_and_rating(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[cable]]\nid = "reel"\ngauge_awg = 26\n'
    cable = load(tmp_path, own).kit.cable[0]
    assert (cable.gauge_awg, cable.ohm_per_m, cable.rated_A) == (26, None, None)
    assert cable.max_length_m == 50
    same = load(tmp_path, own.replace("26", "24")).kit.cable[0]
    assert same.ohm_per_m is not None


def test_an_area_replaces_a_gauge(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[cable]]\nid = "reel"\narea_mm2 = 0.5\n'
    assert load(tmp_path, own).kit.cable[0].gauge_awg is None


def test_a_range_of_pulses_replaces_a_list(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[box]]\nid = "heron"\npulses = { min_s = 0.1, max_s = 2 }\n'
    pulses = load(tmp_path, own).kit.box[0].pulses
    assert pulses is not None
    assert (pulses.offered_s, pulses.max_s) == ((), 2)


def test_another_form_of_heating_data_voids_the_old_one(tmp_path: Path) -> None:
    """Thermal data would win over the threshold that was measured later."""
    own = 'extends = "house"\n[[igniter_class]]\nid = "wire"\nthreshold_A = 0.9\ntau_s = 2\n'
    wire = load(tmp_path, own).kit.igniter_class[0]
    assert wire.heat_capacity_J_per_K is None
    assert wire.loss_W_per_K is None
    assert wire.threshold_A == Band(0.9, 0.9, 0.9)


def test_another_state_after_firing_voids_its_resistance(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[igniter_class]]\nid = "wire"\nafter_fire = "shorted"\n'
    assert load(tmp_path, own).kit.igniter_class[0].after_fire_ohm is None


# -- sources and origins ---------------------------------------------------------------------------


def test_sources_follow_their_values(tmp_path: Path) -> None:
    loaded = load(
        tmp_path,
        """
        extends = "house"
        [[cable]]
        id = "reel"
        rated_A = 1.5
        [cable.sources]
        max_length_m = "tape"
        [[box]]
        id = "heron"
        [box.supply]
        internal_ohm = 0.2
        """,
    )
    sources = loaded.kit.cable[0].sources
    assert sources["ohm_per_m"] == "measured"
    assert sources["gauge_awg"] == "label"
    assert sources["max_length_m"] == "tape"  # a source for a value that is taken over
    assert "rated_A" not in sources  # the label said nothing of 1.5
    assert "*" not in sources
    box = loaded.kit.box[0].sources
    assert box["supply.open_circuit_V"] == "bench"
    assert "supply.internal_ohm" not in box
    assert box["hold_off.time_s"] == "manual"


def test_a_profile_that_extends_nothing_is_left_as_it_is(tmp_path: Path) -> None:
    write(tmp_path, "house", HOUSE)
    loaded = find_kits(["house"], [tmp_path])["house"]
    assert loaded.kit.cable[0].sources == {"ohm_per_m": "measured", "*": "label"}
    assert loaded.origin_of(("cable", 0, "rated_A")).kit_id == "house"
    assert set(loaded.origins) >= {("id",), ("cable", 0, "ohm_per_m"), ("box", 0, "path", "map")}


def test_every_value_knows_where_it_stands(tmp_path: Path) -> None:
    loaded = load(
        tmp_path,
        """
        extends = "house"
        [[box]]
        id = "heron"
        [box.supply]
        internal_ohm = 0.25
        """,
    )
    index = {"internal_ohm": "mine", "capacity_Ah": "house", "kind": "house"}
    for key, kit in index.items():
        origin = loaded.origin_of(("box", 0, "supply", key))
        assert origin.kit_id == kit
        assert origin.file == str(tmp_path / f"{kit}.toml")
        wanted = f"{key} =" if key != "kind" else 'kind = "battery"'
        assert origin.line == line_of(tmp_path, kit, wanted)
    by_kit = {format_path(p) for p, o in loaded.origins.items() if o.kit_id == "mine"}
    assert by_kit == {"format", "id", "extends", "box[0].id", "box[0].supply.internal_ohm"}
    assert str(loaded.origins["box", 0, "supply", "capacity_Ah"]).startswith("house (")


def test_the_document_names_the_files_taken_in(tmp_path: Path) -> None:
    loaded = load(tmp_path, 'extends = "house"\n')
    house = find_kits(["house"], [tmp_path])["house"]
    assert loaded.document.included == ((house.document.file, house.document.sha256),)
    assert loaded.document.file == str(tmp_path / "mine.toml")


def test_a_missing_value_of_an_inherited_entry_points_at_the_own_entry(tmp_path: Path) -> None:
    own = 'extends = "house"\n[[contact]]\nid = "plug"\nrated_A = 4\n'
    place = load(tmp_path, own).document.spans.locate(("contact", 0))
    assert (Path(place.file).stem, place.line) == ("mine", line_of(tmp_path, "mine", "[[contact]]"))


# -- what is wrong ---------------------------------------------------------------------------------


def test_a_wrong_inherited_value_points_at_the_file_where_it_stands(tmp_path: Path) -> None:
    found = problems(
        tmp_path,
        'extends = "odd"\n[[contact]]\nid = "c"\nrated_A = 2\n',
        odd='[[contact]]\nid = "c"\ncontact_ohm = "0.1"\ncolour = "red"\n',
    )
    assert [(f.code, Path(f.location.file).name, f.location.line) for f in found if f.location] == [
        ("DOC006", "odd.toml", 5),
        ("DOC004", "odd.toml", 6),
    ]


def test_a_key_that_no_layer_states_is_missing_at_the_own_entry(tmp_path: Path) -> None:
    (found,) = problems(tmp_path, '[[cable]]\nid = "x"\nextends = "y"\n[[cable]]\nid = "y"\n'
                        'metal = "copper"\nconductors = 2\n')[:1]  # fmt: skip
    assert found.code == "DOC005"
    assert found.location is not None
    assert (Path(found.location.file).name, found.location.line) == ("mine.toml", 3)


@pytest.mark.parametrize(
    ("own", "path", "suggestion"),
    [
        ('extends = "hause"\n', "extends", "house"),
        ('extends = ["house", "hause"]\n', "extends[1]", "house"),
        ('[[cable]]\nid = "a"\nextends = "hause:reel"\n', "cable[0].extends", "house"),
        ('[[cable]]\nid = "a"\nextends = "house:real"\n', "cable[0].extends", "house:reel"),
        ('extends = "house"\n[[cable]]\nid = "a"\nextends = "real"\n', "cable[0].extends", "reel"),
    ],
)
def test_what_is_not_there_is_reported_where_it_is_named(
    tmp_path: Path, own: str, path: str, suggestion: str
) -> None:
    (found,) = problems(tmp_path, own)
    assert (found.code, found.document) == ("DOC011", "kit:mine")
    assert format_path(found.path) == path
    assert found.suggestion == suggestion
    assert found.location is not None
    assert "extends" in found.location.snippet


def test_a_circle_of_profiles_is_named(tmp_path: Path) -> None:
    (found,) = problems(tmp_path, 'extends = "a"\n', a='extends = "b"\n', b='extends = "a"\n')
    assert found.code == "DOC024"
    assert "a -> b -> a" in found.message
    assert found.location is not None
    assert (Path(found.location.file).name, found.location.line) == ("b.toml", 3)


def test_a_profile_that_extends_itself(tmp_path: Path) -> None:
    (found,) = problems(tmp_path, 'extends = "mine"\n')
    assert found.message == "'mine' extends itself"
    assert found.got == "mine -> mine"


@pytest.mark.parametrize(
    ("own", "loop"),
    [
        (
            '[[contact]]\nid = "a"\nextends = "b"\n[[contact]]\nid = "b"\nextends = "a"\n',
            "mine:a -> mine:b -> mine:a",
        ),
        ('[[contact]]\nid = "a"\nextends = "a"\n', "mine:a -> mine:a"),
        ('[[contact]]\nid = "a"\nextends = "other:c"\n', "mine:a -> other:c -> mine:a"),
    ],
)
def test_a_circle_of_entries_is_named_once(tmp_path: Path, own: str, loop: str) -> None:
    other = '[[contact]]\nid = "c"\nextends = "mine:a"\n'
    (found,) = problems(tmp_path, own, other=other)
    assert found.code == "DOC024"
    assert found.got == loop
    assert loop in found.message or found.message == "'mine:a' extends itself"


def test_a_profile_with_a_broken_base_shows_what_is_broken(tmp_path: Path) -> None:
    found = problems(tmp_path, 'extends = "bad"\n', bad="title = \n")
    assert [f.code for f in found] == ["DOC002"]
    assert found[0].location is not None
    assert Path(found[0].location.file).name == "bad.toml"


def test_two_files_for_an_extended_id_are_shown(tmp_path: Path) -> None:
    write(tmp_path, "copy", HOUSE)
    found = problems(tmp_path, 'extends = "house"\n')
    assert [f.code for f in found] == ["DOC018", "DOC018"]
    assert {Path(f.location.file).name for f in found if f.location} == {"house.toml", "copy.toml"}


def test_problems_of_a_base_are_told_once(tmp_path: Path) -> None:
    write(tmp_path, "base", 'format = 1\nid = "base"\n[[contact]]\nid = "c"\nrated_A = -1\n')
    for name in ("one", "two"):
        write(tmp_path, name, f'format = 1\nid = "{name}"\nextends = "base"\n')
    with pytest.raises(InputError) as caught:
        list_kits([tmp_path])
    assert [f.code for f in caught.value.findings] == ["DOC007"]


@pytest.mark.parametrize("text", ["extends = 5", 'extends = ["house", 5]', "contact = 5"])
def test_wrong_types_are_reported(tmp_path: Path, text: str) -> None:
    found = problems(tmp_path, f'{text}\n[[cable]]\nid = "a"\nextends = "house:reel"\n')
    assert [f.code for f in found] == ["DOC006"]


def test_a_very_long_chain_is_refused_in_words(tmp_path: Path) -> None:
    entries = "".join(
        f'[[contact]]\nid = "c{n}"\nextends = "c{n + 1}"\n' for n in range(3000)
    ) + '[[contact]]\nid = "c3000"\n'  # fmt: skip
    (found,) = problems(tmp_path, entries)
    assert found.code == "DOC009"
    chain = {f"k{n}": f'extends = "k{n + 1}"\n' for n in range(80)}
    (found,) = problems(tmp_path, 'extends = "k0"\n', **chain, k80="")
    assert found.code == "DOC009"


def test_many_roads_to_one_profile_take_no_time(tmp_path: Path) -> None:
    """Thirty diamonds on top of one another: two to the power of thirty roads."""
    kits = {f"{arm}{n}": f'extends = ["a{n + 1}", "b{n + 1}"]\n' for n in range(30) for arm in "ab"}
    ends = {f"{arm}30": '[[contact]]\nid = "c"\nrated_A = 1\n' for arm in "ab"}
    assert load(tmp_path, 'extends = ["a0", "b0"]\n', **kits, **ends).kit.contact[0].rated_A == 1


ODD: list[Any] = [
    "house",
    "mine",
    "house:reel",
    "mine:a",
    ":",
    "a:",
    5,
    None,
    True,
    [],
    {},
    ["house"],
]
ENTRY = st.one_of(
    st.sampled_from([5, "x", None, []]),
    st.fixed_dictionaries(
        {},
        optional={
            "id": st.sampled_from(["a", "b", "reel", "plug", 5, None]),
            "extends": st.sampled_from([*ODD, "a", "b", "plug"]),
            "sources": st.sampled_from([5, {"*": "x"}, {"rated_A": 5}, {}]),
            "rated_A": st.sampled_from([1, "1", {}, {"min": 1}]),
            "supply": st.sampled_from([5, {}, {"kind": "battery"}, {"kind": 5}, {"kind": []}]),
            "path": st.sampled_from([5, {"map": "pair"}, {"map": {}}]),
        },
    ),
)
ENTRIES = st.one_of(st.sampled_from([5, {}, None]), st.lists(ENTRY, max_size=4))


@settings(max_examples=150, deadline=None)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "extends": st.sampled_from([*ODD, ["house", "other"], ["mine"], [5]]),
            "contact": ENTRIES,
            "cable": ENTRIES,
            "box": ENTRIES,
            "strip": ENTRIES,
        },
    ),
    st.fixed_dictionaries({}, optional={"extends": st.sampled_from(ODD), "contact": ENTRIES}),
)
def test_whatever_is_written_only_findings_come_out(
    mine: dict[str, Any], other: dict[str, Any]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write(folder, "house", HOUSE)
        for kit_id, data in (("mine", mine), ("other", other)):
            text = json.dumps({"format": 1, "id": kit_id, **data})
            (folder / f"{kit_id}.json").write_text(text, encoding="utf-8")
        found: tuple[Finding, ...] = ()
        origins: list[int] = []
        try:
            loaded = find_kits(["mine"], [folder])["mine"]
            origins = [o.line for o in loaded.origins.values()]
        except InputError as error:
            found = error.findings
        assert found or origins
        assert all(f.location is not None for f in found)
        assert all(line >= 1 for line in origins)


# -- other ways in ---------------------------------------------------------------------------------


def test_a_file_is_loaded_with_the_folder_it_is_in(tmp_path: Path) -> None:
    load(tmp_path, 'extends = "house"\n')
    assert load_kit_file(tmp_path / "mine.toml").kit.cable[0].id == "reel"


def test_the_shipped_profiles_can_be_extended(tmp_path: Path) -> None:
    write(tmp_path, "club", 'format = 1\nid = "club"\nextends = ["harrowmere", "generic"]\n')
    loaded = load_kit_file(tmp_path / "club.toml")
    shipped = list_kits([Path(__file__).parents[2] / "profiles"])
    want = {c.id for k in ("harrowmere", "generic") for c in shipped[k].kit.cable}
    assert {c.id for c in loaded.kit.cable} == want


def test_the_schema_lets_extending_entries_leave_things_out() -> None:
    validator = jsonschema.Draft202012Validator(schema_of("kit"))
    bare: dict[str, Any] = {"format": 1, "id": "mine", "box": [{"id": "b", "supply": {}}]}
    assert not validator.is_valid(bare)
    entry = copy.deepcopy(bare)
    entry["box"][0]["extends"] = "house:heron"
    assert validator.is_valid(entry)
    assert validator.is_valid({**bare, "extends": "house"})
    assert validator.is_valid({**bare, "extends": ["house"]})
    entry["box"][0]["supply"]["volts"] = 12
    assert not validator.is_valid(entry)


SPANS = SourceMap("a.toml", "", no_places)
FIELDS = {
    "conductors": st.integers(1, 9),
    "rated_A": st.floats(0.1, 9),
    "title": st.text(max_size=3),
    "insulation": st.sampled_from(["xlpe", "silicone"]),
}


@given(st.lists(st.fixed_dictionaries({}, optional=FIELDS), min_size=1, max_size=5))
def test_layers_add_up_like_dictionaries(tables: list[dict[str, Any]]) -> None:
    """Without nested tables and voided keys a merge is a plain update, and the place is the
    last layer that states the key."""
    layers = [
        Layer(Origin(f"k{n}", "a.toml", SPANS), ("cable", n), table)
        for n, table in enumerate(tables)
    ]
    wanted: dict[str, Any] = {}
    last: dict[str, int] = {}
    for n, table in enumerate(tables):
        wanted.update(table)
        last.update(dict.fromkeys(table, n))
    data, places = merged_entry(CableSpec, layers)
    assert data == wanted
    for key, n in last.items():
        assert places[key,].origin.kit_id == f"k{n}"
        assert places[key,].path == ("cable", n, key)
