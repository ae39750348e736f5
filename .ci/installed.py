"""Prints ``name==version`` of what bridgewire with its extras for users has brought along here.

PYTHON .ci/installed.py, with a PYTHON that has bridgewire[all] installed.
"""

from __future__ import annotations

import re
import sys
from importlib import metadata

from packaging.requirements import Requirement


def brought(requirement: Requirement, found: dict[str, str]) -> None:
    """Add the distribution that a requirement asks for, and those that it needs in turn."""
    for extra in ("", *requirement.extras):
        known = re.sub(r"[-_.]+", "-", f"{requirement.name}[{extra}]").lower()
        if known in found:
            continue
        distribution = metadata.distribution(requirement.name)
        found[known] = f"{distribution.metadata['Name']}=={distribution.version}"
        for text in distribution.requires or ():
            inner = Requirement(text)
            if inner.marker is None or inner.marker.evaluate({"extra": extra}):
                brought(inner, found)


def main() -> int:
    """Print them, in order."""
    found: dict[str, str] = {}
    brought(Requirement("bridgewire[all]"), found)
    lines = set(found.values()) - {f"bridgewire=={metadata.version('bridgewire')}"}
    print("\n".join(sorted(lines, key=str.lower)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
