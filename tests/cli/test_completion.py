"""The shell completes commands, options, kit ids, rule codes and shows."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from bridgewire.cli.completion import SHELLS
from bridgewire.cli.main import COMMANDS
from tests.cli.completing import SMALL, command_in, shell_or_skip, shows_in
from tests.cli.running import environment, run_command


def asked(shell: str, words: list[str], cwd: Path) -> tuple[int, str, str]:
    """What the command tells a shell that asks about the last of some words."""
    line = {"COMP_WORDS": "\n".join(["bridgewire", *words]), "COMP_CWORD": str(len(words))}
    if shell == "fish":
        line = {"COMP_WORDS": " ".join(["bridgewire", *words]), "COMP_CWORD": words[-1]}
    done = subprocess.run(
        [sys.executable, "-m", "bridgewire.cli"],
        capture_output=True,
        encoding="utf-8",
        cwd=cwd,
        env=environment({**line, "_BRIDGEWIRE_COMPLETE": f"{shell}_complete"}),
        check=False,
        timeout=60,
    )
    return done.returncode, done.stdout, done.stderr


@pytest.fixture
def bridgewire(tmp_path: Path) -> Path:
    """A folder with the command under its own name."""
    return command_in(tmp_path / "bin")


def in_bash(words: list[str], cwd: Path, path: Path) -> list[str]:
    """What bash would offer for the last of some words."""
    bash = shell_or_skip("bash")
    quoted = " ".join(f"'{w}'" for w in ["bridgewire", *words])
    script = (
        'eval "$(bridgewire completion bash)"; compopt() { echo "compopt $1 $2"; }; '
        f"COMP_WORDS=({quoted}); COMP_CWORD={len(words)}; _bridgewire_completion bridgewire; "
        'printf "%s\\n" "${COMPREPLY[@]}"'
    )
    done = subprocess.run(
        [bash, "--norc", "--noprofile", "-c", script],
        capture_output=True,
        encoding="utf-8",
        cwd=cwd,
        env=environment({"PATH": f"{path}:{os.environ['PATH']}"}),
        check=False,
        timeout=60,
    )
    assert done.stderr == ""
    assert done.returncode == 0
    return done.stdout.split("\n")[:-1]


@pytest.mark.parametrize(
    ("words", "some"),
    [
        (["ch"], ["check"]),
        (["kits", ""], ["compare", "list", "new", "show", "validate"]),
        (["explain", "FIR01"], [f"FIR01{n}" for n in range(7)]),
        (["explain", "saf00"], [f"SAF00{n}" for n in range(1, 10)]),
        (["kits", "show", ""], ["generic", "harrowmere", "own"]),
        (["kits", "compare", "generic", "har"], ["harrowmere"]),
        (["check", "--kit", "har"], ["harrowmere"]),
        (["check", "--kit", "own+"], ["own+generic", "own+harrowmere", "own+own"]),
        (["check", "--ki"], ["--kit-dir", "--kit"]),
        (["check", "--fail-on", "w"], ["warning"]),
        (["check", ""], ["night.toml", "shows/evening.yaml"]),
        (["trace", "shows/e"], ["shows/evening.yaml"]),
        (["check", "noth"], ["compopt -o default", ""]),
        (["explain", "nothing"], [""]),
        (["nosuch", "x"], [""]),
        (["completion", ""], list(SHELLS)),
    ],
    ids=lambda v: " ".join(v),
)  # fmt: skip
def test_bash_offers(words: list[str], some: list[str], tmp_path: Path, bridgewire: Path) -> None:
    work = shows_in(tmp_path / "work")
    assert in_bash(words, work, bridgewire) == some


def test_bash_offers_every_command(tmp_path: Path, bridgewire: Path) -> None:
    assert in_bash([""], tmp_path, bridgewire) == list(COMMANDS)


def test_names_with_spaces_are_left_to_the_shell(tmp_path: Path, bridgewire: Path) -> None:
    (tmp_path / "on the mere.toml").write_text(SMALL, encoding="utf-8")
    assert in_bash(["check", "on"], tmp_path, bridgewire) == ["compopt -o default", ""]


def test_a_kit_file_with_slips_spoils_nothing(tmp_path: Path) -> None:
    (tmp_path / "broken.toml").write_bytes(b'id = "\xff\xfe\n[[[')
    code, out, err = asked("bash", ["kits", "show", "g"], tmp_path)
    assert (code, out, err) == (0, "plain,generic\n", "")


def test_zsh_and_fish_get_help_with_the_words(tmp_path: Path) -> None:
    code, out, err = asked("zsh", ["explain", "FIR001"], tmp_path)
    assert (code, err) == (0, "")
    kind, word, told = out.splitlines()[:3]
    assert (kind, word) == ("plain", "FIR001")
    assert "light" in told
    code, out, err = asked("fish", ["che"], tmp_path)
    assert (code, err) == (0, "")
    assert out.startswith("plain,check\tCheck shows") or out.splitlines()[:2] == ["plain", "check"]


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_asks_by_the_variable(shell: str) -> None:
    done = run_command("completion", shell)
    assert done.returncode == 0
    assert f"_BRIDGEWIRE_COMPLETE={shell}_complete" in done.stdout


def test_an_unknown_shell_is_refused() -> None:
    done = run_command("completion", "csh")
    assert done.returncode == 2
    assert "'bash', 'zsh', 'fish'" in done.stderr


def test_candidates_import_nothing_heavy(tmp_path: Path) -> None:
    script = (
        "import sys; from bridgewire.cli.main import entry\n"
        "try: entry()\n"
        "finally: print([m for m in ('numpy', 'jsonschema', 'jinja2', 'bridgewire.api') "
        "if m in sys.modules], file=sys.stderr)"
    )
    words = ["bridgewire", "explain", "FIR"]
    env = {
        "COMP_WORDS": "\n".join(words),
        "COMP_CWORD": "2",
        "_BRIDGEWIRE_COMPLETE": "bash_complete",
    }
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True, encoding="utf-8", env=environment(env), check=True,
    )  # fmt: skip
    assert done.stderr.strip() == "[]"
    assert done.stdout.count("plain,FIR") >= 16
