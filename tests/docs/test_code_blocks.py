"""Every block of the documentation is run or read; see `code_blocks.SORTS`."""

from __future__ import annotations

import doctest
import importlib
import importlib.util
import json
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

import bridgewire
import bridgewire.plugins
from bridgewire.api import check, load_show
from bridgewire.documents.schema import schema_file
from bridgewire.plugins import load_plugins
from bridgewire.report.sheets.labels import labels
from bridgewire.testing import rule_cases
from tests.docs.code_blocks import BLOCKS, ROOT, SORTS, Block, of_sort, one
from tests.docs.page_tools import code_blocks, script
from tests.group.tools import DAY, copy_of_group, shell, tool_or_skip, with_command
from tests.plugins.conftest import site  # noqa: F401
from tests.plugins.distributions import install

SKIPS_ALLOWED = 3
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
CONSOLE = script("console_blocks")


def names(blocks: list[Block]) -> list[str]:
    return [b.name for b in blocks]


def test_every_block_is_of_a_sort_that_is_run_or_read() -> None:
    strange = [f"{b.name}: {b.sort!r}" for b in BLOCKS if b.sort not in SORTS and not b.skip]
    assert strange == [], "give the block one of the words of tests/docs/code_blocks.py"


def test_few_blocks_are_skipped_and_say_why() -> None:
    skipped = [f"{b.name}: {b.skip}" for b in BLOCKS if b.skip]
    assert len(skipped) <= SKIPS_ALLOWED, skipped
    assert all(len(b.skip.split()) >= 3 for b in BLOCKS if b.skip)


def test_the_other_test_runs_and_loads_what_is_said_to_be_run_and_loaded() -> None:
    assert len(of_sort("python")) == len(code_blocks("python"))
    whole = [b for b in code_blocks("toml") if b[1] in ("show", "kit")]
    assert len(of_sort("toml show", "toml kit")) == len(whole)


def test_every_console_block_is_one_that_the_other_test_runs() -> None:
    run = [b for page in {b.page for b in BLOCKS} for b in CONSOLE.blocks_of(page)]
    assert len(of_sort("console")) == len(run), "a console block begins with '$ bridgewire ...'"


@pytest.mark.parametrize("block", of_sort("pycon"), ids=names(of_sort("pycon")))
def test_session_gives_what_it_shows(block: Block, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    names = {n: getattr(bridgewire.plugins, n) for n in bridgewire.plugins.__all__}
    test = doctest.DocTestParser().get_doctest(
        block.text, names, block.name, str(block.page), block.line
    )
    assert doctest.DocTestRunner().run(test).failed == 0


# Tables of files


def partly(schema: Any) -> Any:
    """A schema that accepts documents from which something is left out."""
    if isinstance(schema, dict):
        return {
            k: partly(v)
            for k, v in schema.items()
            if not (k == "required" and isinstance(v, list)) and k not in ("if", "then", "else")
        }
    return [partly(v) for v in schema] if isinstance(schema, list) else schema


def validator(kind: str, whole: bool) -> jsonschema.Draft202012Validator:
    schema = json.loads(schema_file(kind).read_text(encoding="utf-8"))
    if not whole:
        bands = {n: d for n, d in schema["$defs"].items() if n.startswith("Band")}
        schema = partly(schema)
        schema["$defs"] |= bands  # a band is whole or it is none
    return jsonschema.Draft202012Validator(schema)


def plain(value: Any) -> Any:
    """As JSON would have it: dates are texts."""
    return json.loads(json.dumps(value, default=str))


PARTS = of_sort("toml show-part", "toml kit-part", "toml bench-part", "toml site-part")


@pytest.mark.parametrize("block", PARTS, ids=names(PARTS))
def test_part_of_a_file_has_keys_and_values_that_are_allowed(block: Block) -> None:
    kind = block.words.partition("-")[0]
    errors = list(validator(kind, whole=False).iter_errors(plain(tomllib.loads(block.text))))
    assert [e.message for e in errors] == []


def test_part_with_a_slip_is_not_allowed() -> None:
    for text in (
        "[cutting]\nallowance = 1\n",
        "[cutting]\nstep_m = -1\n",
        "[site]\nambient_C = {}",
    ):
        assert list(validator("show", whole=False).iter_errors(tomllib.loads(text)))


def test_whole_bench_records_are_allowed() -> None:
    for block in of_sort("toml bench"):
        errors = list(validator("bench", whole=True).iter_errors(plain(tomllib.loads(block.text))))
        assert [e.message for e in errors] == [], block.name


def test_json_can_be_read() -> None:
    for block in of_sort("json"):
        assert json.loads(block.text), block.name


def test_cue_list_of_the_page_is_read_by_its_show(tmp_path: Path) -> None:
    settings = tomllib.loads(one("show-file.md", "toml cues").text)
    show = tomllib.loads((ROOT / "examples/midwinter-small.toml").read_text(encoding="utf-8"))
    del show["cue"]
    (tmp_path / "show.json").write_text(json.dumps(plain(show | settings)), encoding="utf-8")
    rows = one("show-file.md", "csv cues").text
    (tmp_path / settings["cue_list"]["file"]).write_text(rows, encoding="utf-8")
    loaded = load_show(tmp_path / "show.json")
    assert len(loaded.show.cue) == rows.count("\n") - 1
    assert [c.time_s for c in loaded.show.cue] == [10.0, 26.5]


@pytest.mark.parametrize("block", of_sort("csv trials"), ids=names(of_sort("csv trials")))
def test_trials_can_be_read(block: Block, tmp_path: Path) -> None:
    from bridgewire.bench.sensitivity.reading import read_trial_files

    file = tmp_path / "trials.csv"
    file.write_text(block.text, encoding="utf-8")
    (found,) = read_trial_files([str(file)])
    assert len(found.trials.level) == block.text.count("\n") - 1


@pytest.mark.parametrize("block", of_sort("csv file"), ids=names(of_sort("csv file")))
def test_file_is_that_of_the_examples(block: Block) -> None:
    assert block.text == (ROOT / block.field("file")).read_text(encoding="utf-8")


@pytest.mark.parametrize("block", of_sort("text case"), ids=names(of_sort("text case")))
def test_head_of_a_case_can_be_read(block: Block, tmp_path: Path) -> None:
    (tmp_path / "XHA001").mkdir()
    (tmp_path / "XHA001" / "fail_shown.toml").write_text(block.text, encoding="utf-8")
    (case,) = rule_cases(tmp_path)
    assert len(case.expected()) == block.text.count("# expect:") > 0


def test_label_says_what_the_page_shows() -> None:
    block = one("sheets.md", "text label")
    report = check(ROOT / "examples/midwinter-small.toml")
    assert report.assessment is not None
    rows = labels(report.assessment.layout, report.title, report.revision)
    # The revision changes with every change of a shipped kit; it is not held here.
    said = [label.code.replace(report.revision, "") for _, label in rows]
    assert re.sub(r"(?<=; rev )[0-9a-f]{12}(?=;)", "", block.text.strip()) in said


# A plugin


def test_first_plugin_of_the_page_loads(site: Path) -> None:  # noqa: F811
    project = tomllib.loads(one("plugins.md", "toml plugin").text)
    ((group, points),) = project["project"]["entry-points"].items()
    ((name, module),) = points.items()
    source = next(b.text for b in of_sort("python") if "def bridgewire_igniter_models" in b.text)
    install(
        site,
        source,
        name=name,
        module=module,
        project=project["project"]["name"],
        version=project["project"]["version"],
        head="",
        points=f"[{group}]\n{name} = {module}\n",
    )
    found = load_plugins()
    assert [p.name for p in found.loaded] == [name]
    part = tomllib.loads(one("plugins.md", "toml kit-part").text)
    assert part["igniter_class"][0]["model"] in found.models.igniters


# Commands


def _ci_words(text: str) -> set[str]:
    return {" ".join(line.replace('"$work/dev/bin/', "").replace('"', "").split())
            for line in text.splitlines()}  # fmt: skip


@pytest.mark.parametrize("block", of_sort("sh ci"), ids=names(of_sort("sh ci")))
def test_ci_runs_the_commands(block: Block) -> None:
    if block.page.name == "README.md":
        # .ci/run takes the command out of the page and runs it as it stands.
        asked = re.findall(r'readme_command "([^"]+)"', CI)
        assert sum(words in block.text for words in asked) == 1
        return
    done = _ci_words(CI)
    for command in re.split(r" && |\n", block.text.strip()):
        words = command.replace(".venv/bin/", "").replace("'", "")
        if words in ("python3 -m venv .venv", "pytest -n auto --dist loadfile"):
            continue  # the first of every set-up; README's test command
        assert any(line.replace("'", "").startswith(words) for line in done), command


def commands_of(data: Any) -> Iterator[str]:
    """Lines below ``run`` and ``script`` of a service's file."""
    if isinstance(data, list):
        for item in data:
            yield from commands_of(item)
    elif isinstance(data, dict):
        for key, value in data.items():
            if key in ("run", "script"):
                lines = value if isinstance(value, list) else value.splitlines()
                yield from (str(line) for line in lines)
            else:
                yield from commands_of(value)


@pytest.fixture
def group(tmp_path: Path) -> Path:
    """A copy of the example repository, under version control, with a remote branch."""
    tool_or_skip("git")
    copy = copy_of_group(tmp_path)
    git = ["git", "-c", "user.name=crew", "-c", "user.email=crew@example.org"]
    for words in (["init", "-q"], ["add", "-A"], ["commit", "-q", "-m", "as it was"]):
        subprocess.run([*git, *words], cwd=copy, check=True)
    subprocess.run([*git, "update-ref", "refs/remotes/origin/main", "HEAD"], cwd=copy, check=True)
    return copy


def _path(tmp_path: Path) -> str:
    folder = tmp_path / "bin"
    path = with_command(folder)
    runner = folder / "pytest"
    runner.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m pytest -p no:cacheprovider "$@"\n')
    runner.chmod(0o755)
    return path


@pytest.mark.parametrize("block", of_sort("yaml commands"), ids=names(of_sort("yaml commands")))
def test_commands_of_a_service_run(block: Block, group: Path, tmp_path: Path) -> None:
    commands = [c for c in commands_of(yaml.safe_load(block.text)) if c.startswith("bridgewire")]
    assert commands
    for command in commands:
        done = shell(f"{command} --kit-dir kits --today {DAY}", group, {"PATH": _path(tmp_path)})
        assert done.returncode in (0, 1), done.stdout + done.stderr
        assert "internal error" not in done.stderr


@pytest.mark.parametrize("block", of_sort("sh group"), ids=names(of_sort("sh group")))
def test_commands_run_in_a_repository(block: Block, group: Path, tmp_path: Path) -> None:
    if block.text.startswith("pytest"):
        shutil.copy(_ini(tmp_path), group)
    done = shell(block.text, group, {"PATH": _path(tmp_path), "TODAY": DAY})
    assert done.returncode == 0, done.stdout + done.stderr


def _ini(tmp_path: Path) -> Path:
    file = tmp_path / "pytest.ini"
    file.write_text(one("testing-your-kit.md", "ini group").text, encoding="utf-8")
    return file


def test_tests_of_a_group_print_what_the_page_shows(tmp_path: Path) -> None:
    # The Midwinter show, with a pulse that is too short for the lances.
    folder = tmp_path / "group"
    (folder / "kits").mkdir(parents=True)
    shed = "examples/packages/harrowmere-kit/src/harrowmere_kit/harrowmere-shed.toml"
    shutil.copy(ROOT / shed, folder / "kits" / "club.toml")
    show = (ROOT / "examples/midwinter-small.toml").read_text(encoding="utf-8")
    assert show.count("pulse_s = 2.0") == 1
    short = show.replace("pulse_s = 2.0", "pulse_s = 0.01")
    short = short[: short.index('[[cue]]\nid = "crackle"')]
    (folder / "midwinter.toml").write_text(short, encoding="utf-8")
    shutil.copy(_ini(tmp_path), folder)
    done = shell("pytest -v", folder, {"PATH": _path(tmp_path), "COLUMNS": "80"})
    lines = re.findall(r"^(\S.*::.* (?:PASSED|FAILED)) +\[", done.stdout, re.M)
    assert "\n".join(lines) + "\n" == one("testing-your-kit.md", "text tests").text


@pytest.mark.parametrize("block", of_sort("text folders"), ids=names(of_sort("text folders")))
def test_folders_are_there(block: Block) -> None:
    for line in block.text.splitlines():
        assert (ROOT / "examples" / "group-repository" / line.split()[0]).is_dir()


@pytest.mark.parametrize("block", of_sort("yaml pre-commit"), ids=names(of_sort("yaml pre-commit")))
def test_hooks_are_there(block: Block) -> None:
    ours = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    known = {hook["id"] for hook in ours}
    for repo in yaml.safe_load(block.text)["repos"]:
        assert repo["hooks"]
        for hook in repo["hooks"]:
            assert hook["id"] in known


@pytest.mark.parametrize("block", of_sort("yaml action"), ids=names(of_sort("yaml action")))
def test_action_has_the_inputs(block: Block) -> None:
    action = yaml.safe_load((ROOT / ".github/actions/check/action.yml").read_text(encoding="utf-8"))
    steps = [s for s in yaml.safe_load(block.text) if ".github/actions/check" in s["uses"]]
    assert steps
    for step in steps:
        assert set(step.get("with", {})) <= set(action["inputs"])


def test_benchmarks_that_the_guide_names_can_be_imported() -> None:
    (block,) = [b for b in BLOCKS if b.skip and "benchmarks" in b.text]
    files = re.findall(r"tests/benchmarks/\w+\.py", block.text)
    assert files
    for file in files:
        spec = importlib.util.spec_from_file_location("benchmark", ROOT / file)
        assert spec is not None
        assert spec.loader is not None
        spec.loader.exec_module(importlib.util.module_from_spec(spec))
