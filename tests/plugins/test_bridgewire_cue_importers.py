"""The hook `bridgewire_cue_importers`: cue lists of other formats, with places in their file."""

from __future__ import annotations

from pathlib import Path

import pytest

import bridgewire
from bridgewire.diagnostics import Finding
from bridgewire.plugins import load_plugins
from tests.plugins.distributions import install
from tests.plugins.shows import KIT_DIRS, write_show

PLUGIN = """
@hookimpl
def bridgewire_cue_importers(context):
    return [CueImporter("ledger", read, options=("way", "pulse_s"), title="the society's ledger")]


def read(context):
    assert context.show_title == "Case"
    for n, line in enumerate(context.text.splitlines(), start=1):
        if line.startswith("#"):
            continue
        name, _, time = line.partition("@")
        if not time:
            yield ImportProblem(n, "there is no @ in the line", expected="name@seconds")
            continue
        yield ImportedCue(
            {
                "id": name,
                "fire": f"b/1/{context.options.get('way', 1)}",
                "time_s": float(time) if time != "soon" else time,
                "pulse_s": context.options.get("pulse_s", 0.5),
            },
            n,
            places={"time_s": (n, len(name) + 2)},
        )
"""
CUE = '\n[[cue]]\nid = "go"\nfire = "b/1/1"\ntime_s = 1.0\npulse_s = 0.5\n'
LIST = '\n[cue_list]\nfile = "cues.ledger"\nimporter = "ledger"\n'


def show_with(folder: Path, ledger: str | bytes, more: str = LIST) -> Path:
    raw = ledger.encode() if isinstance(ledger, str) else ledger
    (folder / "cues.ledger").write_bytes(raw)
    return write_show(folder, (CUE, "\n"), more=more)


def load(show: Path) -> bridgewire.LoadedShow:
    return bridgewire.load_show(show, kit_dirs=KIT_DIRS)


def refused(show: Path) -> tuple[Finding, ...]:
    with pytest.raises(bridgewire.InputError) as caught:
        load(show)
    return caught.value.findings


def test_cues_of_an_importer(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    options = "[cue_list.options]\npulse_s = 0.7\nway = 1\n"
    loaded = load(show_with(tmp_path, "# ledger\nstars@12.5\nlances@20\n", LIST + options))
    assert [(c.id, c.time_s, c.pulse_s) for c in loaded.show.cue] == [
        ("stars", 12.5, 0.7),
        ("lances", 20.0, 0.7),
    ]
    report = bridgewire.check(loaded)
    assert [c.id for c in report.cues] == ["stars", "lances"]


def test_findings_point_into_the_imported_file(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    show = show_with(tmp_path, "# ledger\nstars@12.5\nlances@12.7\n")
    report = bridgewire.check(load(show))
    places = {
        (f.path, f.location.file, f.location.line)
        for f in report.findings
        if f.path[:1] == ("cue",) and f.location is not None
    }
    assert places
    ledger = str(tmp_path / "cues.ledger")
    assert {place[1:] for place in places} <= {(ledger, 2), (ledger, 3)}


def test_values_are_checked_as_in_a_show(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    (wrong,) = refused(show_with(tmp_path, "stars@1\nlances@soon\n"))
    assert wrong.code == "DOC006"
    assert wrong.location is not None
    assert wrong.location.file == str(tmp_path / "cues.ledger")
    assert (wrong.location.line, wrong.location.column) == (2, 8)
    (wrong,) = refused(show_with(tmp_path, "stars@-1e9\n"))
    assert wrong.code == "DOC007"
    (wrong,) = refused(show_with(tmp_path, "stars@nan\n"))
    assert wrong.path == ("cue", 0, "time_s")


def test_problems_that_the_importer_sees(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    found = refused(show_with(tmp_path, "stars 1\n  lances\n"))
    assert [f.code for f in found] == ["DOC016", "DOC016"]
    assert [f.message for f in found] == ["there is no @ in the line"] * 2
    assert [(f.location.line, f.location.column) for f in found if f.location] == [(1, 1), (2, 3)]
    assert found[0].expected == "name@seconds"


@pytest.mark.parametrize("ledger", ["", "# nothing\n"])
def test_a_file_without_cues(site: Path, tmp_path: Path, ledger: str) -> None:
    install(site, PLUGIN)
    (wrong,) = refused(show_with(tmp_path, ledger))
    assert (wrong.code, wrong.message) == (
        "DOC016",
        "the importer 'ledger' finds no cue in the file",
    )


def test_a_file_that_is_no_text(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    (wrong,) = refused(show_with(tmp_path, b"stars@1\nlan\xffces@2\n"))
    assert wrong.code == "DOC016"
    assert wrong.got == "the byte 0xFF"
    assert wrong.location is not None
    assert (wrong.location.line, wrong.location.column) == (2, 4)


def test_a_stated_encoding_and_a_byte_order_mark(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    latin = LIST + 'encoding = "latin-1"\n'
    loaded = load(show_with(tmp_path, "fl\xe4che@1\n".encode("latin-1"), latin))
    assert loaded.show.cue[0].id == "fl\xe4che"
    loaded = load(show_with(tmp_path, "\ufeffstars@1\n"))
    assert loaded.show.cue[0].id == "stars"


def test_an_importer_of_files_that_are_no_text(site: Path, tmp_path: Path) -> None:
    source = """
    @hookimpl
    def bridgewire_cue_importers(context):
        def read(context):
            return [
                ImportedCue({"id": f"c{n}", "fire": "b/1/1", "time_s": float(byte)}, 1)
                for n, byte in enumerate(context.data)
            ]
        return [CueImporter("ledger", read)]
    """
    install(site, source)
    loaded = load(show_with(tmp_path, b"\xff\x00"))
    assert [(c.id, c.time_s) for c in loaded.show.cue] == [("c0", 255.0), ("c1", 0.0)]


BAD_READS = {
    "raises": ("raise KeyError('sluice')", "failed in importer 'ledger'"),
    "own encoding": ("b'\\xff'.decode()", "failed in importer 'ledger'"),
    "type": ("return ['stars']", "gives from importer 'ledger' (entry 0) an object of type str"),
    "nothing": ("return None", "failed in importer 'ledger'"),
    "line": ("return [ImportedCue({}, 0)]", "the line 0"),
    "column": ("return [ImportedCue({}, 1, 0)]", "the column 0"),
    "fields": ("return [ImportedCue({1: 2}, 1)]", "no mapping of texts to plain values"),
    "value": ("return [ImportedCue({'id': object()}, 1)]", "no mapping of texts to plain values"),
    "circle": ("a = []; a.append(a); return [ImportedCue({'id': a}, 1)]", "plain values"),
    "place": ("return [ImportedCue({}, 1, places={'id': 3})]", "the place 3 of 'id'"),
    "message": ("return [ImportProblem(1, '')]", "a problem without a message"),
}


@pytest.mark.parametrize("case", BAD_READS)
def test_an_importer_that_goes_wrong(site: Path, tmp_path: Path, case: str) -> None:
    body, words = BAD_READS[case]
    source = f"""
    @hookimpl
    def bridgewire_cue_importers(context):
        def read(context):
            {body}

        return [CueImporter("ledger", read)]
    """
    install(site, source)
    (wrong,) = refused(show_with(tmp_path, "stars@1\n"))
    assert wrong.code == "PLG002"
    assert wrong.message.startswith("plugin 'lakeside' (lakeside-plugin 1.2) ")
    assert words in wrong.message


def test_an_importer_that_is_not_there(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN.replace('"ledger"', '"ledgers"'))
    install(site, "raise ValueError('bad day')\n", name="reeds")
    found = refused(show_with(tmp_path, "stars@1\n"))
    assert [f.code for f in found] == ["DOC011", "PLG001"]
    assert found[0].suggestion == "ledgers"
    assert found[0].path == ("cue_list", "importer")


def test_an_option_that_the_importer_does_not_have(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    more = LIST + "options = { ways = 1 }\n"
    (wrong,) = refused(show_with(tmp_path, "stars@1\n", more))
    assert (wrong.code, wrong.suggestion) == ("DOC004", "way")
    assert wrong.path == ("cue_list", "options", "ways")


@pytest.mark.parametrize(
    ("more", "code", "key"),
    [
        (LIST + 'delimiter = ";"\n', "DOC019", "delimiter"),
        (LIST + 'columns = { id = "N" }\n', "DOC019", "columns"),
        (LIST.replace('importer = "ledger"\n', ""), "DOC005", ""),
        (LIST.replace("importer", "columns = { id = 'N' }\noptions = { way = 1 }\n#"), "DOC019",
         "options"),
        (LIST + "options = { way = [1] }\n", "DOC006", "way"),
        (LIST + "options = { way = nan }\n", "DOC007", "way"),
        (LIST.replace('"ledger"', '"The Ledger"'), "DOC007", "importer"),
    ],
)  # fmt: skip
def test_keys_that_do_not_go_together(
    site: Path, tmp_path: Path, more: str, code: str, key: str
) -> None:
    install(site, PLUGIN)
    found = refused(show_with(tmp_path, "stars@1\n", more))
    assert [f.code for f in found] == [code]
    assert not key or found[0].path[-1] == key


def test_without_plugins_nothing_is_imported(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    show = show_with(tmp_path, "stars@1\n")
    with pytest.raises(bridgewire.InputError):
        bridgewire.load_show(show, kit_dirs=KIT_DIRS, plugins=load_plugins(()))
