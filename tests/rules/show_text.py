"""Findings of shows that a test writes or changes on the spot."""

from __future__ import annotations

from pathlib import Path

from bridgewire.api import load_show
from bridgewire.diagnostics import Finding
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment
from tests.rules.case_files import CASES, KITS


def case_text(name: str) -> str:
    """Text of a case, e.g. ``TIM002/fail_box_busy``."""
    return (CASES / f"{name}.toml").read_text(encoding="utf-8")


def assessed(text: str, folder: Path) -> Assessment:
    """Assessment of a show given as TOML."""
    file = folder / "show.toml"
    file.write_text(text, encoding="utf-8")
    return assess(load_show(file, kit_dirs=[KITS]).layout)


def findings(text: str, code: str, folder: Path) -> tuple[Finding, ...]:
    """Findings of one rule on a show given as TOML."""
    found, _ = run_rules(Context(assessed(text, folder)), [load_rule(code)])
    assert all(f.code == code for f in found), found
    return found
