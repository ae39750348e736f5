"""What must go together within one table: keys that another key needs, or excludes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from bridgewire.documents.problems import CONTRADICTION, MISSING_KEY, Problem
from bridgewire.model import kit, plan_site, show

Given = Mapping[str, Any]
"""The keys that the table states, with their values where these could be read."""
Condition = Callable[[Given], Iterator[Problem]]


def _missing(message: str, expected: str, remedy: str = "") -> Problem:
    return Problem(MISSING_KEY, message, expected=expected, remedy=remedy)


def _clash(key: str, message: str, remedy: str) -> Problem:
    return Problem(CONTRADICTION, message, path=(key,), remedy=remedy, at_key=True)


def _place(given: Given) -> Iterator[Problem]:
    if "position" in given and "at_m" in given:
        yield _clash(
            "at_m",
            '"position" and "at_m" both say where the part is',
            "Keep one of the two.",
        )


def _cue(given: Given) -> Iterator[Problem]:
    parts = [k for k in ("box", "output", "way") if k in given]
    ways = [w for w in ("fire", "target") if w in given] + (["box"] if parts else [])
    if not ways:
        yield _missing(
            "the cue does not say what to fire",
            '"fire" (box/output/way), or "box", "output" and "way", or "target"',
        )
    elif len(ways) > 1:
        yield _clash(
            parts[0] if parts and ways[0] != "box" else ways[1],
            f'the cue says twice what to fire: "{ways[0]}" and "{ways[1]}"',
            "Keep one of the two.",
        )
    elif parts and len(parts) < 3:
        lacking = [k for k in ("box", "output", "way") if k not in given]
        names = " and ".join(f'"{k}"' for k in lacking)
        yield _missing(
            f"the cue does not say what to fire: {names} is missing",
            '"box", "output" and "way" together',
        )
    if "time_s" not in given and "effect_at_s" not in given:
        yield _missing(
            "the cue does not say when",
            '"time_s" (when the box switches) or "effect_at_s" (when the effect is seen)',
        )


def _igniter(given: Given) -> Iterator[Problem]:
    count = given.get("count")
    if isinstance(count, int) and count > 1 and "connection" not in given:
        yield _missing(
            f'"count" is {count}, but "connection" does not say how they are joined',
            '"connection" = "series" or "parallel"',
        )
    if "extra_lead_m" in given and "lead_cable" not in given:
        yield _missing(
            '"extra_lead_m" is given, but "lead_cable" does not say which cable it is',
            '"lead_cable" = a cable of the kit',
        )


def _fuse(given: Given) -> Iterator[Problem]:
    if "delay_s" in given:
        for key in ("length_mm", "burn_mm_per_s"):
            if key in given:
                yield _clash(
                    key,
                    f'"delay_s" and "{key}" both say how long the fuse burns',
                    'Keep "delay_s", or "length_mm" with "burn_mm_per_s".',
                )
        return
    for key in ("length_mm", "burn_mm_per_s"):
        if key not in given:
            yield _missing(
                f'the fuse has no "{key}"',
                '"length_mm" with "burn_mm_per_s", or "delay_s"',
            )


def _run(given: Given) -> Iterator[Problem]:
    if "joint_contact" in given and "joints" not in given:
        yield _missing(
            '"joint_contact" is given, but "joints" does not say how many', '"joints" = a count'
        )


def _cue_list(given: Given) -> Iterator[Problem]:
    if "importer" in given:
        for key in ("columns", "delimiter", "decimal"):
            if key in given:
                yield _clash(
                    key,
                    f'"{key}" is for CSV files; a file that an importer reads has none',
                    "Remove it, or remove the importer.",
                )
        return
    if "columns" not in given:
        yield _missing(
            'the key "columns" is missing',
            '"columns" = a table of keys and headings, or "importer" = the name of one',
        )
    if "options" in given:
        yield _clash(
            "options", '"options" are for an importer, and none is named', "Name it or remove them."
        )


def _path_map(given: Given) -> Iterator[Problem]:
    matrix = given.get("map") == "matrix"
    for key in ("rows", "columns"):
        if matrix and key not in given:
            yield _missing(f'a matrix needs "{key}"', f'"{key}" = a count')
        if given.get("map") in ("pair", "common-return") and key in given:
            yield _clash(key, f'"{key}" belongs to a matrix only', "Remove it.")


def _limit(given: Given) -> Iterator[Problem]:
    if given.get("kind") == "fold-back" and "short_circuit_A" not in given:
        yield _missing(
            'a fold-back limit needs "short_circuit_A"', '"short_circuit_A" = a current in A'
        )
    if given.get("kind") == "constant-current" and "short_circuit_A" in given:
        yield _clash(
            "short_circuit_A", '"short_circuit_A" belongs to a fold-back limit only', "Remove it."
        )


def _pulses(given: Given) -> Iterator[Problem]:
    ends = [k for k in ("min_s", "max_s", "step_s") if k in given]
    if "offered_s" in given and ends:
        yield _clash(
            ends[0],
            f'"offered_s" and "{ends[0]}" both say which pulses there are',
            "Keep the list or the range.",
        )
    elif "offered_s" not in given:
        for key in ("min_s", "max_s"):
            if key not in given:
                yield _missing(
                    f'the pulses have no "{key}"', '"offered_s", or "min_s" with "max_s"'
                )
    low, high = given.get("min_s"), given.get("max_s")
    if isinstance(low, float) and isinstance(high, float) and low > high:
        yield _clash("max_s", '"max_s" is below "min_s"', "Swap the two.")


def _wanted(given: Given) -> Iterator[Problem]:
    yield from _igniter(given)
    moments = [k for k in ("time_s", "times_s", "effect_at_s", "effects_at_s") if k in given]
    if not moments:
        yield _missing(
            "nothing says when it is wanted",
            '"time_s" or "times_s" (when the box switches), or "effect_at_s" or "effects_at_s"',
        )
    elif len(moments) > 1:
        yield _clash(
            moments[1],
            f'"{moments[0]}" and "{moments[1]}" both say when it is wanted',
            "Keep one of the two.",
        )


def _stock(given: Given) -> Iterator[Problem]:
    if "cut" in given and "length_m" not in given:
        yield _missing('"cut" is for cable, and "length_m" is missing', '"length_m" of each piece')


CONDITIONS: Mapping[type, Condition] = {
    show.Box: _place,
    show.Strip: _place,
    show.Splitter: _place,
    show.Run: _run,
    show.Cue: _cue,
    show.Igniter: _igniter,
    show.Fuse: _fuse,
    show.CueList: _cue_list,
    kit.PathMap: _path_map,
    kit.CurrentLimit: _limit,
    kit.PulseChoice: _pulses,
    plan_site.Wanted: _wanted,
    plan_site.Stock: _stock,
}
"""By class: what to check once its keys are read."""
