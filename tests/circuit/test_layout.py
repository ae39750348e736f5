"""Every way in which wiring can be wrong: its code, place, expectation and suggestion."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.places import straight_distance_m
from bridgewire.circuit.resolve import resolve
from bridgewire.diagnostics import Finding, format_path
from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BoxKind,
    CableSpec,
    Contact,
    IgniterClass,
    Kit,
    PathMap,
    RegulatedSupply,
    SplitterKind,
    StripKind,
)
from bridgewire.model.show import Box, Cue, Igniter, Position, Run, Show, Site, Splitter, Strip

MINE = Kit(
    format=1,
    id="mine",
    contact=(Contact("plug"),),
    cable=(CableSpec("reel", "copper", "solid", 8), CableSpec("twin", "copper", "solid", 2)),
    strip=(StripKind("four", 4, through=1), StripKind("end", 4)),
    splitter=(SplitterKind("fork", 2),),
    igniter_class=(IgniterClass("match", "electric-match"),),
    box=(
        BoxKind("mains", 2, 4, PathMap("pair"), RegulatedSupply("regulated"), max_strips=2),
        BoxKind("open-ended", 1, 4, PathMap("pair"), RegulatedSupply("regulated")),
    ),
)
OTHER = Kit(
    format=1,
    id="other",
    cable=(CableSpec("reel", "aluminium", "solid", 2), CableSpec("rope", "copper", "solid", 2)),
)
LENGTH = Band(9.0, 10.0, 11.0)


def run(start: str, end: str, **more: Any) -> Run:
    return Run(start, end, **{"cable": "mine:reel", "length_m": LENGTH, **more})


GOOD = Show(
    format=1,
    title="good",
    kits=("mine", "other"),
    position=(Position("lawn", (30.0, 40.0)),),
    box=(Box("b", "mine:mains", at_m=(0.0, 0.0)),),
    strip=(Strip("near", "mine:four", position="lawn"), Strip("far", "mine:end", first_way=3)),
    splitter=(Splitter("y", "mine:fork"),),
    run=(run("b/1", "near"), run("near", "far"), run("b/2", "y")),
    igniter=(
        Igniter("near/1", "mine:match", id="one"),
        Igniter("far/3", "mine:match"),
        Igniter("far/3", "mine:match"),
    ),
    cue=(Cue("go", fire="b/1/1", time_s=1.0),),
)


def solve(show: Show) -> tuple[Layout | None, tuple[Finding, ...]]:
    return resolve(show, Catalogue({"mine": MINE, "other": OTHER}))


def good_layout(show: Show = GOOD) -> Layout:
    layout, problems = solve(show)
    assert problems == ()
    assert layout is not None
    return layout


def changed(**tables: Any) -> Show:
    """The good show with some tables replaced; an item list starting with + adds to the table."""
    full: dict[str, Any] = {
        key: (*getattr(GOOD, key), *value[1:])
        if isinstance(value, tuple) and value[:1] == ("+",)
        else value
        for key, value in tables.items()
    }
    return evolve(GOOD, **full)


def add(*items: Any) -> tuple[Any, ...]:
    return ("+", *items)


TWICE: dict[str, tuple[Show, str, str]] = {
    "position": (
        changed(position=add(Position("lawn", (0.0, 0.0)))),
        "position[1].id",
        "position 'lawn' is already at position[0]",
    ),
    "box": (
        changed(box=add(Box("b", "mine:mains"))),
        "box[1].id",
        "box 'b' is already at box[0]",
    ),
    "strip": (
        changed(strip=add(Strip("near", "mine:four"))),
        "strip[2].id",
        "part 'near' is already at strip[0]",
    ),
    "splitter named as a strip": (
        changed(splitter=add(Splitter("near", "mine:fork"))),
        "splitter[1].id",
        "part 'near' is already at strip[0]",
    ),
    "strip named as a box": (
        changed(strip=add(Strip("b", "mine:four"))),
        "strip[2].id",
        "'b' is already the id of box[0]",
    ),
    "igniter": (
        changed(igniter=add(Igniter("near/2", "mine:match", id="one"))),
        "igniter[3].id",
        "igniter 'one' is already at igniter[0]",
    ),
    "cue": (
        changed(cue=add(Cue("go", fire="b/1/2", time_s=2.0))),
        "cue[1].id",
        "cue 'go' is already at cue[0]",
    ),
}

DANGLING: dict[str, tuple[Show, str, str, str]] = {
    "position of a box": (
        changed(box=(Box("b", "mine:mains", position="lawns"),)),
        "box[0].position",
        "there is no position 'lawns'",
        "did you mean 'lawn'?",
    ),
    "position of a splitter": (
        changed(splitter=(Splitter("y", "mine:fork", position="pier"),)),
        "splitter[0].position",
        "there is no position 'pier'",
        "",
    ),
    "kind of a box": (
        changed(box=add(Box("c", "mine:main"))),
        "box[1].kind",
        "no kit has a box 'mine:main'",
        "did you mean 'mine:mains'?",
    ),
    "kind of a strip": (
        changed(strip=add(Strip("t", "mine:fourr"))),
        "strip[2].kind",
        "no kit has a strip 'mine:fourr'",
        "did you mean 'mine:four'?",
    ),
    "kind of a strip in another kit": (
        changed(strip=add(Strip("t", "other:four"))),
        "strip[2].kind",
        "no kit has a strip 'other:four'",
        "did you mean 'mine:four'?",
    ),
    "kind of a splitter": (
        changed(splitter=add(Splitter("z", "mine:four"))),
        "splitter[1].kind",
        "no kit has a splitter 'mine:four'",
        "did you mean 'mine:fork'?",
    ),
    "cable of a run": (
        changed(run=(*GOOD.run[:1], run("near", "far", cable="mine:real"))),
        "run[1].cable",
        "no kit has a cable 'mine:real'",
        "did you mean 'mine:reel'?",
    ),
    "joint of a run": (
        changed(run=(run("b/1", "near", joints=1, joint_contact="plugs"), *GOOD.run[1:])),
        "run[0].joint_contact",
        "no kit has a contact 'plugs'",
        "did you mean 'plug'?",
    ),
    "end of a run": (
        changed(run=add(run("y", "fan"))),
        "run[3].to",
        "there is no strip or splitter 'fan'",
        "did you mean 'far'?",
    ),
    "run into a box": (
        changed(run=add(run("y", "b"))),
        "run[3].to",
        "there is no strip or splitter 'b'",
        "",
    ),
    "start of a run": (
        changed(run=(run("c/1", "near"), *GOOD.run[1:])),
        "run[0].from",
        "there is no box, strip or splitter 'c'",
        "",
    ),
    "start of a run, misspelt": (
        changed(run=(*GOOD.run[:1], run("neat", "far"))),
        "run[1].from",
        "there is no box, strip or splitter 'neat'",
        "did you mean 'near'?",
    ),
    "output of a strip": (
        changed(run=(*GOOD.run[:1], run("near/1", "far"))),
        "run[1].from",
        "'near' is no box: write it without a number",
        "",
    ),
    "output beyond the last": (
        changed(run=(run("b/3", "near"), *GOOD.run[1:])),
        "run[0].from",
        "box 'b' has no output '3'",
        "",
    ),
    "output 0": (
        changed(run=(run("b/0", "near"), *GOOD.run[1:])),
        "run[0].from",
        "box 'b' has no output '0'",
        "",
    ),
    "box without an output": (
        changed(run=(run("b", "near"), *GOOD.run[1:])),
        "run[0].from",
        "box 'b' has no output ''",
        "",
    ),
    "class of an igniter": (
        changed(igniter=add(Igniter("near/2", "mine:matsch"))),
        "igniter[3].class",
        "no kit has an igniter class 'mine:matsch'",
        "did you mean 'mine:match'?",
    ),
    "lead of an igniter": (
        changed(igniter=add(Igniter("near/2", "mine:match", lead_cable="twine"))),
        "igniter[3].lead_cable",
        "no kit has a cable 'twine'",
        "did you mean 'twin'?",
    ),
    "strip of an igniter": (
        changed(igniter=add(Igniter("neat/1", "mine:match"))),
        "igniter[3].at",
        "there is no strip 'neat'",
        "did you mean 'near'?",
    ),
    "igniter on a splitter": (
        changed(igniter=add(Igniter("y/1", "mine:match"))),
        "igniter[3].at",
        "there is no strip 'y'",
        "",
    ),
    "terminal beyond the last": (
        changed(igniter=add(Igniter("near/5", "mine:match"))),
        "igniter[3].at",
        "strip 'near' has no terminal for way '5'",
        "",
    ),
    "terminal before the first": (
        changed(igniter=add(Igniter("far/2", "mine:match"))),
        "igniter[3].at",
        "strip 'far' has no terminal for way '2'",
        "",
    ),
    "terminal without a number": (
        changed(igniter=add(Igniter("near", "mine:match"))),
        "igniter[3].at",
        "'near' names a strip, but no way of it",
        "",
    ),
    "box of a cue": (
        changed(cue=(Cue("go", fire="bb/1/1", time_s=1.0),)),
        "cue[0].fire",
        "there is no box 'bb'",
        "did you mean 'b'?",
    ),
    "box of a cue, in pieces": (
        changed(cue=(Cue("go", box="bb", output=1, way=1, time_s=1.0),)),
        "cue[0].box",
        "there is no box 'bb'",
        "did you mean 'b'?",
    ),
    "target of a cue": (
        changed(cue=(Cue("go", target="ones", time_s=1.0),)),
        "cue[0].target",
        "there is no strip 'ones'",
        "did you mean 'one'?",
    ),
    "target terminal of a cue": (
        changed(cue=(Cue("go", target="near/9", time_s=1.0),)),
        "cue[0].target",
        "strip 'near' has no terminal for way '9'",
        "",
    ),
    "target on a strip that is not wired": (
        changed(run=GOOD.run[:1], cue=(Cue("go", target="far/3", time_s=1.0),)),
        "cue[0].target",
        "'far' is not wired to any box, so the cue reaches nothing",
        "",
    ),
    "what a cue lights": (
        changed(cue=(Cue("go", fire="b/1/1", time_s=1.0, lights=("one", "won")),)),
        "cue[0].lights[1]",
        "there is no igniter 'won'",
        "did you mean 'one'?",
    ),
}

SHAPE: dict[str, tuple[str, Show, str, str, str]] = {
    "a part that feeds itself": (
        "DOC012",
        changed(run=(run("near", "near"), *GOOD.run[2:])),
        "run[0].from",
        "the wiring runs in a circle: near <- near",
        "every part reached from a box, once",
    ),
    "two parts in a circle": (
        "DOC012",
        changed(run=(run("y", "near"), run("near", "y"))),
        "run[0].from",
        "the wiring runs in a circle: near <- y <- near",
        "every part reached from a box, once",
    ),
    "an inlet fed twice": (
        "DOC013",
        changed(run=add(run("y", "near"))),
        "run[3].to",
        "the inlet of 'near' is already fed by run[0]",
        "one run into each inlet",
    ),
    "too many strips in a chain and behind a splitter": (
        "DOC014",
        changed(
            strip=add(Strip("third", "mine:four")),
            run=(
                run("b/1", "y"),
                run("y", "near"),
                run("near", "far"),
                run("y", "third"),
            ),
        ),
        "strip[2].id",
        "output 1 of box 'b' addresses 2 strips; 'third' is one too many",
        "at most 2 strips",
    ),
    "more runs than through connectors": (
        "DOC015",
        changed(run=(run("b/1", "near"), run("near", "far"), run("near", "y"))),
        "run[2].from",
        "'near' has 1 through connector, all in use",
        "at most 1 run from 'near'",
    ),
    "a run from a strip without through connector": (
        "DOC015",
        changed(run=(run("b/1", "far"), run("far", "near"), run("b/2", "y"))),
        "run[1].from",
        "'far' has 0 through connectors, all in use",
        "at most 0 runs from 'far'",
    ),
    "more runs than outlets": (
        "DOC015",
        changed(
            strip=add(Strip("third", "mine:four")),
            run=(run("b/2", "y"), run("y", "near"), run("y", "far"), run("y", "third")),
            box=(Box("b", "mine:open-ended"), Box("c", "mine:mains")),
            igniter=(),
            cue=(),
        ),
        "run[3].from",
        "'y' has 2 outlets, all in use",
        "at most 2 runs from 'y'",
    ),
}

OF_CUES: dict[str, tuple[str, Cue, str, str]] = {
    "no time": ("DOC005", Cue("go", fire="b/1/1"), "cue[0]", "cue 'go' has no time"),
    "no circuit": ("DOC005", Cue("go", time_s=1.0), "cue[0]", "cue 'go' names its circuit 0 times"),
    "two circuits": (
        "DOC007",
        Cue("go", fire="b/1/1", target="one", time_s=1.0),
        "cue[0]",
        "cue 'go' names its circuit 2 times",
    ),
    "no output": (
        "DOC005",
        Cue("go", box="b", way=1, time_s=1.0),
        "cue[0]",
        "cue 'go' has no output",
    ),
    "no address": (
        "DOC007",
        Cue("go", fire="b/1", time_s=1.0),
        "cue[0].fire",
        "this is no address of a way",
    ),
    "no numbers": (
        "DOC007",
        Cue("go", fire="b/one/1", time_s=1.0),
        "cue[0].fire",
        "this is no address of a way",
    ),
}


def test_the_good_show_is_good() -> None:
    layout = good_layout()
    assert layout.boxes["b"] == (0, MINE.box[0], "mine:mains")
    assert layout.parts["far"].output == ("b", 1)
    assert [layout.parts[p].depth for p in ("near", "far", "y")] == [0, 1, 0]
    assert [p.id for p in layout.strips_on_output["b", 1]] == ["near", "far"]
    assert [p.id for p in layout.igniters] == ["one", "far/3", "far/3#2"]
    assert {k: [p.id for p in v] for k, v in layout.by_way.items()} == {
        ("b", 1, 1): ["one"],
        ("b", 1, 3): ["far/3", "far/3#2"],
    }
    assert layout.cues[0].way == ("b", 1, 1)
    assert layout.cues[0].lights is None


@pytest.mark.parametrize("name", TWICE)
def test_ids_are_unique(name: str) -> None:
    show, path, message = TWICE[name]
    _, problems = solve(show)
    assert [(p.code, format_path(p.path), p.message) for p in problems] == [
        ("DOC010", path, message)
    ]


@pytest.mark.parametrize("name", DANGLING)
def test_references_reach_something(name: str) -> None:
    show, path, message, suggestion = DANGLING[name]
    layout, problems = solve(show)
    assert layout is None
    found = [p for p in problems if p.path == problems[0].path]
    assert [(p.code, format_path(p.path), p.message, p.suggestion) for p in found] == [
        ("DOC011", path, message, suggestion)
    ]
    assert problems == tuple(found), "one fault, one finding"
    assert all(p.expected and p.got for p in problems)


@pytest.mark.parametrize("name", SHAPE)
def test_wiring_is_a_tree_that_fits_its_parts(name: str) -> None:
    code, show, path, message, expected = SHAPE[name]
    layout, problems = solve(show)
    assert layout is None
    found = [(p.code, format_path(p.path), p.message, p.expected) for p in problems]
    assert (code, path, message, expected) in found
    assert len([p for p in problems if p.code == code]) == 1


@pytest.mark.parametrize("name", OF_CUES)
def test_cues_say_when_and_what(name: str) -> None:
    code, cue, path, message = OF_CUES[name]
    layout, problems = solve(changed(cue=(cue,)))
    assert layout is None
    assert [(p.code, format_path(p.path), p.message) for p in problems] == [(code, path, message)]
    assert problems[0].expected


def test_several_igniters_say_how_they_are_joined() -> None:
    _, problems = solve(changed(igniter=add(Igniter("near/2", "mine:match", count=3))))
    assert [(p.code, format_path(p.path)) for p in problems] == [("DOC005", "igniter[3]")]


def test_all_problems_are_reported_at_once() -> None:
    show = changed(
        position=add(Position("lawn", (0.0, 0.0))),
        box=add(Box("b", "mine:mains"), Box("c", "mine:none")),
        strip=add(Strip("t", "mine:none"), Strip("loop", "mine:four")),
        run=add(
            run("b/9", "t", cable="none"),
            run("loop", "loop"),
            run("near", "loop"),
            run("nowhere", "nothing"),
        ),
        igniter=add(Igniter("near/9", "mine:none")),
        cue=add(Cue("go", fire="none/1/1", time_s=1.0, lights=("none",))),
    )
    _, problems = solve(show)
    assert sorted((p.code, format_path(p.path)) for p in problems) == [
        ("DOC010", "box[1].id"),
        ("DOC010", "cue[1].id"),
        ("DOC010", "position[1].id"),
        ("DOC011", "box[2].kind"),
        ("DOC011", "cue[1].fire"),
        ("DOC011", "cue[1].lights[0]"),
        ("DOC011", "igniter[3].at"),
        ("DOC011", "igniter[3].class"),
        ("DOC011", "run[3].cable"),
        ("DOC011", "run[3].from"),
        ("DOC011", "run[6].from"),
        ("DOC011", "run[6].to"),
        ("DOC011", "strip[2].kind"),
        ("DOC012", "run[4].from"),
        ("DOC013", "run[5].to"),
        ("DOC015", "run[5].from"),
    ]


def test_a_fault_is_not_reported_again_by_what_rests_on_it() -> None:
    """A box of unknown kind: its runs, cues and igniters are not called dangling too."""
    _, problems = solve(changed(box=(Box("b", "mine:none", at_m=(0.0, 0.0)),)))
    assert [format_path(p.path) for p in problems] == ["box[0].kind"]
    _, problems = solve(changed(strip=(Strip("near", "mine:none"), GOOD.strip[1])))
    assert [format_path(p.path) for p in problems] == ["strip[0].kind"]
    _, problems = solve(changed(igniter=(Igniter("near/1", "mine:none", id="one"),)))
    assert [format_path(p.path) for p in problems] == ["igniter[0].class"]


def test_a_target_on_a_faulty_strip_is_not_reported_again() -> None:
    show = changed(
        strip=(Strip("near", "mine:none"), GOOD.strip[1]),
        cue=(Cue("go", target="near/1", time_s=1.0), Cue("on", target="one", time_s=3.0)),
    )
    _, problems = solve(show)
    assert [format_path(p.path) for p in problems] == ["strip[0].kind"]


@pytest.mark.parametrize(
    ("runs", "path"),
    [
        ((run("c/1", "near"), run("near", "far")), "run[0].from"),
        ((run("b/1", "y"), run("far", "near"), run("near", "far")), "run[1].from"),
    ],
)
def test_a_target_behind_a_faulty_run_is_not_reported_again(
    runs: tuple[Run, ...], path: str
) -> None:
    cue = Cue("go", target="far/3", time_s=1.0)
    strips = (GOOD.strip[0], Strip("far", "mine:four", first_way=3))
    _, problems = solve(changed(strip=strips, run=runs, cue=(cue,)))
    assert [format_path(p.path) for p in problems] == [path]


def test_a_second_run_into_an_inlet_is_still_looked_at() -> None:
    _, problems = solve(changed(run=add(run("nowhere", "near", cable="none"))))
    assert sorted((p.code, format_path(p.path)) for p in problems) == [
        ("DOC011", "run[3].cable"),
        ("DOC011", "run[3].from"),
        ("DOC013", "run[3].to"),
    ]


def test_a_circle_is_reported_once_with_parts_that_hang_on_it() -> None:
    show = changed(
        strip=add(Strip("t", "mine:four")),
        run=(run("y", "near"), run("near", "y"), run("y", "t"), run("t", "far")),
        igniter=(),
        cue=(),
    )
    _, problems = solve(show)
    assert [p.code for p in problems] == ["DOC012"]


def test_two_circles_are_two_problems() -> None:
    show = changed(run=(run("near", "near"), run("y", "y")), igniter=(), cue=())
    _, problems = solve(show)
    assert [(p.code, format_path(p.path)) for p in problems] == [
        ("DOC012", "run[0].from"),
        ("DOC012", "run[1].from"),
    ]


def test_strips_are_counted_only_where_the_kit_says_how_many() -> None:
    boxes = (Box("b", "mine:open-ended"),)
    strips = tuple(Strip(f"s{n}", "mine:four") for n in range(12))
    runs = (run("b/1", "s0"), *(run(f"s{n}", f"s{n + 1}") for n in range(11)))
    layout = good_layout(
        changed(box=boxes, strip=strips, splitter=(), run=runs, igniter=(), cue=())
    )
    assert layout.parts["s11"].depth == 11


def test_a_bare_reference_is_searched_through_the_kits_in_order() -> None:
    show = changed(run=(run("b/1", "near", cable="reel"), run("near", "far", cable="rope")))
    layout = good_layout(show)
    assert layout.run_cables[0] is MINE.cable[0]
    assert layout.run_cables[1] is OTHER.cable[1]


@pytest.mark.parametrize(
    ("cue", "way"),
    [
        (Cue("go", target="one", time_s=1.0), ("b", 1, 1)),
        (Cue("go", target="far/3", time_s=1.0), ("b", 1, 3)),
        (Cue("go", target="far/6", time_s=1.0), ("b", 1, 6)),
        (Cue("go", box="b", output=1, way=3, time_s=1.0), ("b", 1, 3)),
        (Cue("go", fire="b/2/4", time_s=1.0), ("b", 2, 4)),
        # Numbers that the box does not have are a rule's matter.
        (Cue("go", fire="b/7/9", time_s=1.0), ("b", 7, 9)),
    ],
)
def test_where_a_cue_fires(cue: Cue, way: tuple[str, int, int]) -> None:
    assert good_layout(changed(cue=(cue,))).cues[0].way == way


def test_an_unnamed_igniter_never_takes_a_stated_id() -> None:
    show = changed(
        igniter=(
            Igniter("near/1", "mine:match"),
            Igniter("near/2", "mine:match", id="near/1"),
            Igniter("near/1", "mine:match"),
        ),
        cue=(),
    )
    layout = good_layout(show)
    assert [p.id for p in layout.igniters] == ["near/1#2", "near/1", "near/1#3"]


def test_an_igniter_on_an_unwired_strip_is_on_no_way() -> None:
    layout = good_layout(changed(run=GOOD.run[:1]))
    assert layout.by_way == {("b", 1, 1): [layout.igniters[0]]}
    assert layout.way_of(layout.igniters[1]) is None


def test_lengths_stated_derived_and_unknown() -> None:
    bare = (run("b/1", "near", length_m=None), run("near", "far", length_m=None))
    assert good_layout(changed(run=bare)).run_lengths == [None, None]
    slack = good_layout(changed(run=bare, site=Site(cable_slack_pct=10.0)))
    # 30 m east and 40 m north: 50 m, and 10 % more
    near, far = slack.run_lengths
    assert near is not None
    assert (near.min, near.max) == pytest.approx((55.0, 55.0))
    assert not near.stated
    assert far is None
    assert good_layout().run_lengths[0] == LENGTH
    assert straight_distance_m(GOOD, 0) == pytest.approx(50.0)
    assert straight_distance_m(GOOD, 1) is None


@pytest.mark.parametrize("number", ["9" * 5000, "1" * 10, "0", "", "²", "-1", "1.0"])
def test_what_is_no_number_of_a_way_or_output_is_a_finding(number: str) -> None:
    wrong = changed(
        run=(run(f"b/{number}", "near"), *GOOD.run[1:]),
        igniter=(Igniter(f"near/{number}", "mine:match", id="one"), *GOOD.igniter[1:]),
        cue=(Cue("go", fire=f"b/1/{number}", time_s=1.0), Cue("on", target="one", time_s=2.0)),
    )
    found = {(f.code, format_path(f.path)) for f in solve(wrong)[1]}
    assert {("DOC011", "run[0].from"), ("DOC011", "igniter[0].at")} <= found
    if not number.isdecimal() or len(number) > 9:
        assert ("DOC007", "cue[0].fire") in found


def test_one_strip_too_many_for_an_output_of_one_strip() -> None:
    kit = evolve(MINE, box=(evolve(MINE.box[0], max_strips=1), *MINE.box[1:]))
    _, found = resolve(GOOD, Catalogue({"mine": kit, "other": OTHER}))
    (finding,) = found
    assert finding.code == "DOC014"
    assert "addresses 1 strip; 'far' is one too many" in finding.message
    assert finding.expected == "at most 1 strip"
