"""What can be said of an environment's packages without asking a service that knows holes.

    PYTHON .ci/dependencies.py REPORT...

A REPORT is what ``pip install --report`` wrote: no release in it may have been withdrawn from the
index (yanked), and each must have come as an archive whose SHA-256 the index states, which pip has
then compared. Licences are read from the metadata of all that is installed beside PYTHON.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from importlib import metadata
from typing import Any

ALLOWED = {
    "0BSD", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "BSD", "BSD-2-Clause", "BSD-3-Clause",
    "CC0-1.0", "CNRI-Python", "HPND", "ISC", "MIT", "MIT-0", "MIT-CMU", "MPL-2.0", "PSF-2.0",
    "Unlicense", "Zlib",
}  # fmt: skip
"""Licences by their SPDX names; ``BSD`` where the metadata does not say which."""
OTHER_NAMES = {
    "3-Clause BSD License": "BSD-3-Clause",
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD",
    "Historical Permission Notice and Disclaimer (HPND)": "HPND",
    "ISC License (ISCL)": "ISC",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
"""How older metadata writes them."""
JUDGED = {
    "atheris": "Apache-2.0, by the file LICENSE of its sources; only fuzzing uses it",
    "docutils": "public domain and BSD; GPL is an Emacs mode, which is not installed; for tests",
    "pyphen": "MPL-1.1, one of three licences to choose from; WeasyPrint uses it",
    "resvg-py": "MIT, by the file LICENSE of its sources",
}
"""Packages whose metadata leaves it open, as a person has read it."""
_OURS = "bridgewire"


def wrong_in_report(report: dict[str, Any]) -> Iterator[str]:
    """What is wrong with the releases that pip has chosen."""
    for item in report["install"]:
        told = item["metadata"]
        name = f"{told['name']} {told['version']}"
        if plain(told["name"]) == _OURS:
            continue
        if item.get("is_yanked"):
            yield f"{name}: this release was withdrawn (yanked)"
        if "sha256" not in item["download_info"].get("archive_info", {}).get("hashes", {}):
            yield f"{name}: no archive with a SHA-256 from the index"


def wrong_licences() -> Iterator[str]:
    """Installed packages with a licence that is not allowed, or none."""
    for distribution in metadata.distributions():
        about = distribution.metadata
        name = plain(about["Name"])
        stated = licence(about)
        if name not in JUDGED and not allowed(stated):
            yield f"{name} {distribution.version}: licence {stated or 'not stated'}"


def licence(about: metadata.PackageMetadata) -> str:
    """The licence as an SPDX expression. Several classifiers are taken as *and*."""
    expression = about.get_all("License-Expression")
    if expression:
        return str(expression[0])
    classifiers = [c for c in about.get_all("Classifier") or () if c.startswith("License :: ")]
    named = [c.rpartition(" :: ")[2] for c in classifiers]
    # "License :: OSI Approved" by itself names none.
    said = [n for n in named if n != "OSI Approved"] or about.get_all("License") or []
    return " AND ".join(OTHER_NAMES.get(s.strip(), s.strip().partition("\n")[0]) for s in said)


def allowed(expression: str) -> bool:
    """Whether an SPDX expression can be met with allowed licences alone.

    >>> allowed("MIT AND (GPL-3.0-only OR Apache-2.0)"), allowed("MIT AND GPL-3.0-only")
    (True, False)
    >>> allowed("Apache-2.0 WITH LLVM-exception"), allowed("")
    (True, False)
    """
    while (inner := re.search(r"\(([^()]*)\)", expression)) is not None:
        met = "MIT" if allowed(inner[1]) else "none"
        expression = expression[: inner.start()] + met + expression[inner.end() :]
    return any(
        all(one.strip() in ALLOWED for one in re.split(r"\sAND\s", way))
        for way in re.split(r"\sOR\s", expression)
    )


def plain(name: str) -> str:
    """A package's name in the form that compares."""
    return re.sub(r"[-_.]+", "-", name).lower()


def main(files: list[str]) -> int:
    """Print what is wrong; 1 where something is."""
    wrong = list(wrong_licences())
    releases = 0
    for file in files:
        with open(file, encoding="utf-8") as text:
            report = json.load(text)
        releases += len(report["install"])
        wrong += wrong_in_report(report)
    for line in wrong:
        print(line, file=sys.stderr)
    if not wrong:
        print(f"{releases} releases: none withdrawn, all with a SHA-256; licences are on the list")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
