"""How long ``advise`` takes on the full-size show with some forty cues made to fail.

Run it by hand: ``python tests/benchmarks/many_faults.py``; it prints seconds and what was found.
The faults: a run five times as long, pulses cut short, a box with a flat battery, cues brought
too near to each other.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path

from bridgewire.api import load_show
from bridgewire.remedies.case import Case
from bridgewire.remedies.edits import Edit, Set, edited
from bridgewire.remedies.judge import needs_help
from bridgewire.remedies.numbered import numbered
from bridgewire.remedies.search import advise
from bridgewire.remedies.write_back import write_back
from bridgewire.report.advice_text import advice_text

SHOW = Path(__file__).parents[2] / "examples" / "regatta-night" / "show.toml"


def with_faults(folder: Path) -> Path:
    """Write the show with faults, and give its file."""
    shutil.copytree(SHOW.parent, folder / "show")
    file = folder / "show" / "show.toml"
    loaded = load_show(file)
    layout = loaded.layout
    case = Case(loaded.show, loaded.document.data, layout.catalogue, layout.models)
    edits: list[Edit] = []
    slow = [c for c in case.as_written.cues.values() if (c.pulse_s or 0) >= 1.0 and c.meant]
    edits += [Set(("cue", cue.cue, "pulse_s"), 0.25) for cue in slow[:30]]
    # A long run of thin cable to one strip of slow igniters.
    wanted = next(c for c in slow[40:] if c.way is not None and len(c.meant) >= 1)
    part = next(p.part for p in layout.igniters if p.index == wanted.meant[0].igniter)
    edits.append(Set(("run", part.run or 0, "length_m"), 150))
    edits.append(Set(("run", part.run or 0, "joints"), 3))
    edits.append(Set(("run", part.run or 0, "joint_contact"), "harrowmere:lake-plug"))
    edits.append(Set(("run", part.run or 0, "cable"), "harrowmere:shore-cable"))
    # Six cues brought into the hold-off of the one before.
    by_way: dict[object, list[int]] = {}
    for resolved in layout.cues:
        if resolved.way is not None and resolved.way[0].startswith("teal"):
            by_way.setdefault(resolved.way[0], []).append(resolved.index)
    for indexes in by_way.values():
        first = loaded.show.cue[indexes[0]]
        for n, index in enumerate(indexes[1:4], start=1):
            if loaded.show.cue[index].time_s is not None and first.time_s is not None:
                edits.append(Set(("cue", index, "time_s"), first.time_s + 0.2 * n))
    plain = edited(case.plain, edits)
    assert len(plain["cue"]) == len(case.plain["cue"])
    own = len(loaded.document.data.get("cue", []))
    for path, raw in write_back(file, loaded.show, own, edits).items():
        path.write_bytes(raw)
    return file


def main() -> None:
    """Run the search and print what it takes."""
    with tempfile.TemporaryDirectory() as folder:
        file = with_faults(Path(folder))
        loaded = load_show(file)
        layout = loaded.layout
        case = Case(loaded.show, loaded.document.data, layout.catalogue, layout.models)
        failing = needs_help(case.as_written)
        start, cpu = time.perf_counter(), time.process_time()
        advice = advise(case)
        wall, used = time.perf_counter() - start, time.process_time() - cpu
        sys.stdout.write(advice_text(loaded.show.title, numbered(advice), "", 100))
        mended = {c for a in advice for r in a.remedies for c in r.mends}
        print(
            f"{len(failing)} cues that are not clear in {len(advice)} groups; "
            f"{sum(a.tried for a in advice)} changes tried, "
            f"{len(mended & set(failing))} cues can be mended; {wall:.1f} s, {used:.1f} s of CPU"
        )


if __name__ == "__main__":
    main()
