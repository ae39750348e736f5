"""Good documents: the same model from every format, and bands in every form."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path

import pytest

from bridgewire.documents import toml_survey
from bridgewire.documents.loader import load_document, load_kit, load_show
from bridgewire.documents.yaml_format import parse_yaml, resolve_plain
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, CapacitorSupply, RegulatedSupply
from tests.documents.formats import ENDINGS, write

GOOD = Path(__file__).parent / "good"


def test_the_sketch_loads() -> None:
    show, document = load_show(GOOD / "sketch.toml")
    assert show.title == "Regatta Night"
    assert show.kits == ("harrowmere", "generic")
    assert show.site.ambient_C == Band(-2, 6, 12)
    assert show.run[1].from_ == "jetty-1"
    assert show.igniter[0].class_ == "generic:clip-on-short"
    assert show.cue[0].effect_at_s == 61.5
    assert show.cue[0].together is True
    raw = (GOOD / "sketch.toml").read_bytes()
    assert document.sha256 == hashlib.sha256(raw).hexdigest()


@pytest.mark.parametrize("name", ["sketch", "band-forms"])
@pytest.mark.parametrize("ending", ENDINGS)
def test_a_show_is_the_same_in_every_format(tmp_path: Path, name: str, ending: str) -> None:
    data = tomllib.loads((GOOD / f"{name}.toml").read_text(encoding="utf-8"))
    show, document = load_show(write(tmp_path, name, data, ending))
    assert document.data == data
    assert show == load_show(GOOD / f"{name}.toml")[0]


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_kit_is_the_same_in_every_format(tmp_path: Path, ending: str) -> None:
    original = GOOD / "kit-all-supplies.toml"
    data = tomllib.loads(original.read_text(encoding="utf-8"))
    kit, document = load_kit(write(tmp_path, "kit", data, ending))
    assert document.data == data
    assert kit == load_kit(original)[0]


def test_supplies_are_told_apart_by_kind() -> None:
    kit, _ = load_kit(GOOD / "kit-all-supplies.toml")
    heron, teal, bench = kit.box
    assert isinstance(heron.supply, BatterySupply)
    assert isinstance(teal.supply, CapacitorSupply)
    assert isinstance(bench.supply, RegulatedSupply)
    assert [p.at_C for p in heron.supply.cold_curve] == [-10.0, 20.0]
    assert bench.supply.limit is not None
    assert bench.supply.limit.short_circuit_A == Band(1, 1, 1)
    assert heron.pulses is not None
    assert heron.pulses.offered_s == (0.5, 1.0, 2.0)


def test_bands_in_every_form() -> None:
    show, _ = load_show(GOOD / "band-forms.toml")
    assert show.site.ambient_C == Band(3, 3, 3)
    assert show.site.ambient_C is not None
    assert not show.site.ambient_C.stated
    assert show.box[0].supply_V == Band(23.5, 24, 24.5)
    assert show.box[0].supply_V is not None
    assert show.box[0].supply_V.stated
    # An end that is left out mirrors the other, as far as the range of the key goes.
    assert show.box[0].charge_pct == Band(80, 95, 100)
    lengths = [r.length_m for r in show.run]
    assert lengths == [Band(18, 20, 22), Band(10, 11, 12), Band(0, 5, 12), Band(1, 2, 4),
                       Band(2, 2, 2)]  # fmt: skip
    assert lengths[4] is not None
    assert not lengths[4].stated


def test_numbers_are_floats_where_the_model_says_so(tmp_path: Path) -> None:
    data = {"format": 1, "title": "x", "kits": [], "position": [{"id": "a", "at_m": [1, 2]}]}
    show, _ = load_show(write(tmp_path, "x", data, "toml"))
    assert [type(v) for v in show.position[0].at_m] == [float, float]


def test_a_clean_document_is_not_walked_for_places(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(utf8: bytes) -> None:
        raise AssertionError("walked")

    monkeypatch.setattr(toml_survey, "Survey", fail)
    _, document = load_show(GOOD / "sketch.toml")
    with pytest.raises(AssertionError, match="walked"):
        document.spans.locate(("title",))


def test_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"\xef\xbb\xbfx = 1\n")
    document = load_document(file)
    assert document.data == {"x": 1}
    assert document.spans.locate(("x",)).column == 5


@pytest.mark.parametrize(
    ("text", "value"),
    [
        # YAML 1.2.2, section 10.3.2, core schema tag resolution
        ("", None), ("null", None), ("~", None), ("true", True), ("FALSE", False),
        ("0", 0), ("0o7", 7), ("0x3A", 58), ("-19", -19),
        ("0.", 0.0), ("-0.0", 0.0), (".5", 0.5), ("+12e03", 12000.0), ("-2E+05", -200000.0),
        ("+.inf", float("inf")), ("-.Inf", -float("inf")),
        # what YAML 1.1 would have turned into something else
        ("yes", "yes"), ("On", "On"), ("n", "n"), ("12:30:45", "12:30:45"), ("1_000", "1_000"),
        ("0b1", "0b1"), ("2026-01-01", "2026-01-01"), ("<<", "<<"), ("=", "="),
    ],
)  # fmt: skip
def test_plain_yaml_scalars(text: str, value: object) -> None:
    found = resolve_plain(text)
    assert found == value
    assert type(found) is type(value)


def test_quoted_yaml_scalars_are_strings() -> None:
    assert parse_yaml("a: '1'\nb: \"true\"\nc: !!str 5\nd: !!float 5\n").data == {
        "a": "1",
        "b": "true",
        "c": "5",
        "d": 5,
    }


def test_all_shipped_profiles_load() -> None:
    folder = Path(__file__).parents[2] / "profiles"
    files = sorted(folder.glob("*.toml"))
    assert files
    for file in files:
        assert load_kit(file)[0].id == file.stem
