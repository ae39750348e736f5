"""Writes the example plan sites beside it: site.toml and stage-only.toml; full-size.toml on demand.

Invented demo data of the Harrowmere Lantern Society: positions along the curved shore of the lake,
box places on the path behind it, shells and mines by electric match, fountains by slow igniters,
and fronts of comets that light at four positions at once. Run this script to
write the two small ones again, with ``--full`` the full-size one too; the result is always the
same.
"""

from __future__ import annotations

import math
import random
import sys
from pathlib import Path

FOLDER = Path(__file__).parent
FUSE = "{ length_mm = { typical = 40, tol = 3 }, burn_mm_per_s = { min = 7, max = 11 } }"

HEAD = """\
# {title}: what must light where and when, and what the crew has. Invented demo data of the
# Harrowmere Lantern Society. Written by examples/regatta-plan/make_site.py; change that script.

format = 1
title = "{title}"
kits = ["harrowmere", "generic"]
box_places = [{places}]

[site]
ambient_C = {{ min = 4, typical = 11, max = 18 }}
cable_slack_pct = 5

[requirements]
margin = 1.2
spread_s = 0.15
latest_light_s = 1.5
effect_tolerance_s = 2.0

[costs]
currency = "crowns"
per_m = 0.2
per_output = 1.0
per_minute = 0.5
minutes_per_run = 4
minutes_per_m = 0.1
minutes_per_part = 6

[cutting]
step_m = 0.5

[plan]
chain = {chain}
neighbours = {neighbours}
places = {looked}
"""


def table(name: str, **pairs: object) -> str:
    """One table; texts get quotes, the rest is written as it is."""
    lines = [f"[[{name}]]"]
    for key, value in pairs.items():
        shown = f'"{value}"' if isinstance(value, str) and not value.startswith("{") else value
        lines.append(f"{key.rstrip('_')} = {shown}")
    return "\n".join(lines)


def site(
    title: str,
    positions: int,
    boxes: int,
    shells: int,
    fountains: int,
    fronts: int,
    *,
    chain: int,
    neighbours: int,
    looked: int,
    only: str = "",
) -> tuple[str, int]:
    """Write a site; returns the text and the number of cues.

    Boxes may stand at the place `only`, where one is named, else at every place.
    """
    dice = random.Random(1848)
    spots = {
        f"shore-{i + 1:02d}": (round(9.0 * i, 1), round(14.0 * math.sin(i / 5.0), 1))
        for i in range(positions)
    }
    places = {
        f"path-{i + 1:02d}": (round(9.0 * (i + 0.5) * positions / (boxes + 2), 1), -18.0)
        for i in range(boxes + 2)
    } | {"stage": (-18.0, -18.0)}
    parts = [
        HEAD.format(
            title=title,
            places=", ".join(f'"{p}"' for p in ([only] if only else places)),
            chain=chain,
            neighbours=neighbours,
            looked=looked,
        )
    ]
    parts += [table("position", id=p, at_m=list(at)) for p, at in {**spots, **places}.items()]
    length_s = 1200.0
    cues = 0
    for position in spots:
        times = sorted(round(dice.uniform(20.0, length_s), 1) for _ in range(shells))
        parts.append(
            table(
                "wanted",
                id=f"shell {position}",
                position=position,
                class_="harrowmere:lantern-match",
                lights="75 mm shell",
                times_s=times,
            )
        )
        slow = [
            round(30.0 + (k + dice.random()) * (length_s - 60.0) / max(fountains, 1), 1)
            for k in range(fountains)
        ]
        if slow:
            parts.append(
                table(
                    "wanted",
                    id=f"fountain {position}",
                    position=position,
                    class_="generic:clip-on-short",
                    lights="silver fountain",
                    fuse=FUSE,
                    effects_at_s=slow,
                )
            )
        cues += shells + fountains
    names = list(spots)
    for front in range(positions // 4):
        times = [round(40.0 + 13.0 * front + 97.0 * k, 1) for k in range(fronts)]
        for position in names[4 * front : 4 * front + 4]:
            parts.append(
                table(
                    "wanted",
                    id=f"comet {position}",
                    cue=f"front {front + 1}",
                    position=position,
                    class_="harrowmere:lantern-match",
                    lights="comet",
                    times_s=times,
                )
            )
        cues += fronts
    stock: list[dict[str, object]] = [
        {
            "item": "harrowmere:heron",
            "count": boxes,
            "supply_V": "{ min = 21.0, typical = 21.2, max = 21.4 }",
            "standby_s": 1800,
        },
        {"item": "harrowmere:shore-cable", "length_m": 50, "count": 5 * boxes},
        {"item": "harrowmere:pier-cable", "length_m": 100, "count": 2 * boxes},
        {"item": "harrowmere:raft-cable", "length_m": 100, "count": boxes},
        {"item": "harrowmere:jetty-strip-8", "count": 3 * positions},
        {"item": "harrowmere:jetty-strip-16", "count": 2 * positions},
        {"item": "harrowmere:mooring-4", "count": boxes},
    ]
    parts += [table("stock", **entry) for entry in stock]
    return "\n\n".join(parts).replace("\n\n\n", "\n\n") + "\n", cues


def small(*, stage_only: bool = False) -> str:
    """The small example: the west shore, or the same with every box on the landing stage."""
    if stage_only:
        title = "Regatta Night, west shore from the stage"
        return site(title, 5, 2, 6, 1, 2, chain=1, neighbours=2, looked=1, only="stage")[0]
    return site("Regatta Night, west shore", 5, 2, 6, 1, 2, chain=2, neighbours=2, looked=2)[0]


def full_size() -> str:
    """Thirty positions, eight boxes, six hundred cues."""
    return site("Regatta Night", 30, 8, 15, 4, 5, chain=2, neighbours=2, looked=3)[0]


def main() -> None:
    """Write the files."""
    (FOLDER / "site.toml").write_text(small(), encoding="utf-8")
    (FOLDER / "stage-only.toml").write_text(small(stage_only=True), encoding="utf-8")
    if "--full" in sys.argv:
        (FOLDER / "full-size.toml").write_text(full_size(), encoding="utf-8")


if __name__ == "__main__":
    main()
