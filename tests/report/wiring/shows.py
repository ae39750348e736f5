"""Shows for the tests of wiring drawings: shipped examples, and texts written on the spot."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

from bridgewire.api import Report, check
from bridgewire.circuit.layout import Layout
from bridgewire.report.wiring.label_places import Area

EXAMPLES = Path(__file__).parents[3] / "examples"
SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("jetty-trial", "midwinter-small", "boathouse-troubles", "regatta-night/show")

HEAD = """format = 1
title = "Trials on the <jetty> & elsewhere"
kits = ["harrowmere", "generic"]
[site]
ambient_C = 11
"""
HERON = '[[box]]\nid = "heron-1"\nkind = "heron"\nsupply_V = 21.2\n'


@cache
def example(name: str) -> Report:
    """The report of a shipped example, checked once."""
    return check(EXAMPLES / f"{name}.toml")


def report_of(folder: Path, *pieces: str) -> Report:
    """The report of a show put together from pieces of TOML."""
    file = folder / "show.toml"
    file.write_text("\n".join((HEAD, *pieces)), encoding="utf-8")
    return check(file)


def layout_of(report: Report) -> Layout:
    assert report.assessment is not None
    return report.assessment.layout


def strip(ident: str, at: str = "", kind: str = "jetty-strip-8") -> str:
    return f'[[strip]]\nid = "{ident}"\nkind = "{kind}"\n{at}\n'


def run(start: str, end: str, more: str = "length_m = 20") -> str:
    return f'[[run]]\nfrom = "{start}"\nto = "{end}"\ncable = "shore-cable"\n{more}\n'


def igniter(ident: str, at: str, more: str = "", kind: str = "lantern-match") -> str:
    return f'[[igniter]]\nid = "{ident}"\nat = "{at}"\nclass = "{kind}"\n{more}\n'


def cue(ident: str, fire: str, time_s: float = 10.0, pulse_s: float = 0.5) -> str:
    return f'[[cue]]\nid = "{ident}"\nfire = "{fire}"\ntime_s = {time_s}\npulse_s = {pulse_s}\n'


def chain(count: int, box: str = HERON) -> list[str]:
    """A daisy chain of strips s1, s2 … with an igniter on way 1 of each, and a cue."""
    ends = ["heron-1/1", *(f"s{n}" for n in range(1, count))]
    return [
        box,
        *(strip(f"s{n + 1}") for n in range(count)),
        *(run(a, f"s{n + 1}") for n, a in enumerate(ends)),
        *(igniter(f"i{n + 1}", f"s{n + 1}/1") for n in range(count)),
        cue("all", "heron-1/1/1"),
    ]


NASTY = "<script>alert(1)<>&amp;']]>"
"""The box of `hostile`."""


def hostile(folder: Path, *igniters: tuple[str, str], fired: str = "") -> Report:
    """A show whose names try to be markup, formulas and direction marks.

    Parameters
    ----------
    folder : Path
    *igniters : tuple of str
        Id and terminal; the strip is called ``=1+1``.
    fired : str
        Id of a cue on way 1; none where empty.
    """
    return report_of(
        folder,
        HERON.replace("heron-1", NASTY),
        strip("=1+1"),
        run(NASTY + "/1", "=1+1", 'length_m = 3\nid = "<b>&\u202e"'),
        *(igniter(ident, at) for ident, at in igniters),
        *([cue(fired, NASTY + "/1/1")] if fired else []),
    )


def parsed(svg: str) -> ElementTree.Element:
    """The drawing as XML; fails where it is not well-formed."""
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    return root


def words(svg: str) -> list[str]:
    """Lines of text that can be seen."""
    return ["".join(e.itertext()) for e in parsed(svg).iter(f"{SVG}text") if "".join(e.itertext())]


def everything(svg: str) -> str:
    """All text, whether it can be seen or is told by title and description."""
    return "\n".join(parsed(svg).itertext())


def uses(svg: str) -> list[str]:
    """Names of the symbols that are used."""
    return [e.attrib["href"].removeprefix("#bw-") for e in parsed(svg).iter(f"{SVG}use")]


def outside(svg: str) -> Iterator[tuple[str, float, float]]:
    """Texts and symbols that start outside the drawing."""
    root = parsed(svg)
    _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
    for e in root.iter():
        if e.tag in (f"{SVG}text", f"{SVG}use") and "x" in e.attrib:
            x, y = float(e.attrib["x"]), float(e.attrib["y"])
            if not (0.0 <= x <= width and 0.0 <= y <= height):
                yield e.tag, x, y


def _assert_self_contained(svg: str) -> None:
    """Only SVG elements; nothing that runs, loads or links outside."""
    allowed = {
        "svg", "title", "desc", "style", "defs", "g", "path", "circle", "use", "text", "polyline",
    }  # fmt: skip
    root = parsed(svg)
    for e in root.iter():
        assert e.tag.removeprefix(SVG) in allowed, e.tag
        for key, value in e.attrib.items():
            assert not key.lower().startswith("on"), key
            assert not re.search(r"url\(|javascript:", value.lower()), value
            if key == "href":
                assert re.fullmatch(r"#bw-[a-z]+", value), value
    for style in root.iter(f"{SVG}style"):
        assert "url" not in (style.text or "")
        assert "import" not in (style.text or "")


def _assert_accessible(svg: str) -> None:
    """A role, a title and a description."""
    root = parsed(svg)
    assert root.attrib["role"] == "img"
    assert root[0].tag == f"{SVG}title"
    assert root[0].text
    assert root[1].tag == f"{SVG}desc"
    assert root[1].text


def _assert_symbols_defined(svg: str) -> None:
    """Every symbol in use is in the drawing, once."""
    defined = [e.attrib["id"] for e in parsed(svg).iter() if "id" in e.attrib]
    assert len(defined) == len(set(defined))
    assert {f"bw-{n}" for n in uses(svg)} == set(defined)


def assert_sound(svg: str) -> None:
    """Whatever a drawing shows: it stands alone, can be heard, and nothing starts outside it."""
    _assert_accessible(svg)
    _assert_self_contained(svg)
    _assert_symbols_defined(svg)
    assert list(outside(svg)) == []


def in_order(lines: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether the wanted lines come one after another among the lines."""
    rest = iter(lines)
    return all(any(line == w for line in rest) for w in wanted)


def overlaps(areas: Sequence[Area]) -> int:
    """How many pairs of areas overlap."""
    return sum(a.meets(b) for n, a in enumerate(areas) for b in areas[n + 1 :])
