"""What to try next as text: the question, what is thought of it, and trials that would tell."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.bench.design.rank import Ranked
from bridgewire.bench.design.study import NextStudy
from bridgewire.bench.unknown_words import words_of
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.plain_text import count, visible, wrap

BENCH_CAUTIONS = (
    "A trial lights real igniters. Make it where that is allowed, by people who may do so, away "
    "from live articles, with distance, eye protection and fresh air.",
    "Measure igniters only with an instrument approved for that, its current limited; disconnect "
    "the supply and wait before anybody touches the wiring, whatever was seen.",
)
SHOWN = 8


def next_trial_text(
    study: NextStudy, written: Sequence[str] = (), width: int = 80, shown: int = SHOWN
) -> str:
    """Say what to try next.

    Parameters
    ----------
    study : NextStudy
    written : sequence of str
        Files that were written.
    width : int
        Columns, at least 60.
    shown : int
        Trials that are listed.

    Returns
    -------
    str
    """
    lines = [*_head(study, width), ""]
    ranking = study.ranking
    if study.settled:
        lines += wrap(
            "That is as sure as was asked for. No further igniter need be spent on this question; "
            "the list below is for those who want to be surer still.",
            width,
        )
        lines.append("")
    if not ranking.telling:
        lines += wrap(
            f"None of {count(ranking.looked_at, 'trial')} that the kit allows tells clearly more "
            "than nothing about this question.",
            width,
        )
    lines += _table(ranking.ranked[:shown], width)
    lines += ["", *_best(study, width)]
    for finding in ranking.missing:
        lines += wrap(visible(f"Left out: {finding.message}"), width, "! ", "  ")
    if written:
        lines += ["", *(f"wrote {visible(name)}" for name in written)]
    lines.append("")
    for caution in (*study.cautions(), *BENCH_CAUTIONS, *CAUTIONS):
        lines += wrap(visible(caution), width, "- ", "  ")
    return "\n".join(lines) + "\n"


def _head(study: NextStudy, width: int) -> list[str]:
    ranking = study.ranking
    p = ranking.probability
    required = ranking.answer.required
    lines = wrap(
        visible(f"Question: is it at least {required:g} likely that {ranking.question.text}?"),
        width,
    )
    word = "yes" if p >= 0.5 else "no"
    lines += wrap(
        f"So far: {word}, with probability {_chance(max(p, 1.0 - p))}; "
        f"{ranking.open_bits:.2g} bits open. It lights with probability "
        f"{_chance(ranking.answer.lights(ranking.belief.weight))}, all that is unsure counted.",
        width,
    )
    return lines


def _chance(p: float) -> str:
    """A probability from draws: never quite 0 or 1.

    >>> _chance(0.5), _chance(1.0), _chance(0.0)
    ('0.500', 'above 0.999', 'below 0.001')
    """
    if p > 0.9995:
        return "above 0.999"
    return "below 0.001" if p < 0.0005 else f"{p:.3f}"


def _table(ranked: Sequence[Ranked], width: int) -> list[str]:
    if not ranked:
        return []
    lines = [
        "   bits each  igniters  bits         trial",
        "-" * min(width, 80),
    ]
    for n, r in enumerate(ranked, 1):
        figures = (
            f"{n:2d} {r.per_igniter:.3f} ± {r.per_igniter_se:.3f}"
            f"{'=' if r.tied and n > 1 else ' '}"
            f"{r.candidate.igniters:4d}   {r.bits:.3f}"
        )
        lines += wrap(visible(setup(r)), width, f"{figures}  ", " " * (len(figures) + 2))
    lines += [
        "",
        *wrap(
            "bits each: expected bits about the answer for each igniter spent, ± one standard "
            "error. = cannot be told from the first by these draws: take whichever suits.",
            width,
        ),
    ]
    return lines


def setup(r: Ranked) -> str:
    """A trial in one line."""
    trial, shot = r.candidate.trial, r.candidate.shot
    classes = sorted({i.class_.split(":", 1)[-1] for i in trial.igniter})
    text = r.candidate.layout
    if classes:
        text += f"; {', '.join(classes)}"
    text += f"; {shot.pulse_s:g} s"
    if shot.repeat is not None:
        text += f" and {shot.repeat.times} more, {shot.repeat.gap_s:g} s between"
    if shot.supply_V is not None:
        text += f" at {shot.supply_V.typical:g} V"
    return text


def _best(study: NextStudy, width: int) -> list[str]:
    if not study.ranking.ranked:
        return []
    best = study.ranking.ranked[0]
    lines = wrap(visible(f"First: {setup(best)}."), width)
    lines += wrap(
        f"Expected: all light with probability {_chance(best.all_light)}, none with "
        f"{_chance(best.none_light)}.",
        width,
        "  ",
        "  ",
    )
    if best.all_light > 0.95 and study.ranking.seen_as.state:
        lines += wrap(
            "What tells is when each lights and whether it then reads open: note both.",
            width,
            "  ",
            "  ",
        )
    reasons = [
        f"{words_of(r.key)} (takes {100 * r.share:.0f} % of its variance away, correlation with "
        f"lighting {r.bearing:+.2f})"
        for r in best.reasons
    ]
    if reasons:
        lines += wrap(visible(f"Why: it informs {'; '.join(reasons)}."), width, "  ", "  ")
    else:
        lines += wrap(
            "Why: no single value stands out; it tells of how they work together.",
            width,
            "  ",
            "  ",
        )
    return lines
