"""A typed wrapper for every hook: calls one plugin's hook and keeps only what can be used.

Whatever a plugin raises or gives back wrongly is a fault in words; nothing of it gets further.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

from bridgewire.diagnostics import Severity
from bridgewire.documents.imported import CueImporter
from bridgewire.physics.laws import IgniterModel, SupplyModel
from bridgewire.plugins.answers import PluginRule, ReportWriter
from bridgewire.plugins.faults import OUT_OF_RANGE, UNUSABLE, cause
from bridgewire.report.formats import OWN_FORMATS
from bridgewire.rules.base import Rule
from bridgewire.rules.registry import page_sections, rule_files

T = TypeVar("T")
Call: TypeAlias = Callable[[str], Any]
"""Calls a hook of one plugin by name; None where the plugin does not have it."""
Note: TypeAlias = Callable[[str, str], None]
"""Takes a finding's code and what is wrong."""

CODES = re.compile(r"X[A-Z]{2}\d{3}")
"""Codes of rules from outside; bridgewire has none that begins with X."""
_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def kits(call: Call, note: Note) -> tuple[Path, ...]:
    """Wrap ``bridgewire_kits``."""

    def problems(path: Path) -> Iterator[str]:
        if not path.is_absolute():
            yield f"{str(path)!r} is no absolute path"
        elif not path.exists():
            yield f"there is no {str(path)!r}"

    return _usable("bridgewire_kits", Path, problems, call, note)


def igniter_models(call: Call, note: Note) -> tuple[IgniterModel, ...]:
    """Wrap ``bridgewire_igniter_models``."""

    def problems(model: IgniterModel) -> Iterator[str]:
        yield from _name(model.name)
        yield from _texts("parameters", model.parameters)
        yield from _function("heating", model.heating)
        for key in ("resistance", "after_ohm"):
            if getattr(model, key) is not None:
                yield from _function(key, getattr(model, key))

    return _usable("bridgewire_igniter_models", IgniterModel, problems, call, note)


def supply_models(call: Call, note: Note) -> tuple[SupplyModel, ...]:
    """Wrap ``bridgewire_supply_models``."""

    def problems(model: SupplyModel) -> Iterator[str]:
        yield from _name(model.name)
        yield from _texts("parameters", model.parameters)
        yield from _function("current_A", model.current_A)

    return _usable("bridgewire_supply_models", SupplyModel, problems, call, note)


def cue_importers(call: Call, note: Note) -> tuple[CueImporter, ...]:
    """Wrap ``bridgewire_cue_importers``."""

    def problems(importer: CueImporter) -> Iterator[str]:
        yield from _name(importer.name)
        yield from _texts("options", importer.options)
        yield from _function("read", importer.read)

    return _usable("bridgewire_cue_importers", CueImporter, problems, call, note)


def report_writers(call: Call, note: Note) -> tuple[ReportWriter, ...]:
    """Wrap ``bridgewire_report_writers``."""

    def problems(writer: ReportWriter) -> Iterator[str]:
        yield from _name(writer.name)
        if writer.name in OWN_FORMATS:
            yield f"the name {writer.name!r} is bridgewire's own"
        yield from _function("write", writer.write)

    return _usable("bridgewire_report_writers", ReportWriter, problems, call, note)


def rules(call: Call, note: Note) -> tuple[PluginRule, ...]:
    """Wrap ``bridgewire_rules``; a code outside the range is a fault of its own."""
    found = _usable("bridgewire_rules", PluginRule, _rule_problems, call, note)
    kept = []
    for rule in found:
        if CODES.fullmatch(rule.rule.code):
            kept.append(rule)
        else:
            note(
                OUT_OF_RANGE,
                f"has a rule with the code {rule.rule.code!r}; codes of plugins go from XAA001 to "
                "XZZ999, so the rule does not run",
            )
    return tuple(kept)


def _rule_problems(rule: PluginRule) -> Iterator[str]:
    data: object = rule.rule
    if not isinstance(data, Rule):
        yield f"rule is {_kind(data)}, not Rule"
        return
    if not isinstance(data.code, str):
        yield f"the code is {_kind(data.code)}, not a text"
    if not (isinstance(data.name, str) and _NAME.fullmatch(data.name)):
        yield f"the name {data.name!r} is not lower-case words joined by hyphens"
    elif data.name in _own_rule_names():
        yield f"the name {data.name!r} is that of a rule of bridgewire"
    if not isinstance(data.severity, Severity):
        yield f"the severity is {_kind(data.severity)}, not Severity"
    if data.at_load:
        yield "at_load is for bridgewire's own rules"
    yield from _function("check", rule.check)
    page: object = rule.page
    if not isinstance(page, str) or not page.split("\n", 1)[0].strip().endswith("."):
        yield "its page does not begin with a sentence"
    elif not page_sections(page):
        yield "its page has no sections"


def _own_rule_names() -> set[str]:
    files = (module.rsplit(".", 1)[1] for module in rule_files().values())
    return {file.split("_", 1)[1].replace("_", "-") for file in files}


def _usable(
    hook: str,
    kind: type[T],
    problems: Callable[[T], Iterable[str]],
    call: Call,
    note: Note,
) -> tuple[T, ...]:
    """Call a hook; those of its answers that are of the right kind and have no problem."""
    try:
        answer = call(hook)
        items = _items(answer)
    except (Exception, SystemExit) as error:
        note(UNUSABLE, f"failed in {hook} ({cause(error)}); nothing of that hook is used")
        return ()
    if items is None:
        note(UNUSABLE, f"gives {_kind(answer)} from {hook}, not a list of {kind.__name__}")
        return ()
    kept: list[T] = []
    for n, item in enumerate(items):
        if not isinstance(item, kind):
            note(UNUSABLE, f"gives {_kind(item)} from {hook} (entry {n}), not {kind.__name__}")
            continue
        try:
            wrong = list(problems(item))
        except (Exception, SystemExit) as error:
            wrong = [cause(error)]
        if wrong:
            label = getattr(item, "name", "") or str(n)
            text = "; ".join(wrong)
            note(UNUSABLE, f"gives from {hook} what cannot be used (entry {label}): {text}")
        else:
            kept.append(item)
    return tuple(kept)


def _items(answer: Any) -> list[Any] | None:
    """The entries of what a hook gave; none where the plugin has no such hook."""
    if answer is None:
        return []
    return list(answer) if isinstance(answer, Sequence) and not isinstance(answer, str) else None


def _kind(value: object) -> str:
    return "nothing" if value is None else f"an object of type {type(value).__name__}"


def _name(name: object) -> Iterator[str]:
    if not (isinstance(name, str) and _NAME.fullmatch(name)):
        yield f"the name {name!r} is not lower-case words joined by hyphens"


def _function(key: str, value: object) -> Iterator[str]:
    if not callable(value):
        yield f"{key} is {_kind(value)}, not a function"


def _texts(key: str, value: object) -> Iterator[str]:
    if not isinstance(value, tuple) or not all(isinstance(v, str) for v in value):
        yield f"{key} is not a tuple of texts"
