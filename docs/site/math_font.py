"""A font with the tall brackets and roots that formulas need, cut down to what formulas use."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

RANGES = ((0x20, 0x7E), (0xA0, 0xFF), (0x370, 0x3FF), (0x2010, 0x2044), (0x2200, 0x22FF),
          (0x2061, 0x2064), (0x1D400, 0x1D7FF))  # fmt: skip


def write_math_font(target: Path) -> None:
    """Write STIX Two Math (SIL Open Font License), as the package ziamath has it, as WOFF."""
    found = find_spec("ziamath")  # not imported: only its font is wanted
    assert found is not None
    assert found.origin is not None
    font = TTFont(str(Path(found.origin).parent / "fonts" / "STIXTwoMath-Regular.ttf"))
    options = Options()
    options.flavor = "woff"
    options.layout_features = ["ssty", "dtls", "ccmp", "flac"]
    options.name_IDs = ["*"]
    chosen = Subsetter(options)
    chosen.populate(unicodes=[code for low, high in RANGES for code in range(low, high + 1)])
    chosen.subset(font)
    font.flavor = "woff"
    target.parent.mkdir(parents=True, exist_ok=True)
    font.save(str(target))
