"""Writes the full-size example show: examples/regatta-night/show.toml and cues.csv.

Invented demo data. Six Heron boxes along the shore and two Teal boxes for the rafts serve thirty
shore positions and the rafts, with some two kilometres of cable and more than six hundred cues.
Run ``python examples/make_regatta_night.py`` to write the files again; the result is always the
same.
"""

from __future__ import annotations

import csv
import random
from pathlib import Path

FOLDER = Path(__file__).parent / "regatta-night"
HERONS, TEALS, POSITIONS_EACH = 6, 2, 5
SPACING_M = 9.0
SHORT_RUN_M = 22.0
"""Shore cable up to here, pier cable beyond."""
DRUMS = (
    ("shore reel", "shore-cable", 50, 40),
    ("shore rest", "shore-cable", 31, 2),
    ("pier drum", "pier-cable", 100, 4),
    ("pier rest", "pier-cable", 64, 1),
    ("raft drum", "raft-cable", 100, 7),
    ("raft long drum", "raft-cable", 155, 1),
)
"""Id, cable, metres on each, how many."""
FUSE = "fuse = { length_mm = { typical = 40, tol = 3 }, burn_mm_per_s = { min = 7, max = 11 } }"

Row = dict[str, str]


class Writer:
    """Collects the show's tables and its cue list."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.cues: list[Row] = []
        self.random = random.Random(1848)
        self.metres = 0.0

    def table(self, name: str, *pairs: str) -> None:
        self.lines += ["", f"[[{name}]]", *pairs]

    def run(self, start: str, end: str, length_m: float, cable: str | None = None) -> None:
        length = round(length_m)
        self.metres += length
        if cable is None:
            cable = "shore-cable" if length <= SHORT_RUN_M else "pier-cable"
        self.table(
            "run",
            f'from = "{start}"',
            f'to = "{end}"',
            f'cable = "harrowmere:{cable}"',
            f"length_m = {{ typical = {length}, tol_pct = 3 }}",
        )

    def igniter(self, name: str, at: str, klass: str, lights: str, *more: str) -> None:
        self.table(
            "igniter",
            f'id = "{name}"',
            f'at = "{at}"',
            f'class = "{klass}"',
            f'lights = "{lights}"',
            *more,
        )

    def cue(
        self,
        name: str,
        fire: str,
        pulse_s: float,
        together: bool,
        latest: str = "",
        time_s: float | None = None,
        effect_at_s: float | None = None,
    ) -> None:
        self.cues.append(
            {
                "Cue": name,
                "Address": fire,
                "Switch at": "" if time_s is None else clock(time_s),
                "Seen at": "" if effect_at_s is None else clock(effect_at_s),
                "Pulse": f"{pulse_s:g}",
                "Together": "true" if together else "false",
                "Latest": latest,
            }
        )


def clock(time_s: float) -> str:
    """Minutes and seconds, as the crew writes them."""
    minutes, seconds = divmod(time_s, 60.0)
    return f"{int(minutes)}:{seconds:05.2f}"


HEAD = """\
# Regatta Night: the full-size example. Invented demo data of the Harrowmere Lantern Society.
# Written by examples/make_regatta_night.py; change that script, not this file.

format = 1
title = "Regatta Night"
kits = ["harrowmere", "generic"]

[site]
ambient_C = { min = 4, typical = 11, max = 18 }

[requirements]
margin = 1.2
spread_s = 0.15
latest_light_s = 1.5
effect_tolerance_s = 2.0
reliability = 0.999

[cutting]
allowance_m = 0.5
step_m = 0.5
keep_from_m = 5

[cue_list]
file = "cues.csv"
[cue_list.columns]
id = "Cue"
fire = "Address"
time_s = "Switch at"
effect_at_s = "Seen at"
pulse_s = "Pulse"
together = "Together"
latest_light_s = "Latest"
"""


def heron(w: Writer, n: int) -> None:
    """One Heron: five shore positions of their own and two fronts over four of them."""
    box = f"heron-{n + 1}"
    middle = n * POSITIONS_EACH + POSITIONS_EACH // 2
    w.table(
        "box",
        f'id = "{box}"',
        'kind = "harrowmere:heron"',
        f"at_m = [{middle * SPACING_M + 3.0:g}, -6]",
        "supply_V = { min = 21.0, typical = 21.2, max = 21.4 }",
        "standby_s = 1800",
    )
    start_s = 20.0 + 1.3 * n
    for k in range(POSITIONS_EACH):
        position = n * POSITIONS_EACH + k
        strip = f"jetty-{position + 1:02d}"
        w.table(
            "strip",
            f'id = "{strip}"',
            'kind = "harrowmere:jetty-strip-16"',
            f'position = "shore-{position + 1:02d}"',
        )
        w.run(f"{box}/{k + 1}", strip, 8.0 + abs(k - 2) * SPACING_M * 1.15)
        for way in range(1, 17):
            shore_cue(w, box, k + 1, way, strip, start_s + 68.0 * way + 9.1 * k)
    for front in range(2):
        front_cues(w, box, n, front, start_s)


def shore_cue(w: Writer, box: str, output: int, way: int, strip: str, time_s: float) -> None:
    """A cue at one position: matches for shells and mines, slow igniters for fountains."""
    name, fire, at = f"{strip} w{way:02d}", f"{box}/{output}/{way}", f"{strip}/{way}"
    time_s += w.random.uniform(-2.0, 2.0)
    if way > 13:
        w.igniter(f"{name} fountain", at, "generic:clip-on-short", "silver fountain", FUSE)
        w.cue(name, fire, 2.0, False, effect_at_s=time_s)
    elif way % 4 == 0:
        w.igniter(
            f"{name} pair",
            at,
            "harrowmere:lantern-match",
            "pair of mines",
            "count = 2",
            'connection = "series"',
        )
        w.cue(name, fire, 0.05, False, "0.05", time_s=time_s)
    else:
        w.igniter(f"{name} shell", at, "harrowmere:lantern-match", "75 mm shell")
        w.cue(name, fire, 0.05, False, "0.05", time_s=time_s)


def front_cues(w: Writer, box: str, n: int, front: int, start_s: float) -> None:
    """A splitter that feeds four positions: the same way lights all four together."""
    output, mooring = 6 + front, f"mooring-{n + 1}{'ab'[front]}"
    w.table(
        "splitter",
        f'id = "{mooring}"',
        'kind = "harrowmere:mooring-4"',
        f'position = "shore-{n * POSITIONS_EACH + 3:02d}"',
    )
    w.run(f"{box}/{output}", mooring, 12.0, "shore-cable")
    strips = []
    for k in (0, 1, 3, 4):
        strip = f"front-{n * POSITIONS_EACH + k + 1:02d}{'ab'[front]}"
        strips.append(strip)
        w.table(
            "strip",
            f'id = "{strip}"',
            'kind = "harrowmere:jetty-strip-8"',
            f'position = "shore-{n * POSITIONS_EACH + k + 1:02d}"',
        )
        w.run(mooring, strip, 21.0, "shore-cable")
    for way in range(1, 9):
        for strip in strips:
            w.igniter(f"{strip} w{way}", f"{strip}/{way}", "harrowmere:lantern-match", "comet")
        w.cue(
            f"front {n + 1}{'ab'[front]} w{way}",
            f"{box}/{output}/{way}",
            0.05,
            True,
            "0.05",
            time_s=start_s + 130.0 * way + 4.0 + 55.0 * front,
        )


def teal(w: Writer, n: int) -> None:
    """One Teal: four rafts on the lake, four matches in series on every way."""
    box = f"teal-{n + 1}"
    w.table("box", f'id = "{box}"', 'kind = "harrowmere:teal"', f"at_m = [{60 + 120 * n}, -4]")
    for output in range(1, 5):
        strip = f"raft-{n * 4 + output}"
        w.table(
            "strip",
            f'id = "{strip}"',
            'kind = "harrowmere:jetty-strip-8"',
            f"at_m = [{40 + 120 * n + 14 * output}, {44 + 3 * output}]",
        )
        w.run(f"{box}/{output}", strip, 72.0, "raft-cable")
        for way in range(1, 7):
            w.igniter(
                f"{strip} w{way}",
                f"{strip}/{way}",
                "harrowmere:lantern-match",
                "ring of candles",
                "count = 4",
                'connection = "series"',
            )
            w.cue(
                f"{strip} w{way}",
                f"{box}/{output}/{way}",
                0.1,
                False,
                "0.05",
                time_s=40.0 + 23.0 * (way - 1) * 8 + 23.0 * output + 6.0 * n,
            )


def main() -> None:
    """Write both files."""
    w = Writer()
    for n in range(HERONS * POSITIONS_EACH):
        w.table("position", f'id = "shore-{n + 1:02d}"', f"at_m = [{n * SPACING_M:g}, 0]")
    for n in range(HERONS):
        heron(w, n)
    for n in range(TEALS):
        teal(w, n)
    for name, cable, metres, count in DRUMS:
        w.table(
            "drum",
            f'id = "{name}"',
            f'cable = "harrowmere:{cable}"',
            f"length_m = {metres}",
            f"count = {count}",
        )
    FOLDER.mkdir(exist_ok=True)
    text = HEAD + "\n".join(w.lines) + "\n"
    (FOLDER / "show.toml").write_text(text, encoding="utf-8")
    w.cues.sort(key=lambda row: row["Cue"])
    with (FOLDER / "cues.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(w.cues[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(w.cues)
    print(f"{len(w.cues)} cues, {w.metres:.0f} m of cable")


if __name__ == "__main__":
    main()
