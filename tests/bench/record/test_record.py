"""Bench records: loading, the filled-in form, contradictions, wiring."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.record_notes import assumptions, observations
from bridgewire.bench.wiring import load_record, record_path, show_of
from bridgewire.diagnostics import Finding, format_path
from bridgewire.documents.loader import load_bench, load_kit, load_show
from bridgewire.errors import InputError
from bridgewire.report.bench_record_text import bench_record_text
from tests.bench.setups import findings_of, fresh, seen, shot, wiring

EXAMPLES = Path(__file__).parents[3] / "examples"
EXAMPLE = EXAMPLES / "bench-evening" / "record.toml"

HEAD = """\
format = 1
title = "Evening"
kits = ["harrowmere", "generic"]
[meter]
time_tol_s = 0.1
resistance_tol_ohm = 0.05
"""
WIRING = '\n[[bench]]\nid = "chain"\n' + wiring(
    "bench", ("heron-1", "heron"), ("a", "jetty-strip-8"), "shore-cable", 20
)
TRIAL = (
    '\n[[trial]]\nid = "1"\nbench = "chain"\n'
    + fresh("near", "a/1", "clip-on-short")
    + fresh("next", "a/1", "clip-on-short")
    + shot("heron-1/1/1", 0.5)
)


def record_file(tmp_path: Path, body: str, head: str = HEAD, bench: str = WIRING) -> Path:
    file = tmp_path / "record.toml"
    file.write_text(head + bench + body, encoding="utf-8")
    return file


def problems(tmp_path: Path, body: str, **more: str) -> list[Finding]:
    return findings_of(load_record, record_file(tmp_path, body, **more))


def test_the_example_loads() -> None:
    model = compile_record(load_record(EXAMPLE))
    assert len(model.trials) == 10
    assert sum(len(t.igniters) for t in model.trials) == 40
    assert observations(model) > 130
    assert bench_record_text(model).startswith("Evening on the bench: 10 trials, 24 shots")


CONTRADICTIONS = {
    "dark but placed": (seen('igniter = "near"', "lit = false", "order = 1"), "seen[0].order"),
    "dark but timed": (
        seen('igniter = "near"', "lit = false", "time_s = 0.2"),
        "seen[0].time_s",
    ),
    "timed but not said to be lit": (seen('igniter = "near"', "time_s = 0.2"), "seen[0].time_s"),
    "never lit but open": (
        seen('igniter = "near"', "lit = false", 'state_after = "open"'),
        "seen[0].state_after",
    ),
    "seen twice": (
        seen('igniter = "near"', "lit = true") + seen('igniter = "near"', "lit = true"),
        "seen[1].igniter",
    ),
    "lit after the end": (
        seen('igniter = "near"', "lit = true", "time_s = { min = 0.6, max = 0.7 }"),
        "seen[0].time_s",
    ),
    "order against times": (
        seen('igniter = "near"', "lit = true", "order = 1", "time_s = { min = 0.3, max = 0.4 }")
        + seen('igniter = "next"', "lit = true", "order = 2", "time_s = { min = 0.1, max = 0.2 }"),
        "seen[0].order",
    ),
    "gap in the order": (
        seen('igniter = "near"', "lit = true", "order = 2")
        + seen('igniter = "next"', "lit = true", "order = 4"),
        "seen[0].order",
    ),
    "open but reads": (
        seen('igniter = "near"', "lit = true", 'state_after = "open"', "reading_ohm = 1.7"),
        "seen[0].reading_ohm",
    ),
}


@pytest.mark.parametrize("name", list(CONTRADICTIONS))
def test_contradictions_are_found_at_their_place(tmp_path: Path, name: str) -> None:
    body, where = CONTRADICTIONS[name]
    found = problems(tmp_path, TRIAL + body)
    assert {f.code for f in found} == {"DOC019"}
    places = [format_path(f.path).removeprefix("trial[0].shot[0].") for f in found]
    assert where in places
    assert all(f.location is not None and f.location.line > 20 for f in found)


AGAIN = shot("heron-1/1/1", 0.5)


def test_a_spent_igniter_is_not_fresh(tmp_path: Path) -> None:
    lit = seen('igniter = "near"', "lit = true", 'state_after = "open"')
    found = problems(tmp_path, TRIAL + lit + AGAIN + seen('igniter = "near"', "lit = true"))
    assert [f.message for f in found] == ["'near' was lit in shot 1 already, and is spent"]


def test_an_open_bridge_does_not_close(tmp_path: Path) -> None:
    lit = seen('igniter = "near"', "lit = true", 'state_after = "open"')
    again = seen('igniter = "near"', 'state_after = "closed"')
    (found,) = problems(tmp_path, TRIAL + lit + AGAIN + again)
    assert "had parted in shot 1" in found.message


def test_two_that_share_a_place_may_be_followed_by_two_or_three(tmp_path: Path) -> None:
    third = '[[trial.igniter]]\nid = "last"\nat = "a/1"\nclass = "clip-on-short"\n'
    for number in (2, 3):
        trial = TRIAL.replace("[[trial.shot]]", third + "[[trial.shot]]")
        body = "".join(
            seen(f'igniter = "{name}"', "lit = true", f"order = {n}")
            for name, n in (("near", 1), ("next", 1), ("last", number))
        )
        load_record(record_file(tmp_path, trial + body))


def test_all_problems_come_at_once(tmp_path: Path) -> None:
    body = TRIAL.replace('bench = "chain"', 'bench = "chian"') + seen(
        'igniter = "naer"', "lit = true"
    )
    extra = '[[trial]]\nid = "1"\nbench = "chain"\n[[trial.igniter]]\nat = "a/1"\nclass = "x"\n'
    found = problems(tmp_path, body + extra)
    codes = {f.code for f in found}
    assert {"DOC005", "DOC010", "DOC011"} <= codes
    assert any(f.suggestion == "chain" for f in found)


def test_references_and_wiring_are_placed_in_the_record(tmp_path: Path) -> None:
    bench = WIRING.replace("shore-cable", "shore-cabel")
    body = TRIAL.replace('"clip-on-short"\n[[trial.shot]]', '"clip-on-shrot"\n[[trial.shot]]')
    found = problems(tmp_path, body, bench=bench)
    assert {format_path(f.path) for f in found} == {
        "bench[0].run[0].cable",
        "trial[0].igniter[1].class",
    }


def test_an_igniter_on_another_way_cannot_light(tmp_path: Path) -> None:
    body = TRIAL.replace('fire = "heron-1/1/1"', 'fire = "heron-1/1/2"')
    (found,) = problems(tmp_path, body + seen('igniter = "near"', "lit = true"))
    assert "not on the way heron-1/1/2" in found.message


def test_a_way_that_is_not_there(tmp_path: Path) -> None:
    body = TRIAL.replace('fire = "heron-1/1/1"', 'fire = "heron-1/9/1"')
    (found,) = problems(tmp_path, body)
    assert found.code == "DOC007"
    assert format_path(found.path) == "trial[0].shot[0].fire"


def test_readings_need_a_meter(tmp_path: Path) -> None:
    head = HEAD.split("[meter]")[0]
    body = TRIAL.replace(
        "[[trial.shot]]", '[[trial.reading]]\nigniter = "near"\nreading_ohm = 1.7\n[[trial.shot]]'
    ) + seen('igniter = "near"', "lit = true", "time_s = 0.2")
    found = problems(tmp_path, body, head=head)
    assert {f.code for f in found} == {"DOC005"}
    assert len(found) == 2


def test_missing_kit_data_are_said_before_anything_is_computed(tmp_path: Path) -> None:
    (tmp_path / "thin.toml").write_text(
        'format = 1\nid = "thin"\n[[igniter_class]]\nid = "unknown"\nkind = "bridge-igniter"\n',
        encoding="utf-8",
    )
    head = HEAD.replace('"generic"]', '"generic", "thin"]')
    body = TRIAL.replace('"clip-on-short"', '"unknown"')
    with pytest.raises(InputError) as caught:
        compile_record(load_record(record_file(tmp_path, body, head=head)))
    assert {f.code for f in caught.value.findings} == {"KIT001"}
    assert all(f.location is not None for f in caught.value.findings)


def test_shows_and_records_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="1 problem") as caught:
        load_bench(EXAMPLES / "jetty-trial.toml")
    assert caught.value.findings[0].message == "this is a show, not a bench record"
    with pytest.raises(InputError) as caught:
        load_show(EXAMPLE)
    assert any("bench record, not a show" in f.message for f in caught.value.findings)
    with pytest.raises(InputError):
        load_kit(EXAMPLE)


def test_a_trial_as_a_show() -> None:
    record, _ = load_bench(EXAMPLE)
    show = show_of(record, record.trial[4])
    assert [c.time_s for c in show.cue] == pytest.approx([0.0, 20.22, 41.22, 71.32, 92.02])
    assert record_path(record, 4, ("cue", 1, "fire")) == ("trial", 4, "shot", 1, "fire")
    assert record_path(record, 4, ("site", "ambient_C")) == ("site", "ambient_C")


# ---------------------------------------------------------------------- the filled-in form

FORM_TRIALS = '[results]\nfile = "evening.csv"\n[[trial]]\nid = "1"\nbench = "chain"\n'
ROW = "1,1,near,clip-on-short,a/1,0.5,21.2,yes,1,0.2 to 0.4,open,,\n"
HEADINGS = (
    "trial,shot,igniter,class,place,pulse_s,supply_V,lit,order,time_s,state_after,"
    "reading_ohm,remark\n"
)


def form(tmp_path: Path, rows: str, headings: str = HEADINGS, body: str = FORM_TRIALS) -> Path:
    (tmp_path / "evening.csv").write_text(headings + rows, encoding="utf-8")
    return record_file(tmp_path, body)


def test_the_form_makes_shots_and_igniters(tmp_path: Path) -> None:
    rows = ROW + "1,1,next,clip-on-short,a/1,0.5,21.2,no,,,,1.78,\n"
    rows += "1,2,next,,,0.8,21.1,?,,,unknown,,=1+1\n"
    record, document = load_bench(form(tmp_path, rows))
    (trial,) = record.trial
    assert [i.id for i in trial.igniter] == ["near", "next"]
    first, second = trial.shot
    assert first.fire == "heron-1/1/1"
    assert first.supply_V is not None
    assert first.supply_V.typical == 21.2
    near, later = first.seen
    assert near.time_s is not None
    assert (near.time_s.min, near.time_s.max) == (0.2, 0.4)
    assert (later.lit, later.reading_ohm) == (False, 1.78)
    assert (second.seen[0].lit, second.seen[0].remark) == (None, "=1+1")
    assert len(document.included) == 1
    load_record(tmp_path / "record.toml")


def test_a_row_fills_an_entry_that_says_nothing(tmp_path: Path) -> None:
    empty = FORM_TRIALS + shot("heron-1/1/1", 0.5) + seen('igniter = "near"')
    (told,) = load_bench(form(tmp_path, ROW, body=empty))[0].trial[0].shot[0].seen
    assert (told.lit, told.order) == (True, 1)
    with pytest.raises(InputError) as caught:  # one that says something is not written over
        load_bench(form(tmp_path, ROW, body=empty + "lit = false\n"))
    assert any("seen twice" in f.message for f in caught.value.findings)
    twice = ROW + ROW.replace("yes", "no").replace(",1,0.2 to 0.4", ",,")
    with pytest.raises(InputError):
        load_bench(form(tmp_path, twice, body=empty))


def test_blank_cells_at_the_end_of_a_row_are_passed_over(tmp_path: Path) -> None:
    rows = ROW.replace("open,,", "closed,1.8,8,")
    (told,) = load_bench(form(tmp_path, rows))[0].trial[0].shot[0].seen
    assert (told.reading_ohm, told.remark) == (1.8, "8")


def test_the_form_may_head_its_columns_run_and_step(tmp_path: Path) -> None:
    headings = HEADINGS.replace("trial,shot", "Run,Step")
    assert load_bench(form(tmp_path, ROW, headings))[0].trial[0].shot[0].seen[0].lit is True


def test_the_form_with_commas(tmp_path: Path) -> None:
    body = FORM_TRIALS.replace('"evening.csv"', '"evening.csv"\ndelimiter = ";"\ndecimal = ","')
    rows = ROW.replace(",", ";").replace("0.", "0,").replace("21.2", "21,2")
    headings = HEADINGS.replace(",", ";")
    (read,) = load_bench(form(tmp_path, rows, headings, body))[0].trial[0].shot
    assert read.pulse_s == 0.5


BAD_ROWS = {
    "maybe": (ROW.replace("yes", "maybe"), "DOC007", 'cannot be read as "lit"'),
    "no such trial": (ROW.replace("1,1,near", "7,1,near"), "DOC011", "no trial"),
    "no such place": (ROW.replace("a/1", "b/1"), "DOC011", "no box leads to"),
    "no place": (ROW.replace("a/1", ""), "DOC005", "where it sits"),
    "other pulse": (
        ROW + ROW.replace("near", "next").replace("0.5", "0.6").replace(",1,0.2", ",2,0.2"),
        "DOC019",
        "another here than before",
    ),
    "other class": (
        ROW + "1,2,near,clip-on-long,a/1,0.5,21.2,,,,,,\n",
        "DOC019",
        "another here than before",
    ),
    "no pulse": (ROW.replace(",0.5,", ",,"), "DOC005", "pulse_s"),
    "text for ohms": (ROW.replace("open,,", "closed,<script>,"), "DOC007", "reading_ohm"),
    "unclosed quote": (ROW + '1,2,"near', "DOC002", "quote"),
    "odd state": (ROW.replace("open", "melted"), "DOC007", "not one of the choices"),
    "huge": (ROW.replace("21.2", "1e400"), "DOC007", ""),
    "more cells": (ROW.replace("open,,", "open,,,note"), "DOC002", "more cells"),
    "decimal comma": (ROW.replace("open,,", "open,1,8,"), "DOC002", "decimal comma"),
}


@pytest.mark.parametrize("name", list(BAD_ROWS))
def test_bad_rows_are_found_in_the_form(tmp_path: Path, name: str) -> None:
    rows, code, words = BAD_ROWS[name]
    with pytest.raises(InputError) as caught:
        load_bench(form(tmp_path, rows))
    found = [f for f in caught.value.findings if f.code == code and words in f.message]
    assert found, [(f.code, f.message) for f in caught.value.findings]
    assert found[0].location is not None
    assert found[0].location.file.endswith("evening.csv")


@pytest.mark.parametrize("headings", ["", "trial,shot,igniter\n", HEADINGS.replace("lit", "lt")])
def test_headings_are_checked(tmp_path: Path, headings: str) -> None:
    with pytest.raises(InputError):
        load_bench(form(tmp_path, ROW if headings else "\n", headings))


@pytest.mark.parametrize("name", ["../evening.csv", "/tmp/evening.csv", "", "gone.csv"])
def test_forms_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    body = FORM_TRIALS.replace("evening.csv", name)
    with pytest.raises(InputError) as caught:
        load_bench(form(tmp_path, ROW, body=body))
    assert any(f.path == ("results", "file") for f in caught.value.findings)


# ---------------------------------------------------------------------- the forward model


def test_what_is_assumed_is_said(tmp_path: Path) -> None:
    body = TRIAL + seen('igniter = "near"', "lit = true") + AGAIN
    model = compile_record(load_record(record_file(tmp_path, body)))
    text = " ".join(assumptions(model))
    for words in ("ambient_C", "rest_s", "supply_V"):
        assert words in text


def test_trials_on_one_bench_share_its_cables_but_not_its_igniters(tmp_path: Path) -> None:
    body = TRIAL + TRIAL.replace('id = "1"', 'id = "2"')
    model = compile_record(load_record(record_file(tmp_path, body)))
    for unknown in model.unknowns:
        if unknown.role == "wiring":
            assert unknown.trials == {0, 1}
            assert unknown.key.startswith("bench/chain/")
        if unknown.role == "igniter":
            assert len(unknown.trials) == 1


def test_state_is_carried_from_shot_to_shot() -> None:
    model = compile_record(load_record(EXAMPLE))
    z = np.random.default_rng(1).standard_normal((200, model.size))
    for outcome in model.run(z):
        lit = outcome.lit
        later = lit[:, 1:] | (outcome.level[:, 1:] == -3.0)  # not fired: not asked
        assert (lit[:, :-1] <= later).all()
        assert (outcome.parted[:, :-1] <= outcome.parted[:, 1:]).all()
        assert (outcome.parted <= np.maximum.accumulate(lit, axis=1)).all()


def test_short_pulses_add_up_and_a_long_one_reaches_further() -> None:
    model = compile_record(load_record(EXAMPLE))
    typical = model.run(np.zeros((1, model.size)))
    single = typical[4]
    names = model.trials[4].igniters
    e2 = names.index("e2")
    assert not single.lit[0, 2, e2]  # one pulse of 0.1 s
    assert single.lit[0, 3, e2]  # five of them
    reach = [int(typical[n].lit[0, 0].sum()) for n in (0, 1)]
    assert reach[0] < reach[1]
    clad = int(typical[5].lit[0, 0].sum())
    assert clad < reach[0]


def test_a_trial_without_a_shot_is_refused(tmp_path: Path) -> None:
    body = TRIAL + TRIAL.split("[[trial.shot]]")[0].replace('id = "1"', 'id = "2"')
    with pytest.raises(InputError) as caught:
        compile_record(load_record(record_file(tmp_path, body)))
    (found,) = caught.value.findings
    assert "no shot at an igniter" in found.message
    assert found.path == ("trial", 1)


def test_outcomes_agree_with_a_check_of_the_same_wiring() -> None:
    """A trial on the bench and a cue in a show: the same typical light times."""
    from bridgewire.timeline.assess import assess

    loaded = load_record(EXAMPLE)
    model = compile_record(loaded)
    for number in (2, 3, 9):
        outcome = model.trials[number].run(np.zeros((1, model.size)), 1e-6)
        cue = assess(loaded.layouts[number]).cues[0]
        for column, igniter in enumerate(cue.igniters):
            lit = bool(outcome.lit[0, 0, column])
            assert lit == np.isfinite(igniter.light.typical)
            if lit:
                # The check takes a supply of the kit, the bench what was read before the shot.
                assert outcome.light_s[0, 0, column] == pytest.approx(
                    igniter.light.typical, rel=0.12
                )
