"""Functions of plugins that run later than their hooks, guarded: rules, importers, writers.

Models are guarded where they run, in `bridgewire.physics.laws`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from attrs import evolve

from bridgewire.diagnostics import Finding, Severity
from bridgewire.documents.imported import (
    CueImportContext,
    CueImporter,
    ImportedCue,
    ImporterError,
    ImportProblem,
)
from bridgewire.errors import InputError
from bridgewire.plugins.answers import PluginRule, ReportWriter
from bridgewire.plugins.contexts import ReportContext
from bridgewire.plugins.faults import UNUSABLE, beside_output, cause, fault
from bridgewire.plugins.plugin_set import Plugin
from bridgewire.rules.context import Context
from bridgewire.rules.registry import LoadedRule

_DEEPEST = 4
"""Levels of lists and mappings in a cue's fields; a cue has two."""


def guarded_rule(plugin: Plugin, rule: PluginRule, severity: Severity) -> LoadedRule:
    """A plugin's rule for the engine; it cannot crash, nor report what is no finding of its own.

    Parameters
    ----------
    plugin : Plugin
    rule : PluginRule
    severity : Severity
        Of the finding about a rule that fails.
    """
    code = rule.rule.code

    def check(context: Context) -> Iterator[Finding]:
        try:
            for found in _one_by_one(rule, context):
                wrong = _finding_problem(found, code)
                if wrong:
                    yield fault(UNUSABLE, plugin, f"reports by rule {code} {wrong}", severity)
                else:
                    yield found
        except (Exception, SystemExit) as error:
            what = f"failed in rule {code} ({cause(error)}); what it checks was not checked"
            yield fault(UNUSABLE, plugin, what, severity)

    return LoadedRule(rule.rule, check, rule.page, plugin.words())


def _one_by_one(rule: PluginRule, context: Context) -> Iterator[Finding]:
    with beside_output():
        found = iter(rule.check(context))
    while True:
        with beside_output():
            try:
                item = next(found)
            except StopIteration:
                return
        yield item


def _finding_problem(found: object, code: str) -> str:
    """What keeps something that a rule yields from being a finding of it; empty if nothing."""
    if not isinstance(found, Finding):
        return f"an object of type {type(found).__name__}, not Finding"
    if found.code != code:
        return f"a finding with the code {found.code!r}"
    if not isinstance(found.severity, Severity):
        return "a finding whose severity is no Severity"
    texts = (found.message, found.document, found.unit, found.remedy, found.suggestion)
    if not all(isinstance(t, str) for t in texts) or not found.message:
        return "a finding whose texts are no texts"
    if not isinstance(found.path, tuple) or not all(isinstance(s, (str, int)) for s in found.path):
        return "a finding whose path is not a tuple of keys and indexes"
    subjects: object = found.subjects
    if not isinstance(subjects, tuple) or not all(isinstance(s, str) for s in subjects):
        return "a finding whose subjects are not a tuple of texts"
    for key in ("measured", "limit"):
        value = getattr(found, key)
        if value is not None and (not isinstance(value, (int, float)) or math.isnan(value)):
            return f"a finding whose {key!r} is no number"
    return ""


def guarded_importer(plugin: Plugin, importer: CueImporter) -> CueImporter:
    """An importer that raises `ImporterError`, or ``UnicodeError`` for a file that is no text."""

    def read(context: CueImportContext) -> Iterable[ImportedCue | ImportProblem]:
        what = f"importer {importer.name!r}"
        try:
            with beside_output():
                found = list(importer.read(context))
        except (Exception, SystemExit) as error:
            if isinstance(error, UnicodeError) and not _is_text(context):
                raise
            text = f"failed in {what} on {context.file} ({cause(error)})"
            raise ImporterError(fault(UNUSABLE, plugin, text)) from error
        for n, item in enumerate(found):
            wrong = _imported_problem(item)
            if wrong:
                text = f"gives from {what} (entry {n}) {wrong}"
                raise ImporterError(fault(UNUSABLE, plugin, text))
        return found

    return evolve(importer, read=read)


def _is_text(context: CueImportContext) -> bool:
    try:
        _ = context.text
    except UnicodeError:
        return False
    return True


def _imported_problem(item: object) -> str:
    if not isinstance(item, (ImportedCue, ImportProblem)):
        return f"an object of type {type(item).__name__}, neither ImportedCue nor ImportProblem"
    if not _is_place(item.line):
        return f"the line {item.line!r}; lines count from 1"
    if item.column is not None and not _is_place(item.column):
        return f"the column {item.column!r}; columns count from 1"
    if isinstance(item, ImportProblem):
        texts = isinstance(item.message, str) and isinstance(item.expected, str)
        return "" if texts and item.message else "a problem without a message"
    if not isinstance(item.fields, Mapping) or not _is_plain(item.fields):
        return "a cue whose fields are no mapping of texts to plain values"
    if not isinstance(item.places, Mapping):
        return "a cue whose places are no mapping"
    for key, place in item.places.items():
        pair = isinstance(place, tuple) and len(place) == 2 and all(_is_place(p) for p in place)
        if not (isinstance(key, str) and pair):
            return f"the place {place!r} of {key!r}; a place is a line and a column from 1"
    return ""


def _is_plain(value: object, depth: int = 0) -> bool:
    """Whether a value is made of texts, numbers, truths, lists and mappings, not too deep."""
    if isinstance(value, Mapping):
        keys = all(isinstance(key, str) for key in value)
        return keys and depth < _DEEPEST and all(_is_plain(v, depth + 1) for v in value.values())
    if isinstance(value, (list, tuple)):
        return depth < _DEEPEST and all(_is_plain(v, depth + 1) for v in value)
    return isinstance(value, (str, int, float))


def _is_place(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 1


def guarded_writer(plugin: Plugin, writer: ReportWriter) -> ReportWriter:
    """A report writer that raises `InputError` with a finding about the plugin where it fails."""

    def write(context: ReportContext) -> bytes:
        try:
            with beside_output():
                written: object = writer.write(context)
            if isinstance(written, str):
                return written.encode("utf-8")
        except (Exception, SystemExit) as error:
            text = f"failed in report writer {writer.name!r} ({cause(error)})"
            raise InputError((fault(UNUSABLE, plugin, text),)) from error
        if isinstance(written, bytes):
            return written
        text = (
            f"gives an object of type {type(written).__name__} from report writer "
            f"{writer.name!r}, not str or bytes"
        )
        raise InputError((fault(UNUSABLE, plugin, text),))

    return evolve(writer, write=write)
