from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def run_mypy(script: str, tmp_path: Path) -> subprocess.CompletedProcess[str]:
    pytest.importorskip("mypy")
    return subprocess.run(
        [
            sys.executable,
            "-m",
            "mypy",
            "--strict",
            "--config-file=",
            f"--cache-dir={HERE.parents[1] / '.mypy_cache' / 'user'}",
            str(HERE / script),
        ],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
    )


@pytest.mark.slow
def test_a_users_script_is_clean_under_mypy_strict(tmp_path: Path) -> None:
    done = run_mypy("user_script.py", tmp_path)
    assert done.returncode == 0, done.stdout


@pytest.mark.slow
def test_mypy_finds_a_users_mistakes(tmp_path: Path) -> None:
    done = run_mypy("wrong_script.py", tmp_path)
    assert done.stdout.count("error:") == 3, done.stdout


@pytest.mark.slow
def test_a_users_script_is_clean_under_pyright(tmp_path: Path) -> None:
    pyright = shutil.which("pyright")
    if pyright is None:
        pytest.skip("pyright is not installed")
    done = subprocess.run(
        [pyright, "--pythonpath", sys.executable, str(HERE / "user_script.py")],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    assert "0 errors" in done.stdout
