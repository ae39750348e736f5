"""Words for go/no-go statistics, shared by the text and the JSON report."""

from __future__ import annotations

from bridgewire.bench.sensitivity.analysis import Analysis
from bridgewire.bench.sensitivity.counts import shots_without_failure
from bridgewire.bench.sensitivity.extremes import CONFIDENCE, RELIABILITY, Extreme
from bridgewire.bench.sensitivity.fit import Fit, NoFit
from bridgewire.bench.sensitivity.trials import Trials
from bridgewire.report.plain_text import count
from bridgewire.units import significant

FAR = 1.0
"""Sigmas outside the levels tried from which an extreme is called far out."""
LIMITS = (
    "The figures hold for igniters like those tried, from the same lot, stored and conditioned "
    "alike, with the pulse of the trial. In a show the current has another shape: it rises, sags "
    "and is shared, and ends with the cue's pulse. A level from here is no verdict on a cue.",
    "A confidence is about the scatter of the trial alone. It does not cover a wrong meter, a "
    "mixed lot, or a curve of the wrong shape.",
    "Never read a no-fire level as leave to pass that current through an igniter near people. "
    "Test currents have limits of their own, far below it.",
)
"""What go/no-go statistics do not tell."""
SCALE_WORDS = {
    "linear": "the level itself",
    "ln": "the natural logarithm of the level",
    "log10": "the logarithm to base 10 of the level",
}


def figure(value: float) -> str:
    """Write a level with four significant digits.

    >>> figure(0.37214), figure(34.01657), figure(1247.616), figure(-3.2)
    ('0.3721', '34.02', '1248', '-3.200')
    """
    return f"{value:.3e}" if abs(value) >= 1e7 else significant(value, 4)


def percent(value: float) -> str:
    """Write a share or a confidence.

    >>> percent(0.95), percent(0.999), percent(0.5), percent(1.0)
    ('95 %', '99.9 %', '50 %', '100 %')
    """
    return f"{100.0 * value:.6g} %"


def bounds_text(low: float | None, high: float | None, unit: str) -> str:
    """Write an interval; an end that the trials do not bound is said to be open.

    >>> bounds_text(1.0, 2.0, "A"), bounds_text(None, 2.0, "A"), bounds_text(None, None, "A")
    ('1.000 to 2.000 A', 'up to 2.000 A, no lower bound', 'no bound on either side')
    >>> bounds_text(1.0, None, "A")
    'from 1.000 A, no upper bound'
    """
    if low is None and high is None:
        return "no bound on either side"
    if low is None:
        return f"up to {figure(high or 0.0)} {unit}, no lower bound"
    if high is None:
        return f"from {figure(low)} {unit}, no upper bound"
    return f"{figure(low)} to {figure(high)} {unit}"


def why_no_fit(result: NoFit, unit: str) -> str:
    """Say why there is no curve, and what the trials tell all the same."""
    return _reason(result, unit) + " No middle, spread, all-fire or no-fire level is given."


def _reason(result: NoFit, unit: str) -> str:
    levels = result.levels

    def at(value: float | None) -> str:
        return "" if value is None else f"{value:g} {unit}"

    up_to, above = at(result.none_lit_up_to), at(result.all_lit_from)
    if result.reason == "all lit":
        return (
            f"Every shot lit, down to {at(levels.lowest_lit)}. Nothing bounds the levels at which "
            "igniters light from below: lower levels must be tried."
        )
    if result.reason == "none lit":
        return (
            f"No shot lit, up to {at(levels.highest_unlit)}. Nothing bounds the levels at which "
            "igniters light from above: higher levels must be tried."
        )
    if result.reason == "one level":
        return (
            f"All shots were made at one level, {at(levels.lowest_lit)}; some lit, some did not. "
            "How that changes with the level cannot be told."
        )
    if result.reason == "separated":
        return (
            f"Nothing lit up to {up_to}, everything lit from {above}: the change lies between "
            f"{up_to} and {above} as far as these shots tell. No spread can be computed: no level "
            "lit below one that did not, so every narrow spread, down to none at all, fits."
        )
    if result.reason == "one-point overlap":
        ends = [
            f"nothing lit up to {up_to}" if up_to else "no level was tried at which nothing lit",
            f"everything lit from {above}" if above else "no level was tried at which all lit",
        ]
        return (
            f"Lit and unlit shots meet at one level only, {at(levels.lowest_lit)}; otherwise "
            f"{ends[0]}, and {ends[1]}. No spread can be computed: every narrow spread, down to "
            "none at all, fits."
        )
    if result.reason == "reversed":
        return (
            f"Every shot up to {at(levels.highest_lit)} lit and none above: the wrong way round. "
            "Look for swapped results or a fault of the set-up."
        )
    if result.reason == "falling":
        return (
            "Fewer, or no more, light at higher levels: the spread is infinite by these shots. "
            "Look for a fault of the set-up, or try levels further apart."
        )
    if result.reason == "not settled":
        return (
            "The computation of the curve did not settle: the levels or counts are too far apart "
            "for its arithmetic."
        )
    return (
        "The shots do not show that the level matters, and the half-way level by the best curve "
        f"lies outside the levels tried ({at(min(_ends(levels.lowest_lit, levels.lowest_unlit)))} "
        f"to {at(max(_ends(levels.highest_lit, levels.highest_unlit)))}). An infinite spread is as "
        "good, so there is no bound on either side; try levels further apart."
    )


def _ends(*values: float | None) -> list[float]:
    return [v for v in values if v is not None]


def extreme_note(extreme: Extreme) -> str:
    """Say how far an extreme lies outside the levels tried; empty where it is within."""
    if extreme.beyond <= 0.0:
        return ""
    side = "above the highest" if extreme.p > 0.5 else "below the lowest"
    far = "far " if extreme.beyond >= FAR else ""
    return f"{far}{side} level tried, by {extreme.beyond:.1f} sigma"


def doubts(analysis: Analysis) -> tuple[str, ...]:
    """All that speaks against the figures of an analysis."""
    out: list[str] = []
    fitted, tests = analysis.result, analysis.misfit
    if not isinstance(fitted, Fit) or tests is None:
        return ()
    if tests.called_out:
        out.append(
            "The curve does not fit: shots scatter about it more than chance allows. Intervals and "
            "bounds are then too narrow. Another curve or scale, or a mixed lot, may be the cause."
        )
    if tests.pearson_p is None:
        out.append("With two levels every curve fits: whether this one is right cannot be told.")
    elif not tests.dependable:
        out.append("Few shots at each level: the test of fit tells little either way.")
    if analysis.matters is False:
        out.append(
            "The shots do not show that the level matters at all (at "
            f"{percent(analysis.confidence)}); hence the open bounds."
        )
    extremes = [e for e in (analysis.all_fire, analysis.no_fire) if e is not None]
    if any(e.beyond >= FAR for e in extremes):
        out.append(
            "All-fire or no-fire lies far outside the levels tried. It then rests on the shape of "
            "the curve, which the shots cannot check; see the other curves."
        )
    low = analysis.no_fire
    if low is not None and (low.estimate <= 0.0 or (low.bound is not None and low.bound <= 0.0)):
        out.append("The no-fire level or its bound is not above 0: the trials show none.")
    if analysis.confidence != CONFIDENCE:
        out.append(
            f"All-fire and no-fire are defined at {percent(CONFIDENCE)} confidence; these bounds "
            f"have {percent(analysis.confidence)}."
        )
    return tuple(out)


def without_failure(trials: Trials, confidence: float, unit: str) -> str:
    """What it would take to show the all-fire reliability without any curve."""
    need = shots_without_failure(RELIABILITY, confidence)
    tried: dict[float, int] = {}
    failed: set[float] = set()
    for v, n, k in zip(
        trials.level.tolist(), trials.tried.tolist(), trials.lit.tolist(), strict=True
    ):
        tried[v] = tried.get(v, 0) + int(n)
        if k < n:
            failed.add(v)
    best = [(n, v) for v, n in tried.items() if v not in failed]
    text = (
        f"Without a curve, {need} shots at one level, all lit, show {RELIABILITY:g} at "
        f"{percent(confidence)} confidence."
    )
    if best:
        most, level = max(best)
        text += f" Most at one level that all lit here: {count(most, 'shot')}, at {level:g} {unit}."
    return text
