"""What can be said of dependencies without a network: bounds, need, agreement, licences.

Known vulnerabilities are not looked up here: that data is behind the network. See ``.ci/audit``.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib import metadata

import pytest
from packaging.requirements import Requirement

from bridgewire.documents import limits
from tests.security.hostile import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
RUNTIME_EXTRAS = ("schema", "png", "fast", "bench", "sheets", "plan", "advise", "parquet")
MODULES = {"pyyaml": "yaml"}
"""Modules of distributions that are not named like them."""
PERMISSIVE = re.compile(r"\b(MIT|BSD|Apache|ISC|Zlib|PSF|Python Software Foundation|HPND|Unlicense|"
                        r"0BSD|CC0|MPL|Mozilla|CMU|Public Domain)", re.I)  # fmt: skip
UNSTATED = {"resvg-py": "MIT, by its source"}
"""Distributions whose metadata states no licence."""


def requirements(*names: str) -> list[Requirement]:
    """Requirements of the base (``""``) and of extras."""
    found = []
    for name in names:
        texts = PROJECT["dependencies"] if not name else PROJECT["optional-dependencies"][name]
        found += [Requirement(t) for t in texts]
    return [r for r in found if r.name != "bridgewire"]


def plain(name: str) -> str:
    """A distribution's name in the form that compares."""
    return re.sub(r"[-_.]+", "-", name).lower()


def module_of(requirement: Requirement) -> str:
    """The module that a requirement brings."""
    name = plain(requirement.name)
    return MODULES.get(name, name.replace("-", "_"))


def imported() -> dict[str, set[str]]:
    """Modules from outside that the sources import, with the files that do."""
    found: dict[str, set[str]] = {}
    for file in (ROOT / "src").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names: list[str] = []
            if isinstance(node, ast.Import):
                names = [a.name for a in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                names = [node.module]
            for name in (n.split(".")[0] for n in names):
                if name not in sys.stdlib_module_names and name != "bridgewire":
                    found.setdefault(name, set()).add(str(file.relative_to(ROOT)))
    return found


def test_every_requirement_has_a_lower_bound_and_comes_from_the_index() -> None:
    extras = PROJECT["optional-dependencies"]
    for requirement in requirements("", *extras):
        assert requirement.url is None, requirement
        if requirement.name.startswith("types-"):
            continue
        assert any(s.operator in (">=", "==", "~=") for s in requirement.specifier), requirement


def test_everything_imported_is_required_and_everything_required_is_imported() -> None:
    base = {module_of(r) for r in requirements("")}
    extra = {module_of(r) for r in requirements(*RUNTIME_EXTRAS)}
    used = imported()
    testing = {"pytest", "hypothesis"}  # the plugin for pytest is loaded by pytest only
    assert set(used) - base - extra <= testing, used
    assert base <= set(used)
    assert extra <= set(used)


def test_extras_are_not_needed_for_a_check() -> None:
    extra = sorted({module_of(r) for r in requirements(*RUNTIME_EXTRAS)})
    code = (
        "import sys; from bridgewire.api import check; check(sys.argv[1]); "
        f"print([m for m in {extra!r} if m in sys.modules])"
    )
    show = str(ROOT / "examples" / "midwinter-small.toml")
    ran = subprocess.run(
        [sys.executable, "-c", code, show], capture_output=True, text=True, check=True, timeout=60
    )
    assert ran.stdout.strip() == "[]"


def closure() -> dict[str, metadata.Distribution]:
    """Installed distributions that bridgewire with its extras for users brings along."""
    found: dict[str, metadata.Distribution] = {}
    waiting = list(requirements("", *RUNTIME_EXTRAS))
    while waiting:
        requirement = waiting.pop()
        name = plain(requirement.name)
        if name in found or not _wanted(requirement):
            continue
        try:
            found[name] = metadata.distribution(requirement.name)
        except metadata.PackageNotFoundError:
            continue
        for text in found[name].requires or ():
            waiting.extend(_inner(Requirement(text), requirement.extras))
    return found


def _wanted(requirement: Requirement) -> bool:
    return requirement.marker is None or requirement.marker.evaluate({"extra": ""})


def _inner(requirement: Requirement, extras: set[str]) -> Iterator[Requirement]:
    marker = requirement.marker
    if marker is None or any(marker.evaluate({"extra": e}) for e in (*extras, "")):
        requirement.marker = None
        yield requirement


def test_installed_versions_agree() -> None:
    installed = closure()
    assert {"attrs", "numpy", "jinja2"} <= set(installed)
    direct = [("bridgewire", r) for r in requirements("", *RUNTIME_EXTRAS)]
    inner = [
        (name, r)
        for name, d in installed.items()
        for text in d.requires or ()
        for r in _inner(Requirement(text), set())
    ]
    for name, requirement in (*direct, *inner):
        found = installed.get(plain(requirement.name))
        if found is not None:
            assert requirement.specifier.contains(found.version, prereleases=True), (
                name, str(requirement), found.version,
            )  # fmt: skip


def test_licences_are_permissive() -> None:
    for name, distribution in closure().items():
        about = distribution.metadata
        stated = [*(about.get_all("License-Expression") or ())]
        stated += [text[:80] for text in about.get_all("License") or ()]
        stated += [c for c in about.get_all("Classifier") or [] if c.startswith("License")]
        said = " | ".join(s for s in stated if s)
        assert PERMISSIVE.search(said) or (not said and name in UNSTATED), (name, said)


def test_the_page_lists_every_direct_dependency() -> None:
    page = (ROOT / "docs" / "security.md").read_text(encoding="utf-8").lower()
    for requirement in requirements("", *RUNTIME_EXTRAS):
        assert f"| {requirement.name.lower()} |" in page, requirement.name


def test_the_page_states_the_limits() -> None:
    page = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
    stated = {
        name: int(number.replace(" ", ""))
        for name, number in re.findall(r"^\| `(MAX_\w+)` \| ([\d ]*\d) ", page, re.M)
    }
    assert stated == {n: v for n, v in vars(limits).items() if n.startswith("MAX_")}


def test_the_audit_is_strict() -> None:
    script = (ROOT / ".ci" / "audit").read_text(encoding="utf-8")
    assert 'pip-audit" --strict' in script


@pytest.mark.parametrize("name", ["numpy", "PyYAML"])
def test_modules_are_found(name: str) -> None:
    assert module_of(Requirement(name)) in imported()
