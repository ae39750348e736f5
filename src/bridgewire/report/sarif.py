"""A run of the check as SARIF 2.1.0 (OASIS Static Analysis Results Interchange Format).

Written by hand against the published schema; the tests validate every output with it.
"""

from __future__ import annotations

import json
import math
import os
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TypeAlias
from urllib.parse import quote

from bridgewire.diagnostics import Finding, Location, format_path
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.fingerprints import VERSION
from bridgewire.report.plain_text import count, visible
from bridgewire.report.run import CheckedRun, Entry, full_text, inside, octets
from bridgewire.report.sarif_rules import LEVELS, rule_descriptors

Data: TypeAlias = dict[str, Any]

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
ROOT_ID = "%SRCROOT%"
"""Stands for the folder to which relative URIs belong."""
FINGERPRINT = f"bridgewireFinding/v{VERSION}"
_LINK = re.compile(r"\[(?=[^\]]*\]\()")


def sarif_text(run: CheckedRun) -> str:
    """Write a run as a SARIF log with one run.

    Parameters
    ----------
    run : CheckedRun

    Returns
    -------
    str
        JSON that ends with a line end. Problems of shows that could not be read are results too;
        ``invocations[0].executionSuccessful`` is then false. Findings that a show ignores are
        results with a suppression.
    """
    entries = list(run.entries(ignored=True))
    codes = sorted({e.finding.code for e in entries})
    rules = {code: n for n, code in enumerate(codes)}
    suppressing = any(e.ignored is not None for e in entries)
    data: Data = {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "bridgewire",
                        "version": run.version,
                        "shortDescription": {
                            "text": "Checks whether every electrically fired igniter of a "
                            "fireworks display will light."
                        },
                        "rules": rule_descriptors(codes, run.rules),
                    }
                },
                "invocations": [_invocation(run)],
                "originalUriBaseIds": {
                    ROOT_ID: {"description": {"text": "The folder in which the check ran."}}
                },
                "artifacts": _artifacts(run, entries),
                "columnKind": "unicodeCodePoints",
                "results": [_result(e, run, rules, suppressing) for e in entries],
                "properties": {"cautions": list(CAUTIONS)},
            }
        ],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _invocation(run: CheckedRun) -> Data:
    data: Data = {"executionSuccessful": not run.unusable}
    if run.unusable:
        data["toolExecutionNotifications"] = [
            {
                "level": "error",
                "message": message(
                    f"{visible(file)} was not checked: {count(len(findings), 'problem')} in it."
                ),
                "locations": [{"physicalLocation": {"artifactLocation": artifact(file, run.root)}}],
            }
            for file, findings in run.unusable
        ]
    return data


def _artifacts(run: CheckedRun, entries: Iterable[Entry]) -> list[Data]:
    """Every file that was read or spoken of, each once, with its hash where it is known."""
    hashes: dict[str, str] = dict.fromkeys((file for file, _ in run.unusable), "")
    shows = {*hashes, *(r.file for r in run.reports)}
    for report in run.reports:
        hashes[report.file] = report.sha256
        hashes.update((kit.file, kit.sha256) for kit in report.kits)
    for entry in entries:
        place = entry.finding.location
        if place is not None:
            hashes.setdefault(place.file, "")
    made: dict[str, Data] = {}
    for file, sha256 in hashes.items():
        location = artifact(file, run.root)
        data: Data = {"location": location}
        if file in shows:
            data["roles"] = ["analysisTarget"]
        if sha256:
            data["hashes"] = {"sha-256": sha256}
        made.setdefault(location["uri"], data)
    return list(made.values())


def artifact(file: str, root: Path) -> Data:
    """Where a file is: relative to the root if it lies in there, else an absolute URI.

    >>> artifact("shows/last night.toml", Path("/srv"))
    {'uri': 'shows/last%20night.toml', 'uriBaseId': '%SRCROOT%'}
    >>> artifact("/etc/kit.toml", Path("/srv"))
    {'uri': 'file:///etc/kit.toml'}
    """
    relative = inside(file, root)
    if relative is not None:
        return {"uri": _quoted(relative), "uriBaseId": ROOT_ID}
    return {"uri": "file://" + _quoted(Path(os.path.normpath(root / file)).as_posix())}


def _quoted(path: str) -> str:
    """Percent-encode a path (a colon would look like a scheme), by bytes where it is no UTF-8."""
    return quote(octets(path), safe="/")


def message(text: str) -> Data:
    """A message that no reader takes for more than text.

    Braces are doubled (SARIF 2.1.0, 3.11.5 placeholders) and what looks like an embedded link
    (3.11.6) is kept from being one.

    >>> message("{0} of [a](https://example.org)")
    {'text': '{{0}} of \\\\[a](https://example.org)'}
    """
    doubled = text.replace("{", "{{").replace("}", "}}")
    return {"text": _LINK.sub(r"\\[", doubled)}


def _result(entry: Entry, run: CheckedRun, rules: dict[str, int], suppressing: bool) -> Data:
    finding = entry.finding
    data: Data = {
        "ruleId": finding.code,
        "ruleIndex": rules[finding.code],
        "level": LEVELS[finding.severity],
        "message": message(full_text(entry)),
        "locations": [_location(entry, run.root)],
        "partialFingerprints": {FINGERPRINT: entry.fingerprint},
    }
    if suppressing:
        data["suppressions"] = [] if entry.ignored is None else [_suppression(entry)]
    if any(r.known or r.stale for r in run.reports):
        data["baselineState"] = "unchanged" if entry.baseline else "new"
    properties = _properties(entry)
    if properties:
        data["properties"] = properties
    return data


def _suppression(entry: Entry) -> Data:
    """An ignore stands in the show, so it is in the source; a baseline is a file of its own."""
    return {
        "kind": "external" if entry.baseline else "inSource",
        "status": "accepted",
        "justification": visible(entry.ignored or ""),
    }


def _location(entry: Entry, root: Path) -> Data:
    finding = entry.finding
    place = finding.location
    physical: Data = {"artifactLocation": artifact(place.file if place else entry.file, root)}
    if place is not None:
        physical.update(_regions(place))
    data: Data = {"physicalLocation": physical}
    if finding.path:
        data["logicalLocations"] = [_logical(finding)]
    return data


def _regions(place: Location) -> Data:
    """The place itself, and its whole line where that is more."""
    region: Data = {
        "startLine": place.line,
        "startColumn": place.column,
        "endLine": place.line,
        "endColumn": place.column + place.width,
    }
    start = place.column - 1
    marked = place.snippet[start : start + place.width]
    # Control characters were replaced in what was read, so such a line is not quoted.
    if len(marked) < place.width or "\ufffd" in place.snippet:
        return {"region": region}
    region["snippet"] = {"text": marked}
    if marked == place.snippet:
        return {"region": region}
    line = {"startLine": place.line, "snippet": {"text": place.snippet}}
    return {"region": region, "contextRegion": line}


def _logical(finding: Finding) -> Data:
    """The document path; the kinds are those of SARIF for JSON-like documents (3.33.7)."""
    path = visible(format_path(finding.path))
    return {
        "fullyQualifiedName": path if finding.document == "show" else f"{finding.document}.{path}",
        "kind": "property" if isinstance(finding.path[-1], str) else "object",
    }


def _properties(entry: Entry) -> Data:
    finding = entry.finding
    data: Data = {}
    for key, value in (("measured", finding.measured), ("limit", finding.limit)):
        if value is not None and math.isfinite(value):
            data[key] = value
    if data and finding.unit:
        data["unit"] = finding.unit
    if finding.subjects:
        data["subjects"] = [visible(s) for s in finding.subjects]
    if finding.document != "show":
        data["show"] = visible(entry.file)
    return data
