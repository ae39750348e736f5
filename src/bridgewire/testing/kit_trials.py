"""Runs every rule on small shows that a kit's entries are put together to."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
from bridgewire.model.kit import Kit
from bridgewire.model.show import Show
from bridgewire.plugins.faults import DOCUMENT as PLUGINS
from bridgewire.plugins.manager import load_plugins
from bridgewire.plugins.plugin_set import PluginSet
from bridgewire.rules.context import Context
from bridgewire.rules.engine import CRASH_CODE, run_rules
from bridgewire.rules.registry import all_rules
from bridgewire.testing.kit_shows import GENERIC, shows_of_kit
from bridgewire.testing.problems import Problem
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict


def trial_problems(file: str, kit: Kit, known: Collection[tuple[str, str]] = ()) -> list[Problem]:
    """Rules that fail, and verdicts that stay unknown, in shows around a kit.

    Parameters
    ----------
    file : str
        For the problems.
    kit : Kit
    known : collection of (str, str)
        Item and key of values that are known to be missing; they are not told again.

    Examples
    --------
    >>> from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
    >>> kit = find_kits(["harrowmere"], [shipped_profiles_dir()])["harrowmere"].kit
    >>> trial_problems("harrowmere.toml", kit)
    []
    """
    kits = {kit.id: kit}
    if kit.id != GENERIC:
        kits[GENERIC] = find_kits([GENERIC], [shipped_profiles_dir()])[GENERIC].kit
    catalogue = Catalogue(kits)
    plugins = load_plugins()
    found: dict[tuple[str, str], Problem] = {}
    for show in shows_of_kit(kit, kits[GENERIC]):
        for problem in _of_show(file, kit, show, catalogue, plugins):
            found.setdefault((problem.place, problem.message), problem)
    return [p for p in found.values() if tuple(p.place.split(": ", 1)) not in known]


def _of_show(
    file: str, kit: Kit, show: Show, catalogue: Catalogue, plugins: PluginSet
) -> Iterator[Problem]:
    layout, problems = resolve(show, catalogue, plugins.models)
    if layout is None:
        for finding in problems:
            yield Problem(file, "rule", show.title, f"{finding.code} {finding.message}")
        return
    try:
        assessment = assess(layout)
    except Exception as error:
        why = f"cannot be computed ({type(error).__name__}: {error})"
        yield Problem(file, "rule", show.title, why)
        return
    findings, _ = run_rules(Context(assessment), [*all_rules(), *plugins.rules])
    for finding in findings:
        if finding.code == CRASH_CODE or finding.document == PLUGINS:
            yield Problem(file, "rule", show.title, finding.message)
    for fault in assessment.model_faults:
        yield Problem(file, "rule", f"model {fault.model}", fault.text)
    for cue in assessment.cues:
        if cue.verdict is Verdict.UNKNOWN:
            yield from _unknown(file, kit, cue, assessment)


def _unknown(file: str, kit: Kit, cue: CueOutcome, assessment: Assessment) -> Iterator[Problem]:
    for lack in cue.missing:
        if lack.document == f"kit:{kit.id}" and lack.blocks:
            place = f"{lack.noun} {lack.item.partition(':')[2]}: {lack.key}"
            yield Problem(file, "rule", place, f"is not stated; needed for: {lack.prevents}")
    if not cue.missing and not assessment.model_faults:
        yield Problem(file, "rule", cue.id, "the verdict is unknown")
