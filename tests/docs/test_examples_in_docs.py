"""What the documentation shows works: shows and kits load, Python runs, commands exit as stated."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from bridgewire.api import load_show
from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
from tests.docs.page_tools import PAGES, ROOT, code_blocks, script

CONSOLE = script("console_blocks")
COMMANDS = [block for page in PAGES for block in CONSOLE.blocks_of(page)]
WHOLE = [b for b in code_blocks("toml") if b[1] in ("show", "kit")]
PYTHON = code_blocks("python")


def test_there_are_examples_of_every_sort() -> None:
    assert {b[1] for b in WHOLE} == {"show", "kit"}
    assert PYTHON
    assert COMMANDS


@pytest.mark.parametrize(("kind", "text"), [b[1:] for b in WHOLE], ids=[b[0] for b in WHOLE])
def test_whole_document_loads(kind: str, text: str, tmp_path: Path) -> None:
    file = tmp_path / "document.toml"
    file.write_text(text, encoding="utf-8")
    if kind == "kit":
        name = tomllib.loads(text)["id"]
        assert find_kits([name], [tmp_path, shipped_profiles_dir()])[name].kit.id == name
    else:
        load_show(file)


@pytest.mark.parametrize("text", [b[2] for b in PYTHON], ids=[b[0] for b in PYTHON])
def test_python_runs(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    exec(compile(text, "example", "exec"), {"__name__": "example"})


@pytest.mark.parametrize("block", COMMANDS, ids=[f"{b.page.name}:{b.command}" for b in COMMANDS])
def test_command_prints_what_the_page_shows(block: object) -> None:
    assert isinstance(block, CONSOLE.Block)
    with CONSOLE.scratch_folder():
        code, printed = CONSOLE.run(block.command)
    assert code == block.exit_code, printed
    assert block.output == block.shown(printed), "run: python docs/console_blocks.py"


def test_links_lead_to_files_that_are_there() -> None:
    for page in PAGES:
        text = re.sub(r"^```.*?^```$", "", page.read_text(encoding="utf-8"), flags=re.M | re.S)
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)\s]*)?\)", text):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{page.name}: {target}"
