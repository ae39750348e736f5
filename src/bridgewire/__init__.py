"""bridgewire: will every igniter on every cue light, when, and with what margin?

Examples
--------
>>> import bridgewire
>>> report = bridgewire.check("examples/midwinter-small.toml")  # doctest: +SKIP
>>> report.verdict_counts()[bridgewire.Verdict.NO]  # doctest: +SKIP
0
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bridgewire.version import __version__ as __version__

if TYPE_CHECKING:
    from bridgewire.api import LoadedShow, Report, check, load_show
    from bridgewire.diagnostics import Finding, Severity
    from bridgewire.errors import InputError
    from bridgewire.model.band import Band
    from bridgewire.timeline.outcomes import Verdict

__all__ = [
    "Band",
    "Finding",
    "InputError",
    "LoadedShow",
    "Report",
    "Severity",
    "Verdict",
    "check",
    "load_show",
]

_HOMES = {
    "Band": "bridgewire.model.band",
    "Finding": "bridgewire.diagnostics",
    "InputError": "bridgewire.errors",
    "LoadedShow": "bridgewire.api",
    "Report": "bridgewire.api",
    "Severity": "bridgewire.diagnostics",
    "Verdict": "bridgewire.timeline.outcomes",
    "check": "bridgewire.api",
    "load_show": "bridgewire.api",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first used, so that ``import bridgewire`` costs nothing."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
