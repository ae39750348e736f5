"""The odds of a show as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.report.cautions import caution_lines
from bridgewire.report.figures import number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, count, pad, visible, wrap
from bridgewire.uncertainty.intervals import Estimate
from bridgewire.uncertainty.odds_figures import CueOdds, IgniterOdds, Mean
from bridgewire.uncertainty.quantities import Group
from bridgewire.uncertainty.sensitivity import SAMPLES, CauseRanking
from bridgewire.uncertainty.shares import SHARES, SHARES_SOURCE
from bridgewire.uncertainty.study import OddsStudy
from bridgewire.units import seconds

ROWS = 10
"""Igniters and cues in a table."""
FLOOR = 1e-6
"""Probabilities below it are not told apart: there what is in no kit file is far likelier."""
_MILLIONTHS = 1e-4
"""Probabilities below it are told in millionths, not in percent."""
LIMITS = (
    "The odds are those of the scatter that kit and show state, and of these causes alone. A lead "
    "that is not clipped, a damp article, a wrong address or a wrong kit value is not in them, and "
    "is often the likelier failure.",
)
"""What odds do not tell."""


def probability(value: float) -> str:
    """Write a probability: percent, or so many in a million where it is small.

    >>> probability(0.0521), probability(3.2e-6), probability(1e-40), probability(0.0)
    ('5.2 %', '3.2 in a million', 'less than 1 in a million', '0')
    """
    if value <= 0.0:
        return "0"
    if value < FLOOR:
        return "less than 1 in a million"
    if value < _MILLIONTHS:
        return f"{_millionths(value)} in a million"
    return f"{_percent(value)} %"


def _millionths(value: float) -> str:
    """Two digits; what is above 0 is not rounded to it.

    >>> _millionths(3.24e-6), _millionths(5.36e-5), _millionths(1e-9), _millionths(0.0)
    ('3.2', '54', 'below 0.1', '0')
    """
    if 0.0 < value < 0.05e-6:
        return "below 0.1"
    return f"{1e6 * value:.{1 if value < 9.95e-6 else 0}f}".removesuffix(".0")


def _percent(value: float) -> str:
    """Two digits of whichever is smaller, the value or what it falls short of 1 by.

    >>> _percent(0.99996), _percent(0.5), _percent(1.0), _percent(0.00037)
    ('99.996', '50', '100', '0.037')
    """
    small = min(value, 1.0 - value)
    if small <= 1e-12:
        return f"{100.0 * value:.0f}"
    decimals = 0
    while decimals < 8 and small * 100.0 * 10.0**decimals < 9.5:
        decimals += 1
    text = f"{100.0 * value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_interval(estimate: Estimate) -> str:
    """Write a probability with its interval.

    All three figures have the unit that suits the upper end, so that they can be compared.

    >>> with_interval(Estimate(0.05, 0.04, 0.06)), with_interval(Estimate(0.0, 0.0, 3.7e-4))
    ('5 % (4 % to 6 %)', '0 (0 to 0.037 %)')
    >>> with_interval(Estimate(3.2e-6, 2.1e-6, 4.5e-6)), with_interval(Estimate(0.0, 0.0, 3.7e-6))
    ('3.2 in a million (2.1 to 4.5)', '0 (0 to 3.7 in a million)')
    >>> with_interval(Estimate(5e-6, 1e-9, 2e-4)), with_interval(Estimate(1e-9, 0.0, 1e-7))
    ('0.0005 % (0 to 0.02 %)', 'less than 1 in a million')
    """
    value, low, high = estimate.value, estimate.low, estimate.high
    if 0.0 < high < FLOOR:
        return probability(high)
    if 0.0 < high < _MILLIONTHS:
        under = "0" if low < 0.05e-6 else _millionths(low)
        if value <= 0.0:
            return f"0 ({under} to {_millionths(high)} in a million)"
        return f"{_millionths(value)} in a million ({under} to {_millionths(high)})"
    told = "below 0.0001 %" if 0.0 < value < FLOOR else _share(value)
    return f"{told} ({'0' if low < FLOOR else _share(low)} to {_share(high)})"


def _share(value: float) -> str:
    return f"{_percent(value)} %" if value > 0.0 else "0"


def odds_text(study: OddsStudy, *, width: int = 80, ink: Ink = PLAIN) -> str:
    """Write the odds of a show.

    Parameters
    ----------
    study : OddsStudy
    width : int
    ink : Ink

    Returns
    -------
    str
        What was drawn; the show as a whole; the weakest igniters; what their failure rests on and
        what to measure; cues that must light together; cautions. Ends with a line end.
    """
    lines = [ink(visible(f"{study.title}: odds"), "bold"), *_facts(study, width), ""]
    lines += _whole(study, width, ink)
    lines += _weakest(study, width, ink)
    lines += _closer(study, width, ink)
    lines += _together(study.odds.cues, width, ink)
    lines += caution_lines(width, ink)
    for text in LIMITS:
        lines += wrap(text, width, "  ")
    return "\n".join(lines) + "\n"


def _facts(study: OddsStudy, width: int) -> list[str]:
    odds = study.odds
    how = "one value in each stratum" if odds.sampling == "latin" else "independent values"
    common = ", ".join(f"{name} {value:g}" for name, value in SHARES.items())
    rows = [
        (
            "draws",
            f"{odds.draws}, seed {odds.seed}, {how}; intervals hold at 95 % (Clopper-Pearson)",
        ),
        (
            "scatter",
            f"the ends of a band lie {number(study.band_sigma)} standard deviations from its "
            "typical value",
        ),
        (
            "in common",
            f"part of the variance where kit or show do not say ({SHARES_SOURCE}): {common}",
        ),
    ]
    if study.cue is not None:
        rows.insert(0, ("cue", study.cue))
    if study.required is not None:
        rows.append(("required", f"each igniter lights with {_percent(study.required)} %"))
    if odds.taken_as_exact:
        rows.append(
            (
                "exact",
                "without a stated tolerance, so taken as exact, which may be too good: some of "
                + ", ".join(odds.taken_as_exact),
            )
        )
    return [line for name, text in rows for line in wrap(visible(text), width, f"  {name:<10}")]


def _whole(study: OddsStudy, width: int, ink: Ink) -> list[str]:
    odds = study.odds
    name = "This cue" if study.cue is not None else "The whole show"
    rows = [
        ("no igniter left unlit", with_interval(odds.no_unlit)),
        ("every cue lights all it means", with_interval(odds.every_cue)),
        (f"igniters left unlit, of {odds.igniters}", _mean(odds.unlit)),
    ]
    lines = [ink(name, "bold")]
    lines += [f"  {pad(label, 32)}{text}" for label, text in rows]
    if odds.never:
        lines += wrap(visible(f"no cue reaches: {_names(odds.never)}"), width, "  ", "    ")
    if odds.unknown:
        text = (
            f"not computed, and in none of these figures: {_names(odds.unknown)}; with them the "
            "odds can only be worse"
        )
        lines += wrap(visible(text), width, "  ", "    ")
    for fault in odds.faults:
        text = f"model {fault.model} gave answers that could not be used: {fault.text}"
        lines += wrap(visible(text), width, "  ", "    ")
    return [*lines, ""]


def _names(names: Sequence[str]) -> str:
    shown = ", ".join(names[:ROWS])
    more = len(names) - ROWS
    return f"{shown} and {more} more" if more > 0 else shown


def _mean(mean: Mean) -> str:
    if mean.high is None:
        return f"{number(mean.value)} (the same in every draw)"
    return f"{number(mean.value)} ({number(mean.low)} to {number(mean.high)})"


def _weakest(study: OddsStudy, width: int, ink: Ink) -> list[str]:
    rows = study.weakest()[:ROWS]
    if not rows:
        return []
    names = {c.cue: c.id for c in study.odds.cues}
    room = max(width - 58, 20)
    cue_room, igniter_room = room // 2, room - room // 2
    head = (
        f"  {pad('cue', cue_room)} {pad('igniter', igniter_room)} "
        f"{pad('fails', 32)} rests mostly on"
    )
    lines = [ink("Most likely to fail", "bold"), ink(head, "faint")]
    for i in rows:
        estimate = study.failure_of(i)
        text = with_interval(estimate)
        short = study.required is not None and 1.0 - estimate.value < study.required
        line = (
            f"  {pad(clip_middle(visible(names[i.cue]), cue_room), cue_room)} "
            f"{pad(clip_middle(visible(i.id), igniter_room), igniter_room)} {pad(text, 32)} "
            f"{_mostly(study, i)}"
        ).rstrip()
        lines.append(ink(line, "bold", "red") if short else line)
        if short:
            lines += wrap("below what the show requires", width, "    ")
    return [*lines, ""]


def _mostly(study: OddsStudy, igniter: IgniterOdds) -> str:
    """The group that an igniter's failure rests on most."""
    for ranking in study.closer:
        if (ranking.cue, ranking.igniter) == (igniter.cue, igniter.igniter) and ranking.groups:
            return _group(ranking.groups[0].group)
    return _group(igniter.shares[0].group) if igniter.shares else ""


def _group(group: Group) -> str:
    return {"strips and splitters": "strips", "switch and diode": "switching"}.get(group, group)


def _closer(study: OddsStudy, width: int, ink: Ink) -> list[str]:
    if not study.closer:
        return []
    names = {c.cue: c.id for c in study.odds.cues}
    lines = [ink("What failure rests on, and what to measure to be surer", "bold")]
    for ranking in study.closer:
        lines += _ranking(ranking, names[ranking.cue], width)
    return [*lines, ""]


def _ranking(ranking: CauseRanking, cue: str, width: int) -> list[str]:
    failure = ranking.failure
    said = with_interval(Estimate(failure.probability, *failure.interval))
    head = f"{ranking.id} under cue {cue} fails: {said}"
    lines = wrap(visible(head), width, "  ", "    ")
    if not ranking.groups:
        if failure.probability > 0.5:
            lines += wrap(
                "it fails at typical values: change the wiring, the pulse or the kit; measuring "
                "will not help",
                width,
                "    ",
            )
        else:
            lines += wrap("nothing was found that makes it fail", width, "    ")
    for g in ranking.groups if failure.probability >= FLOOR else ():
        known, halved = (_effect(ranking, p) for p in (g.known, g.halved))
        effect = f"{known} if known, {halved} with half the scatter"
        text = f"{round(100 * g.share)} %"
        lines += wrap(f"{g.group}: {effect}; {g.advice}", width, f"    {pad(text, 5, right=True)} ")
    for doubt in failure.doubts:
        lines += wrap(f"doubt: {doubt}", width, "    ")
    return lines


def _effect(ranking: CauseRanking, value: float) -> str:
    if ranking.basis == "sampled" and value <= 0.0:
        return f"none in {SAMPLES} draws"
    return probability(value)


def _together(cues: Sequence[CueOdds], width: int, ink: Ink) -> list[str]:
    asked = [c for c in cues if c.together is not None]
    if not asked:
        return []
    asked.sort(key=lambda c: c.together.value if c.together is not None else 1.0)
    lines = [
        ink("Cues that must light together", "bold"),
        f"  {count(len(asked), 'cue')}; those most likely to miss:",
    ]
    for c in asked[:5]:
        if c.together is None or c.spread_s is None:
            continue
        text = f"all lit within {seconds(c.spread_s)}: {with_interval(c.together)}"
        lines += wrap(visible(f"{c.id}: {text}"), width, "    ")
    return [*lines, ""]
