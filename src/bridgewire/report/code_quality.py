"""A run of the check as a GitLab Code Quality report: a JSON array of violations.

Source: GitLab documentation, "Code Quality report format", from memory: ``description``,
``check_name``, ``fingerprint``, ``severity`` (info, minor, major, critical, blocker),
``location.path`` relative to the repository and ``location.lines.begin``.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

from bridgewire.diagnostics import Severity
from bridgewire.report.run import CheckedRun, Entry, full_text, inside, octets, spot_of

_SEVERITIES = {Severity.ERROR: "critical", Severity.WARNING: "major", Severity.INFO: "info"}
_UNUSABLE = "blocker"


def code_quality_text(run: CheckedRun) -> str:
    """Write a run as a Code Quality report.

    Parameters
    ----------
    run : CheckedRun

    Returns
    -------
    str
        JSON that ends with a line end. Problems of shows that could not be read are blockers.
        Ignored findings are left out. The service tells violations apart by fingerprint alone,
        so here the show file's name is part of it.
    """
    data = [_violation(e, run) for e in run.entries()]
    return json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def _violation(entry: Entry, run: CheckedRun) -> dict[str, Any]:
    spot = spot_of(entry, run.root)
    show = inside(entry.file, run.root) or entry.file
    mark = octets(f"{show}\n{entry.fingerprint}")
    return {
        "description": f"{entry.finding.code}: {full_text(entry, elsewhere=spot.elsewhere)}",
        "check_name": entry.finding.code,
        "fingerprint": hashlib.sha256(mark).hexdigest()[:32],
        "severity": _SEVERITIES[entry.finding.severity] if entry.usable else _UNUSABLE,
        "location": {"path": spot.path, "lines": {"begin": spot.line}},
    }
