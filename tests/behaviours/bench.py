"""Small shows on the shipped profiles, built in code, and what becomes of them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
from bridgewire.model.band import Band
from bridgewire.model.show import Box, Cue, Igniter, Repeat, Run, Show, Site, Splitter, Strip
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment

BATTERY = "generic:battery-matrix"
SLOW = "generic:clip-on-short"
MATCH = "generic:electric-match"
CABLE = "generic:pair-24awg-solid"


@cache
def catalogue() -> Catalogue:
    found = find_kits(("generic", "harrowmere"), [shipped_profiles_dir()])
    return Catalogue({k: v.kit for k, v in found.items()})


def bench(
    strips: Sequence[str],
    runs: Sequence[tuple[str, str, float]],
    cues: Sequence[Cue],
    *,
    igniter: str = SLOW,
    cable: str = CABLE,
    splitters: Sequence[str] = (),
    box: str = BATTERY,
    igniters: Sequence[Igniter] | None = None,
    ambient_C: float = 20.0,
) -> Assessment:
    """Assess a bench of one box: one igniter on way 1 of each strip unless told otherwise."""
    show = Show(
        format=1,
        title="bench",
        kits=("generic", "harrowmere"),
        site=Site(ambient_C=Band(ambient_C, ambient_C, ambient_C)),
        box=(Box("box", box, supply_V=Band(20.8, 20.8, 20.8)),),
        strip=tuple(Strip(s, "generic:strip-8") for s in strips),
        splitter=tuple(Splitter(s, "generic:splitter-1-to-4") for s in splitters),
        run=tuple(Run(a, b, cable, length_m=Band.exact(m)) for a, b, m in runs),
        igniter=tuple(
            igniters if igniters is not None else (Igniter(f"{s}/1", igniter, id=s) for s in strips)
        ),
        cue=tuple(cues),
    )
    layout, problems = resolve(show, catalogue())
    assert layout is not None, problems
    return assess(layout)


def chain(
    count: int,
    length_m: float,
    pulse_s: float,
    *,
    igniter: str = SLOW,
    cable: str = CABLE,
    repeat: Repeat | None = None,
    more: Sequence[Cue] = (),
) -> Assessment:
    """Assess strips s1, s2 … daisy-chained with equal runs, fired by cue ``first``."""
    strips = [f"s{n + 1}" for n in range(count)]
    starts = ["box/1", *strips[:-1]]
    runs = [(a, b, length_m) for a, b in zip(starts, strips, strict=True)]
    first = Cue("first", fire="box/1/1", time_s=1.0, pulse_s=pulse_s, repeat=repeat)
    return bench(strips, runs, [first, *more], igniter=igniter, cable=cable)


def times(assessment: Assessment, cue: int = 0) -> dict[str, float]:
    """Typical light time of each igniter under a cue, s; ``inf`` = never."""
    return {i.id: i.light.typical for i in assessment.cues[cue].igniters}
