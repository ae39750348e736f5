"""``.ci/audit`` tells audited from not audited; ``.ci/dependencies.py`` finds what is wrong.

The services are far away, so the programs that ask them are stand-ins here, which answer as
pip-audit and npm do in each of the cases.
"""

from __future__ import annotations

import os
import runpy
import subprocess
import sys
from email.message import Message
from pathlib import Path
from typing import Any

import pytest

from tests.packaging.project import ROOT, needs_sources

HOLE = '{"dependencies": [{"name": "jinja2", "vulns": [{"id": "CVE-2024-22195"}]}]}'
NPM_CLEAN = '{"auditReportVersion": 2}'
NPM_REFUSED = '{"message": "405 Method Not Allowed"}'
PYTHON = f"""#!/bin/sh
[ "$1" = -m ] && [ "$2" = venv ] || exec "{sys.executable}" "$@"
mkdir -p "$3/bin"
printf '#!/bin/sh\\n' >"$3/bin/pip"
cp "$PIP_AUDIT" "$3/bin/pip-audit"
chmod +x "$3/bin/pip" "$3/bin/pip-audit"
"""


def stand_in(folder: Path, name: str, script: str) -> Path:
    file = folder / name
    file.write_text(script, encoding="utf-8")
    file.chmod(0o755)
    return file


def pip_audit(known: str, real: str, code: int) -> str:
    """A pip-audit that answers one thing for the known hole and another for what is installed."""
    return (
        "#!/bin/sh\ncase \"$*\" in\n"
        f"*known.txt*) echo '{known}' ;;\n"
        f"*) echo '{real}'; exit {code} ;;\nesac\n"
    )  # fmt: skip


def npm(answer: str, code: int) -> str:
    return f"#!/bin/sh\necho '{answer}'\nexit {code}\n"


FINDS = pip_audit(HOLE, '{"dependencies": []}', 0)
KNOWS_NOTHING = pip_audit("", "", 1)
KNOWS_ALL_AS_CLEAN = pip_audit('{"dependencies": []}', "", 0)
CLEAN = npm(NPM_CLEAN, 0)
REFUSED = npm(NPM_REFUSED, 1)
HOLE_IN_NPM = npm('{"auditReportVersion": 2, "vulnerabilities": {"axe-core": 1}}', 1)
NO_PYTHON = "Python packages: not audited: the service is unreachable"
NO_NPM = "packages of tests/browser: not audited: the service is unreachable"
CASES = [
    (FINDS, CLEAN, 0, ["no known vulnerability (pypi)", "no known vulnerability (npm)"]),
    (KNOWS_NOTHING, CLEAN, 3, [NO_PYTHON, "no known vulnerability (npm)"]),
    (KNOWS_ALL_AS_CLEAN, CLEAN, 3, [NO_PYTHON]),
    (FINDS, REFUSED, 3, ["no known vulnerability (pypi)", NO_NPM]),
    (KNOWS_NOTHING, REFUSED, 3, [NO_PYTHON, NO_NPM]),
    (pip_audit(HOLE, HOLE, 1), CLEAN, 1, ["CVE-2024-22195"]),
    (pip_audit(HOLE, "", 1), CLEAN, 1, []),
    (FINDS, HOLE_IN_NPM, 1, ["axe-core"]),
    (KNOWS_NOTHING, HOLE_IN_NPM, 1, [NO_PYTHON, "axe-core"]),
]


@pytest.mark.parametrize(("audit", "node", "code", "told"), CASES)
def test_not_asked_is_never_passed(
    audit: str, node: str, code: int, told: list[str], tmp_path: Path
) -> None:
    python = stand_in(tmp_path, "python3", PYTHON)
    stand_in(tmp_path, "npm", node)
    installed = stand_in(tmp_path, "installed", "#!/bin/sh\necho attrs==25.1.0\n")
    done = subprocess.run(
        [str(ROOT / ".ci" / "audit"), str(installed)],
        capture_output=True,
        encoding="utf-8",
        env={
            **os.environ,
            "PATH": f"{python.parent}:{os.environ['PATH']}",
            "PIP_AUDIT": str(stand_in(tmp_path, "pip-audit", audit)),
        },
        check=False,
        timeout=60,
    )
    assert done.returncode == code, done.stderr
    for words in told:
        assert words in done.stdout
    if NO_PYTHON in told:
        assert "(pypi)" not in done.stdout


def test_ci_fails_on_all_but_audited_and_not_asked() -> None:
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert '[ "$code" -eq 0 ] || [ "$code" -eq 3 ] ||' in run
    assert run.count(".ci/audit ") == 2


JUDGE = runpy.run_path(str(ROOT / ".ci" / "dependencies.py"))


@pytest.mark.parametrize(
    ("expression", "fine"),
    [
        ("MIT", True),
        ("BSD-3-Clause AND 0BSD AND MIT AND Zlib AND CC0-1.0", True),
        ("BSD-2-Clause AND Apache-2.0 WITH LLVM-exception", True),
        ("Apache-2.0 OR GPL-3.0-only", True),
        ("MIT AND (GPL-2.0-only OR (BSD-3-Clause AND ISC))", True),
        ("MIT AND (GPL-2.0-only OR (BSD-3-Clause AND AGPL-3.0-only))", False),
        ("GPL-3.0-or-later", False),
        ("MIT AND GPL-3.0-only", False),
        ("Apache-2.0 WITH Commons-Clause", False),
        ("", False),
        ("UNKNOWN", False),
    ],
)
def test_licences_are_judged_as_expressions(expression: str, fine: bool) -> None:
    assert JUDGE["allowed"](expression) is fine


@pytest.mark.parametrize(
    ("classifiers", "licence"),
    [
        (["License :: OSI Approved :: MIT License"], "MIT"),
        (["License :: OSI Approved", "License :: OSI Approved :: MIT License"], "MIT"),
        (["License :: OSI Approved :: Historical Permission Notice and Disclaimer (HPND)"], "HPND"),
        (["License :: OSI Approved :: MIT License", "License :: Free For Home Use"], None),
        (["License :: OSI Approved"], None),
        ([], None),
    ],
)
def test_licences_are_read_from_classifiers(classifiers: list[str], licence: str | None) -> None:
    """None: not one that is allowed. "OSI Approved" alone names no licence."""
    about = Message()
    for classifier in classifiers:
        about["Classifier"] = classifier
    assert JUDGE["allowed"](JUDGE["licence"](about)) is (licence is not None)
    assert licence in (None, JUDGE["licence"](about))


def item(**more: Any) -> dict[str, Any]:
    archive = {"archive_info": {"hashes": {"sha256": "0" * 64}}}
    told = {"metadata": {"name": "attrs", "version": "25.1.0"}, "download_info": archive}
    return {**told, "is_yanked": False, **more}


def test_withdrawn_releases_and_packages_without_a_hash_are_found() -> None:
    from_git = {"vcs_info": {"vcs": "git"}, "url": "https://example.invalid/attrs"}
    ours = item(metadata={"name": "bridgewire", "version": "1"}, download_info={"dir_info": {}})
    report = {"install": [item(), item(is_yanked=True), item(download_info=from_git), ours]}
    assert list(JUDGE["wrong_in_report"](report)) == [
        "attrs 25.1.0: this release was withdrawn (yanked)",
        "attrs 25.1.0: no archive with a SHA-256 from the index",
    ]


@needs_sources
def test_what_users_get_is_listed_with_what_it_brings() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / ".ci" / "installed.py")],
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode:
        assert "PackageNotFoundError" in done.stderr
        pytest.skip("not every extra for users is installed")
    names = {line.partition("==")[0].lower() for line in done.stdout.splitlines()}
    assert {"attrs", "numpy", "weasyprint", "pillow", "llvmlite"} <= names
    assert names.isdisjoint({"bridgewire", "pytest", "mypy", "ruff"})
