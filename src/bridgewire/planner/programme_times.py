"""Cues that clash: they need outputs, or boxes, of their own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from bridgewire.planner.demand_names import wanted_at
from bridgewire.planner.programme import Programme
from bridgewire.planner.timing import crowds


def limit_times(programme: Programme) -> None:
    """Cues that clash need an output each; and a box each where the whole box is held off."""
    problem = programme.problem
    reaching: dict[str, list[Any]] = defaultdict(list)
    for klass, used in programme.used.items():
        for position in klass.shape.positions:
            reaching[position].append(used)
    for position, cues in problem.at.items():
        if wanted_at(position) in programme.relaxed:
            continue
        crowd = max(
            crowds(programme.choice.busy, cues, problem.site.plan.apart_s), key=len, default=()
        )
        if len(crowd) > 1:
            programme.model.add(sum(reaching[position]) >= len(crowd))
    for box, place in programme.boxes:
        hold = problem.shelf.boxes[box].kind.hold_off
        if hold is not None and hold.scope == "box":
            _hold_box(programme, box, place, hold.time_s)


def _hold_box(programme: Programme, box: int, place: str, hold_s: float) -> None:
    choice, model = programme.choice, programme.model
    classes = [k for k in choice.classes if (k.shape.box, k.shape.place) == (box, place)]
    groups = {t.group for k in classes for t in k.takes}
    fired = {c: model.new_bool_var("") for g in groups for c in choice.members[g]}
    for g in groups:
        for position, _ in choice.groups[g]:
            ways = [
                programme.ways[k, t]
                for k in classes
                for t in k.takes
                if t.group == g and position in t.positions and (k, t) in programme.ways
            ]
            if ways:
                model.add(sum(ways) <= sum(fired[c] for c in choice.members[g]))
    for crowd in crowds(choice.busy, fired, hold_s):
        commands: dict[object, list[Any]] = defaultdict(list)
        for c in crowd:
            moment = choice.busy[c].moment
            commands[("one", c) if moment is None else moment].append(fired[c])
        if len(commands) < 2:
            continue
        given = []
        for literals in commands.values():
            if len(literals) == 1:
                given.append(literals[0])
                continue
            any_of = model.new_bool_var("")
            model.add_bool_or(literals).only_enforce_if(any_of)
            for literal in literals:
                model.add_implication(literal, any_of)
            given.append(any_of)
        model.add(sum(given) <= programme.boxes[box, place])


def limit_parts(programme: Programme, limits: Mapping[int, int]) -> None:
    """No more parts of a cue from one box than it was found to bear.

    Parameters
    ----------
    programme : Programme
    limits : mapping of int to int
        By group, how many parts of a cue one box may fire.
    """
    by_spot: dict[tuple[int, tuple[int, str]], list[Any]] = defaultdict(list)
    for (klass, take), v in programme.ways.items():
        if take.group in limits:
            by_spot[take.group, (klass.shape.box, klass.shape.place)].append(v)
    for (group, spot), ways in by_spot.items():
        most = limits[group] * len(programme.choice.members[group])
        programme.model.add(sum(ways) <= most * programme.boxes[spot])
