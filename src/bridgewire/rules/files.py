"""Which rule files there are; for whoever wants codes and no rules, it imports nothing else."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

_FILE = re.compile(r"([a-z]{3}\d{3})_[a-z0-9_]+")


@cache
def rule_files() -> dict[str, str]:
    """Code -> module name of every rule file, in order of code.

    >>> rule_files()["FIR001"]
    'bridgewire.rules.fir001_will_not_light'
    """
    found: dict[str, str] = {}
    for file in sorted(Path(__file__).parent.glob("*.py")):
        match = _FILE.fullmatch(file.stem)
        if match:
            found[match[1].upper()] = f"bridgewire.rules.{file.stem}"
    return found
