"""Whatever stands in a file, only InputError comes out, and its places lie in the file."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from bridgewire.diagnostics import Finding
from bridgewire.documents.loader import load_document, load_kit, load_show
from bridgewire.errors import InputError
from tests.documents.formats import ENDINGS, write

HERE = Path(__file__).parent
SETTINGS = settings(
    max_examples=120,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def seeds() -> dict[str, list[bytes]]:
    """Good and bad documents to start from, by ending."""
    found: dict[str, list[bytes]] = {e: [] for e in ENDINGS}
    for file in sorted((*HERE.glob("good/*.*"), *HERE.glob("bad/*/input.*"))):
        if file.suffix[1:] in found:
            found[file.suffix[1:]].append(file.read_bytes())
    return found


SEEDS = seeds()
TOKENS = [
    b"[", b"]", b"[[", b"]]", b"{", b"}", b'"', b"'", b'"""', b"'''", b"=", b":", b",", b"\n",
    b"\r", b"#", b"\\", b"\\u12", b"\0", b"\xff", b"\xc3\xa9", b"&a ", b"*a ", b"!!", b"---\n",
    b"nan", b"NaN", b"null", b"1e999", b"9" * 30, b"- ", b"? ", b"<<: ", b"\t", b"|\n", b"%YAML",
    b"format = 1", b"[box.supply]", b"[[cue]]", b'"a" = 1\n"a" = 2\n', b"\xe2\x80\xa8", b"\x85",
]  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn, ending: str) -> bytes:
    """A seed with pieces cut out, doubled, swapped for tokens."""
    raw = draw(st.sampled_from(SEEDS[ending]))
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(raw)))
        how = draw(st.sampled_from(("insert", "cut", "double", "byte")))
        length = draw(st.integers(1, 40))
        if how == "insert":
            raw = raw[:at] + draw(st.sampled_from(TOKENS)) + raw[at:]
        elif how == "cut":
            raw = raw[:at] + raw[at + length :]
        elif how == "double":
            raw = raw[: at + length] + raw[at:]
        else:
            raw = raw[:at] + bytes((draw(st.integers(0, 255)),)) + raw[at + 1 :]
    return raw


def check_places(findings: tuple[Finding, ...], file: Path, lines: list[str]) -> None:
    assert findings
    for finding in findings:
        place = finding.location
        assert place is not None
        assert finding.code.startswith("DOC")
        if place.file == str(file):
            assert 1 <= place.line <= len(lines)
            assert 1 <= place.column <= len(lines[place.line - 1]) + 1
            assert place.width >= 1


def hold(file: Path, raw: bytes) -> None:
    """Load with every loader and check what comes out."""
    file.write_bytes(raw)
    text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8", "replace")
    lines = text.split("\n")
    for load in (load_document, load_show, load_kit):
        try:
            _, document = (None, load(file)) if load is load_document else load(file)  # type: ignore[misc]
        except InputError as caught:
            check_places(caught.findings, file, lines)
        else:
            document.spans.locate(("format",))


@pytest.mark.parametrize("ending", ENDINGS)
@SETTINGS
@given(raw=st.binary(max_size=200))
@example(raw=b"")
@example(raw=b"\xef\xbb\xbf")
@example(raw=b"\xef\xbb\xbf{}")
def test_any_bytes(tmp_path: Path, ending: str, raw: bytes) -> None:
    hold(tmp_path / f"x.{ending}", raw)


@pytest.mark.parametrize("ending", ENDINGS)
@SETTINGS
@given(text=st.text(st.sampled_from("ab1.=\"'[]{}:,-#&*!|>?%\n\r \\é\u2028"), max_size=60))
def test_any_punctuation(tmp_path: Path, ending: str, text: str) -> None:
    hold(tmp_path / f"x.{ending}", text.encode())


@pytest.mark.parametrize("ending", ENDINGS)
@SETTINGS
@given(data=st.data())
def test_mutated_documents(tmp_path: Path, ending: str, data: st.DataObject) -> None:
    hold(tmp_path / f"x.{ending}", data.draw(mutated(ending)))


PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from(["", "battery", "pair", "matrix", "a/1", "heron-1", "1", "\x1b", "x" * 300]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(
            ["id", "kind", "supply", "path", "map", "min", "max", "typical", "tol", "tol_pct",
             "fire", "time_s", "pulse_s", "repeat", "fuse", "lights", "count", "at_m", "rows",
             "limit", "pulses", "offered_s", "columns", "file", "sources", "charge_curve"]
        ),
        inner,
        max_size=6,
    ),
    max_leaves=25,
)  # fmt: skip
TOP = ["title", "kits", "site", "requirements", "checks", "position", "box", "strip", "run",
       "igniter", "cue", "cue_list", "id", "cable", "igniter_class", "contact"]  # fmt: skip


@SETTINGS
@given(data=st.dictionaries(st.sampled_from(TOP), PLAIN, max_size=6))
def test_any_structure(tmp_path: Path, data: dict[str, object]) -> None:
    file = write(tmp_path, "x", {"format": 1, **data}, "json")
    hold(file, file.read_bytes())


@SETTINGS
@given(
    raw=st.binary(max_size=120)
    | st.text(st.sampled_from('Name,;When"1:.-\n\r\té '), max_size=120).map(
        lambda t: ("Name,When\n" + t).encode()
    ),
    delimiter=st.sampled_from([",", ";", "\t", ":", ".", "é"]),
    encoding=st.sampled_from(
        ["utf-8", "latin-1", "utf-16", "cp1252", "ascii", "utf-7", "idna", "punycode",
         "unicode_escape", "undefined", "rot13", "hz", "mbcs", "\0", ""]
    ),
)  # fmt: skip
def test_any_cue_list(tmp_path: Path, raw: bytes, delimiter: str, encoding: str) -> None:
    (tmp_path / "cues.csv").write_bytes(raw)
    columns = {"id": "Name", "time_s": "When"}
    cue_list = {"file": "cues.csv", "columns": columns, "delimiter": delimiter}
    data = {"format": 1, "title": "x", "kits": [], "cue_list": {**cue_list, "encoding": encoding}}
    file = write(tmp_path, "x", data, "json")
    with contextlib.suppress(InputError):
        load_show(file)
