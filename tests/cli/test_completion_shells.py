"""fish and zsh themselves complete, with the script that the command prints for them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from bridgewire.cli.main import COMMANDS
from tests.cli.completing import SMALL, Fish, Zsh, shows_in


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return shows_in(tmp_path_factory.mktemp("shows") / "work")


@pytest.fixture(scope="module")
def fish(tmp_path_factory: pytest.TempPathFactory) -> Fish:
    return Fish(tmp_path_factory.mktemp("fish"))


@pytest.fixture(scope="module")
def zsh(tmp_path_factory: pytest.TempPathFactory, work: Path) -> Iterator[Zsh]:
    shell = Zsh(tmp_path_factory.mktemp("zsh"), work)
    yield shell
    shell.close()


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("che", ["check"]),
        ("kits ", ["compare", "list", "new", "show", "validate"]),
        ("check --kit own+", ["own+generic", "own+harrowmere", "own+own"]),
        ("check ", ["night.toml", "shows/evening.yaml"]),
        ("check note", ["notes.toml"]),
        ("nosuch x", []),
    ],
)
def test_fish_offers(line: str, words: list[str], fish: Fish, work: Path) -> None:
    assert [word for word, _ in fish.offers(f"bridgewire {line}", work)] == words


def test_fish_says_all_of_what_a_word_means(fish: Fish, work: Path) -> None:
    offered = dict(fish.offers("bridgewire explain FIR00", work))
    assert list(offered) == [f"FIR00{n}" for n in range(1, 10)]
    assert offered["FIR002"] == "An igniter lights at typical values, but not at the worst corner"
    assert dict(fish.offers("bridgewire ", work)).keys() == set(COMMANDS)


def test_fish_gets_names_with_commas_and_spaces_whole(fish: Fish, tmp_path: Path) -> None:
    (tmp_path / "mere,late.toml").write_text(SMALL, encoding="utf-8")
    assert fish.offers("bridgewire check m", tmp_path) == [("mere,late.toml", "")]
    (tmp_path / "on the mere.toml").write_text(SMALL, encoding="utf-8")
    offered = [word for word, _ in fish.offers("bridgewire check o", tmp_path)]
    assert offered == ["on the mere.toml"]


@pytest.mark.parametrize(
    ("line", "after"),
    [
        ("che", "check "),
        ("kits sh", "kits show "),
        ("check --kit own+h", "check --kit own+harrowmere "),
        ("check n", "check night.toml "),
        ("trace shows/", "trace shows/evening.yaml "),
        ("check note", "check notes.toml "),
        ("explain nothing", "explain nothing"),
    ],
)
def test_zsh_completes(line: str, after: str, zsh: Zsh) -> None:
    assert zsh.completes(f"bridgewire {line}")[0] == f"bridgewire {after}"


def test_zsh_says_all_of_what_a_word_means(zsh: Zsh) -> None:
    line, below = zsh.completes("bridgewire explain FIR00")
    assert line == "bridgewire explain FIR00"
    text = "FIR002  -- An igniter lights at typical values, but not at the worst corner"
    assert text in below
    assert sum(row.startswith("FIR00") for row in below) == 9
