"""The picture of a terminal shows what the command prints today."""

from __future__ import annotations

from xml.etree import ElementTree

from tests.docs.page_tools import DOCS, script

SVG = "{http://www.w3.org/2000/svg}"


def test_every_text_of_the_picture_is_printed() -> None:
    console = script("console_blocks")
    root = ElementTree.parse(DOCS / "img" / "check.svg").getroot()
    texts = ["".join(t.itertext()).replace("\u00a0", " ") for t in root.iter(f"{SVG}text")]
    assert texts[0].startswith("$ bridgewire check ")
    with console.scratch_folder():
        code, printed = console.run(texts[0].removeprefix("$ "))
    assert code == 1
    left_out = [t for t in texts if "left out of this picture" in t]
    assert len(left_out) == 1
    for text in texts[1:]:
        assert text in printed or text in left_out, "run: python docs/make_terminal_picture.py"
    shown = {round(float(t.attrib["y"])) for t in root.iter(f"{SVG}text")}
    assert len(shown) > 30
