"""Runs that cross are not both laid."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from bridgewire.planner.programme import Programme
from bridgewire.planner.routes import Route, cross
from bridgewire.planner.shapes import Shape


def forbid_crossings(programme: Programme) -> None:
    """Of any two routes that cross, at most one carries a run."""
    model = programme.model
    by_route: dict[tuple[str, str], list[Shape]] = defaultdict(list)
    routes: dict[tuple[str, str], Route] = {}
    used: dict[Shape, list[Any]] = defaultdict(list)
    for klass, v in programme.used.items():
        used[klass.shape].append(v)
    for shape in used:
        for route in shape.routes:
            a, b = sorted((route.start, route.end))
            if a != b:
                routes.setdefault((a, b), route)
                by_route[a, b].append(shape)
    keys = list(routes)
    laid: dict[tuple[str, str], Any] = {}

    def is_laid(key: tuple[str, str]) -> Any:
        if key not in laid:
            laid[key] = model.new_bool_var("")
            for shape in dict.fromkeys(by_route[key]):
                for v in used[shape]:
                    model.add(v == 0).only_enforce_if(~laid[key])
        return laid[key]

    for i, one in enumerate(keys):
        for other in keys[i + 1 :]:
            if cross(routes[one], routes[other]):
                model.add_bool_or([~is_laid(one), ~is_laid(other)])
