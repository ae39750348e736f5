"""A kit that trials have taught, and the show that it is asked about."""

from __future__ import annotations

from pathlib import Path

from tests.bench.design.lawn import KIT, SHOW

CLASS = """
[[igniter_class]]
id = "lance"
extends = "lawn:lance"
threshold_A = { min = 0.8, typical = 0.85, max = 0.9 }
tau_s = { min = 2.5, typical = 2.7, max = 2.9 }
"""
CABLE = """
[[cable]]
id = "reel"
extends = "lawn:reel"
ohm_per_m = { min = 0.09, typical = 0.091, max = 0.092 }
"""
SUPPLY = """
[[box]]
id = "brick"
extends = "lawn:brick"
[box.supply]
internal_ohm = { min = 0.45, typical = 0.5, max = 0.55 }
"""
HEAD = 'format = 1\nid = "taught"\ntitle = "Taught"\nextends = ["lawn"]\n'


def write_files(folder: Path, entries: str = CLASS, show: str = SHOW, kit: str = KIT) -> Path:
    """Write the kit as it was, the kit with these entries taught, and the show; the show's file."""
    file = folder / "show.toml"
    for name, text in (("lawn.toml", kit), ("taught.toml", HEAD + entries), (file.name, show)):
        (folder / name).write_text(text, encoding="utf-8")
    return file
