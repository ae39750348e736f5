"""Files that are huge, deep, damaged, elsewhere or no files: refused, soon, in little memory.

Every reader of the command line gets every one of them.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from bridgewire.api import load_show
from bridgewire.cli.main import run
from bridgewire.cli.show_files import shows_below
from bridgewire.documents.document_kind import document_kind
from bridgewire.documents.limits import (
    MAX_BRIDGES_ON_WAY,
    MAX_BYTES,
    MAX_FINDINGS,
    MAX_PULSES,
    MAX_RESULT_ROWS,
    MAX_TEXT,
)
from bridgewire.documents.loader import load_bench, load_document
from bridgewire.documents.loader import load_show as read_show
from bridgewire.documents.readings_csv import read_readings
from bridgewire.errors import InputError
from bridgewire.kits.heads import id_at_head
from tests.fuzz.targets import BY_NAME, RECORD_WITH_RESULTS, feed, place_for
from tests.security.hostile import EXAMPLES

SMALL = EXAMPLES / "midwinter-small.toml"
READERS: dict[str, tuple[str, Callable[[str], list[str]]]] = {
    "show": (".toml", lambda f: ["check", f]),
    "show json": (".json", lambda f: ["odds", f]),
    "show yaml": (".yaml", lambda f: ["supply", f]),
    "show to advise": (".toml", lambda f: ["advise", f]),
    "show to vary": (".toml", lambda f: ["whatif", f, "--set", "site.ambient_C=1"]),
    "show to trace": (".toml", lambda f: ["trace", f, "x"]),
    "sheets": (".toml", lambda f: ["sheets", f, "--folder", f + ".out"]),
    "old show": (".toml", lambda f: ["diff", f, str(SMALL)]),
    "new show": (".toml", lambda f: ["diff", str(SMALL), f]),
    "readings": (".csv", lambda f: ["readings", str(SMALL), f]),
    "kit": (".toml", lambda f: ["kits", "validate", f]),
    "answers": (".toml", lambda f: ["kits", "new", "--answers", f, "--output", f + ".kit.toml"]),
    "baseline": (".toml", lambda f: ["check", str(SMALL), "--baseline", f]),
    "old baseline": (".toml", lambda f: ["baseline", "prune", str(SMALL), "--baseline", f]),
    "record": (".toml", lambda f: ["bench", "check", f]),
    "record to fit": (".toml", lambda f: ["bench", "fit", f]),
    "trials": (".csv", lambda f: ["bench", "sensitivity", f]),
    "site": (".toml", lambda f: ["plan", f, "--seconds", "1"]),
}


def huge(path: Path) -> None:
    with path.open("wb") as stream:
        stream.truncate(3_000_000_000)  # of zero bytes that take no room


def commas(path: Path) -> None:
    path.write_bytes(b"a," * 2_000_000)


def long_line(path: Path) -> None:
    path.write_bytes(b"a" * (MAX_BYTES // 10))


def quotes(path: Path) -> None:
    path.write_bytes(b"a = [ " + b'\\"' * 200_000)


def brackets(path: Path) -> None:
    path.write_bytes(b"a = " + b"[" * 1_000_000)


def zeros(path: Path) -> None:
    path.write_bytes(b"format = 1\n\0\n")


def not_utf8(path: Path) -> None:
    path.write_bytes(b"format = 1 # \xff\xfe\n")


def utf16(path: Path) -> None:
    path.write_bytes("format = 1\n".encode("utf-16"))


def only_a_mark(path: Path) -> None:
    path.write_bytes(b"\xef\xbb\xbf")


def noise(path: Path) -> None:
    path.write_bytes(bytes(range(1, 256)) * 40)


def bidi(path: Path) -> None:
    path.write_text("\u202e\u2066\x9b31m\x1b]0;x\x07 = 1\n", encoding="utf-8")


def folder(path: Path) -> None:
    path.mkdir()


def pipe(path: Path) -> None:
    os.mkfifo(path)


def device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def circle(path: Path) -> None:
    path.symlink_to(path)


def nothing(path: Path) -> None:
    return


HOSTILE = (huge, commas, long_line, quotes, brackets, zeros, not_utf8, utf16, only_a_mark, noise,
           bidi, folder, pipe, device, circle, nothing)  # fmt: skip


@pytest.mark.parametrize("make", HOSTILE, ids=lambda m: m.__name__)
def test_every_reader_refuses(
    tmp_path: Path,
    make: Callable[[Path], None],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("BRIDGEWIRE_PLUGINS", "none")
    for number, (name, (ending, line)) in enumerate(READERS.items()):
        path = tmp_path / f"{number}{ending}"
        make(path)
        capsys.readouterr()
        started = time.process_time()
        code = run(line(str(path)))
        said = capsys.readouterr()
        assert code == 2, (name, said)
        assert time.process_time() - started < 15.0, name
        assert "internal error" not in said.err, name
        assert path.name.rsplit(".")[0] in said.err or make is folder, (name, said.err)
        assert all(c.isprintable() or c in "\n\xa0" for c in said.err + said.out), name
        assert len(said.err) < 200_000, name


@pytest.mark.parametrize("make", [huge, commas, quotes, brackets, device])
def test_little_memory(tmp_path: Path, make: Callable[[Path], None]) -> None:
    path = tmp_path / "x.toml"
    make(path)
    tracemalloc.start()
    try:
        with pytest.raises(InputError):
            load_document(path)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 120_000_000


def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text("format = 1\n", encoding="utf-8")
    path.chmod(0)
    if os.geteuid() == 0:  # root may read everything; as somebody else it cannot
        tmp_path.chmod(0o755)
        code = (
            "import os, sys; from bridgewire.cli.main import run; run(['check', sys.argv[2]]); "
            "os.setgid(65534); os.setuid(65534); sys.exit(run(['check', sys.argv[1]]))"
        )
        ran = subprocess.run(
            [sys.executable, "-c", code, str(path), str(tmp_path / "none.toml")],
            capture_output=True, text=True, timeout=60, check=False,
            env={**os.environ, "BRIDGEWIRE_PLUGINS": "none"},
        )  # fmt: skip
        assert ran.returncode == 2, ran.stderr
        assert "permission denied" in ran.stderr.lower()
        assert "internal error" not in ran.stderr
    else:
        assert run(["check", str(path)]) == 2


def test_yaml_that_doubles_itself(tmp_path: Path) -> None:
    path = tmp_path / "bomb.yaml"
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 40)]
    path.write_text("\n".join(lines), encoding="utf-8")
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        load_document(path)
    assert caught.value.findings[0].code == "DOC009"
    assert time.process_time() - started < 2.0


def test_yaml_merge_keys_and_tags_make_nothing(tmp_path: Path) -> None:
    path = tmp_path / "tag.yaml"
    path.write_text("a: !!python/object/apply:os.system ['touch /tmp/never']\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_document(path)
    assert caught.value.findings[0].code == "DOC002"


# ------------------------------------------------------------------ time that grew with a square


@pytest.mark.parametrize("ending", [".toml", ".json"])
def test_escaped_quotes_take_no_longer_than_their_number(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"x{ending}"
    path.write_text("a = [ " + '\\"' * 240_000 + "NaN", encoding="utf-8")
    started = time.process_time()
    with pytest.raises(InputError):
        load_document(path)
    document_kind(path)
    assert time.process_time() - started < 8.0


def test_kit_heads_take_no_longer_than_their_length(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_text('id: "' + " " * 60_000 + "x", encoding="utf-8")
    started = time.process_time()
    id_at_head(path)
    assert time.process_time() - started < 1.0


@pytest.mark.parametrize(
    ("text", "found"),
    [("id: club", "club"), ('"id" : "a b" # c', "a b"), ("id:  'x'\r", "x"), ("id:x", ""),
     ("id: \"half", '"half'), ("ids: x", "")],
)  # fmt: skip
def test_kit_heads_are_read_as_before(tmp_path: Path, text: str, found: str) -> None:
    path = tmp_path / "x.yaml"
    path.write_text(text + "\n", encoding="utf-8")
    assert id_at_head(path) == found


def test_arrays_that_never_close_on_many_lines(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text("a = " + "x" * 200_000 + " [\n" + "\n" * 200_000, encoding="utf-8")
    started = time.process_time()
    with pytest.raises(InputError):
        load_document(path)
    assert time.process_time() - started < 8.0


# ------------------------------------------------------------------ amounts


def show_with(old: str, new: str) -> str:
    text = SMALL.read_text(encoding="utf-8")
    assert old in text
    return text.replace(old, new, 1)


def refused(path: Path, text: str) -> tuple[str, str]:
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(path)
    first = caught.value.findings[0]
    return first.code, first.message


def test_igniters_on_one_way_are_limited(tmp_path: Path) -> None:
    old = 'class = "lantern-match"\nlights = "crackle mine"'
    for count, connection in ((MAX_BRIDGES_ON_WAY, "series"), (MAX_BRIDGES_ON_WAY, "parallel")):
        more = old.replace("\n", f'\ncount = {count}\nconnection = "{connection}"\n')
        load_at = tmp_path / "fits.toml"
        load_at.write_text(show_with(old, more), encoding="utf-8")
        load_show(load_at)
        more = more.replace(str(count), str(count + 1))
        code, message = refused(tmp_path / "x.toml", show_with(old, more))
        assert code == "DOC009"
        assert message == "heron-1/1/3 has more igniters than can be computed"


def test_igniters_of_many_entries_count_together(tmp_path: Path) -> None:
    one = '[[igniter]]\nid = "p{}"\nat = "east/3"\nclass = "lantern-match"\n'
    more = "".join(one.format(n) for n in range(MAX_BRIDGES_ON_WAY))
    text = SMALL.read_text(encoding="utf-8") + more
    assert refused(tmp_path / "x.toml", text)[0] == "DOC009"


def test_pulses_of_a_show_are_limited(tmp_path: Path) -> None:
    cue = '[[cue]]\nid = "q{}"\nfire = "heron-1/1/2"\ntime_s = {}\n'
    cue += "repeat = {{ times = 99, gap_s = 1 }}\n"
    more = "".join(cue.format(n, 300 + n * 400) for n in range(MAX_PULSES // 100))
    text = SMALL.read_text(encoding="utf-8") + more
    assert refused(tmp_path / "x.toml", text) == (
        "DOC009",
        "the cues have more pulses in all than can be computed",
    )
    old = "time_s = 45.0\npulse_s = 0.5"
    code, _ = refused(tmp_path / "y.toml", show_with(old, old + "\nrepeat = {times=101, gap_s=1}"))
    assert code == "DOC007"


@pytest.mark.parametrize("where", ["title", "id", "key"])
def test_texts_are_limited(tmp_path: Path, where: str) -> None:
    long = "x" * (MAX_TEXT + 1)
    text = {
        "title": show_with('title = "Midwinter on the Mere"', f'title = "{long}"'),
        "id": show_with('id = "boathouse"', f'id = "{long}"'),
        "key": show_with("margin = 1.2", f"{long} = 1.2"),
    }[where]
    code, message = refused(tmp_path / "x.toml", text)
    assert (code, message) == ("DOC009", f"a text is longer than {MAX_TEXT:,} characters")
    fits = show_with('title = "Midwinter on the Mere"', f'title = "{long[1:]}"')
    (tmp_path / "fits.toml").write_text(fits, encoding="utf-8")
    load_show(tmp_path / "fits.toml")


def test_clocks_of_many_digits_are_refused(tmp_path: Path) -> None:
    (tmp_path / "cues.csv").write_text(f"Cue,At\na,{'9' * 400}:00:00\n", encoding="utf-8")
    text = 'format = 1\ntitle = "x"\nkits = []\n[cue_list]\nfile = "cues.csv"\n'
    path = tmp_path / "x.toml"
    path.write_text(text + 'columns = { id = "Cue", time_s = "At" }\n', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_show(path)
    assert 'cannot be read as "time_s"' in caught.value.findings[0].message


# ------------------------------------------------------------------ bench results and samples


def record_with(folder: Path, rows: str, record: str = RECORD_WITH_RESULTS) -> list[str]:
    (folder / "record.toml").write_text(record, encoding="utf-8")
    (folder / "x.csv").write_text(rows, encoding="utf-8")
    try:
        load_bench(folder / "record.toml")
    except InputError as error:
        return [f.message for f in error.findings]
    return []


def test_result_rows_are_limited(tmp_path: Path) -> None:
    rows = "\n".join(f"1,{n},a-1,yes" for n in range(MAX_RESULT_ROWS + 1))
    started = time.process_time()
    said = record_with(tmp_path, "trial,shot,igniter,lit\n" + rows)
    assert f"the form has more than {MAX_RESULT_ROWS} rows" in said
    assert time.process_time() - started < 5.0


def test_guesses_end_with_the_problems_shown(tmp_path: Path) -> None:
    places = {(f"box-{n}", 1, way): ("box", "west") for n in range(20) for way in range(1, 9)}
    path = tmp_path / "readings.csv"
    path.write_text("circuit,place,reading_ohm\n" + "box-1/1x/1,wst,abc\n" * 20_000, "utf-8")
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        read_readings(path, places)
    assert len(caught.value.findings) > MAX_FINDINGS
    assert time.process_time() - started < 15.0


def test_a_cell_of_dots_is_refused_at_once(tmp_path: Path) -> None:
    started = time.process_time()
    said = record_with(tmp_path, "trial,shot,igniter,lit,time_s\n1,1,a-1,yes," + "." * 9_000 + "x")
    assert any('cannot be read as "time_s"' in m for m in said)
    assert time.process_time() - started < 2.0


@pytest.mark.parametrize(
    "change",
    [
        ("[[trial]]", "[[trial]]\nshot = 3"),
        ("[[trial]]", "[[trial]]\nshot = [1]"),
        ('[[trial]]\nid = "1"', "[[trial]]\nid = [1]"),
        ('from = "heron-1/1"', "from = [1]"),
        ('to = "a"', "to = {}"),
        ('id = "a-1"', "id = {}"),
        ("[[trial]]", "bench = 1\n[[trial]]"),
        ("[[trial]]", "bench = [[]]\n[[trial]]"),
        ("[[trial]]", '[[trial]]\nshot = [{ id = "1", seen = 1 }]'),
    ],
)
def test_a_record_of_another_shape_is_refused(tmp_path: Path, change: tuple[str, str]) -> None:
    assert change[0] in RECORD_WITH_RESULTS
    record = RECORD_WITH_RESULTS.replace(*change, 1)
    assert record_with(tmp_path, "trial,shot,igniter,lit\n1,1,a-1,yes\n", record)


@pytest.mark.parametrize("raw", [b"a\n" + b"b" * 200_000, b'a\r"b\rc"\n', b"a\x00b", b"a,a\n"])
def test_samples_that_are_no_csv(raw: bytes) -> None:
    target = BY_NAME["samples"]
    with place_for(target) as file:
        assert feed(target, file, raw) == "read"  # `_samples` demands a problem, not an exception


# ------------------------------------------------------------------ paths out of the folder

OUTSIDE = ("../secret.csv", "/etc/passwd", "a/../../secret.csv", "..\\secret.csv", "C:\\x.csv",
           "//host/share.csv", "link.csv", "links/secret.csv", "", " ", "a\0b")  # fmt: skip


@pytest.fixture
def inside(tmp_path: Path) -> Path:
    """A folder beside a file that must not be read, with links to it."""
    folder = tmp_path / "inside"
    folder.mkdir()
    (tmp_path / "secret.csv").write_text("SECRET,At\nSECRET,1\n", encoding="utf-8")
    (folder / "link.csv").symlink_to(tmp_path / "secret.csv")
    (folder / "links").symlink_to(tmp_path)
    return folder


def toml(name: str) -> str:
    return '"' + name.replace("\\", "\\\\").replace("\0", "\\u0000") + '"'


@pytest.mark.parametrize("name", OUTSIDE)
def test_files_named_in_documents_stay_in_the_folder(inside: Path, name: str) -> None:
    show = f'format = 1\ntitle = "x"\nkits = []\ncue_list = {{ file = {toml(name)} }}\n'
    record = (
        f'format = 1\ntitle = "x"\nkits = []\ntrial = []\nresults = {{ file = {toml(name)} }}\n'
    )
    kit = f'format = 1\nid = "x"\nsamples = {toml(name)}\n'
    for text, line in ((show, "check"), (record, "bench check"), (kit, "kits validate")):
        path = inside / f"{line.replace(' ', '-')}.toml"
        path.write_text(text, encoding="utf-8")
        ran = subprocess.run(
            [sys.executable, "-m", "bridgewire.cli", *line.split(), str(path)],
            capture_output=True, text=True, timeout=60, check=False,
            env={**os.environ, "BRIDGEWIRE_PLUGINS": "none"},
        ) if name == OUTSIDE[0] else None  # fmt: skip
        if ran is not None:
            assert ran.returncode == 2
            assert "SECRET" not in ran.stdout + ran.stderr
        assert run([*line.split(), str(path)]) == 2


@pytest.mark.parametrize("name", ["link.csv", "../secret.csv", "links/secret.csv"])
def test_what_lies_outside_is_not_shown(
    inside: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = inside / "show.toml"
    path.write_text(
        'format = 1\ntitle = "x"\nkits = []\n[cue_list]\n'
        f'file = {toml(name)}\ncolumns = {{ id = "Name" }}\n',
        encoding="utf-8",
    )
    assert run(["check", str(path)]) == 2
    said = capsys.readouterr()
    assert "SECRET" not in said.out + said.err
    assert "not inside the show's folder" in said.err


@pytest.mark.parametrize("name", ["../../evil", "a/b", "/tmp/evil", "a:b", "..", "a\\b", ".hidden"])
def test_ids_do_not_become_paths(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    work = tmp_path / "deep" / "work"
    work.mkdir(parents=True)
    monkeypatch.chdir(work)
    text = (EXAMPLES / "kit-evening" / "answers.toml").read_text(encoding="utf-8")
    start = text.index("id = ")
    end = text.index("\n", start)
    (work / "answers.toml").write_text(text[:start] + f"id = {toml(name)}" + text[end:], "utf-8")
    run(["kits", "new", "--answers", "answers.toml"])
    code = run(["bench", "fit", str(EXAMPLES / "bench-evening" / "record.toml"), "--output-kit",
                str(work), "--id", name, "--draws", "200", "--effort", "quick"])  # fmt: skip
    assert code == 2
    capsys.readouterr()
    made = {p.relative_to(tmp_path).parts for p in tmp_path.rglob("*") if p.is_file()}
    assert all(parts[:2] == ("deep", "work") for parts in made)
    assert not any(p.is_symlink() for p in work.iterdir())


def test_outputs_do_not_replace_inputs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "show.toml"
    path.write_bytes(SMALL.read_bytes())
    other = tmp_path / "other.toml"
    other.symlink_to(path)
    assert run(["check", str(path), "--output", str(other)]) == 2
    assert path.read_bytes() == SMALL.read_bytes()
    capsys.readouterr()


def test_a_folder_with_pipes_devices_and_circles(tmp_path: Path) -> None:
    (tmp_path / "show.toml").write_bytes(SMALL.read_bytes())
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "zero.json").symlink_to("/dev/zero")
    (tmp_path / "self.yaml").symlink_to(tmp_path / "self.yaml")
    (tmp_path / "round").symlink_to(tmp_path)
    huge(tmp_path / "huge.toml")
    assert [p.name for p in shows_below(tmp_path)] == ["show.toml"]


def test_memory_of_a_check_of_a_hostile_file() -> None:
    limit = 1_500_000_000
    code = (
        "import resource, sys; "
        f"resource.setrlimit(resource.RLIMIT_AS, ({limit}, {limit})); "
        "from bridgewire.cli.main import run; sys.exit(run(['check', '/dev/zero', '/dev/stdin']))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "BRIDGEWIRE_PLUGINS": "none", "OPENBLAS_NUM_THREADS": "1"},
    )  # fmt: skip
    assert ran.returncode == 2
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss > 0
