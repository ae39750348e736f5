"""A fitted bench record as text: what was learned, which trials disagree, what to beware of."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.bench.calibration.posterior import LARGEST_R_HAT
from bridgewire.bench.calibration.study import FitStudy
from bridgewire.bench.record_notes import observations
from bridgewire.model.band import Band
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.plain_text import clip, count, pad, visible, wrap

_FIGURES = 25
"""Columns of three figures."""


def bench_fit_text(study: FitStudy, written: Sequence[str] = (), width: int = 80) -> str:
    """Say what was learned from a record.

    Parameters
    ----------
    study : FitStudy
    written : sequence of str
        Files that were written.
    width : int
        Columns, at least 60.

    Returns
    -------
    str
    """
    model = study.posterior.model
    record = model.record
    head = (
        f"{visible(record.title)}: {count(len(record.trial), 'trial')}, "
        f"{count(sum(len(t.igniters) for t in model.trials), 'igniter')}, "
        f"{count(observations(model), 'observation')}, fitted"
    )
    lines = [*wrap(head, width), ""]
    lines += _table(study, width)
    lines += ["", *_trials(study, width), "", *_trust(study, width)]
    if written:
        lines += ["", *(f"wrote {visible(name)}" for name in written)]
    lines.append("")
    for caution in (*study.cautions(), *CAUTIONS):
        lines += wrap(visible(caution), width, "- ", "  ")
    return "\n".join(lines) + "\n"


def figures(band: Band) -> str:
    """Low, middle and high end of a band in three digits.

    >>> figures(Band(0.24, 0.3, 0.3512))
    '0.24    0.3     0.351'
    """
    shown = (f"{v:.3g}" for v in (band.min, band.typical, band.max))
    return " ".join(pad(v, 7) for v in shown).rstrip()


def _table(study: FitStudy, width: int) -> list[str]:
    name = max(width - 2 * _FIGURES - 2, 20)
    lines = [
        f"{pad('what', name)} {pad('before', _FIGURES)} {'after'}".rstrip(),
        "-" * min(width, name + 2 * _FIGURES + 2),
    ]

    def row(label: str, before: Band, after: Band) -> str:
        left = pad(clip(visible(label), name), name)
        return f"{left} {pad(figures(before), _FIGURES)} {figures(after)}".rstrip()

    here = ""
    quiet: list[str] = []
    for v in study.learned:
        p = v.parameter
        scatter = v.scatter_pct is not None and v.prior_scatter_pct is not None
        scatter_learned = False
        if v.scatter_pct is not None and v.prior_scatter_pct is not None:
            wide = v.prior_scatter_pct.max - v.prior_scatter_pct.min
            scatter_learned = v.scatter_pct.max - v.scatter_pct.min < 0.85 * wide
        if not v.learned and not scatter_learned:
            quiet.append(p.label)
            continue
        if p.id != here:
            lines.append(visible(p.id))
            here = p.id
        lines.append(row(f"  {p.key}", v.prior, v.posterior))
        if scatter and v.scatter_pct is not None and v.prior_scatter_pct is not None:
            lines.append(row("    scatter [%]", v.prior_scatter_pct, v.scatter_pct))
    for c in study.classes:
        lines.append(visible(f"{c.class_id.split(':', 1)[1]}, from these"))
        lines.append(row("  threshold [A]", c.threshold_before_A, c.threshold_A))
        lines.append(row("  time constant [s]", c.tau_before_s, c.tau_s))
    lines += [
        "",
        *wrap(
            "Three figures: 5 %, median and 95 % of the typical value. Scatter: from one to the "
            "next, standard deviation.",
            width,
        ),
    ]
    if quiet:
        lines += wrap(visible("The trials say nothing new of: " + ", ".join(quiet) + "."), width)
    return lines


def _trials(study: FitStudy, width: int) -> list[str]:
    lines = ["Do the trials agree with one another?"]
    for trial, a, data in zip(
        study.posterior.model.record.trial, study.agreement, study.posterior.data, strict=True
    ):
        word = "DISAGREES" if a.disagrees else "agrees"
        title = f" ({trial.title})" if trial.title else ""
        found = f"{word}, p = {a.p:.3f}" if a.judged else "cannot be judged"
        text = f"trial {a.trial}: {found}, {count(data.count, 'entry', 'entries')}"
        if a.undecided:
            text += f", {count(a.undecided, 'igniter')} undecided beforehand"
        lines += wrap(visible(text + title), width, "  ", "    ")
    for a in study.disagreeing:
        lines += wrap(visible(a.advice) + ".", width, "! ", "  ")
    return lines


def _trust(study: FitStudy, width: int) -> list[str]:
    found = study.posterior.diagnostics
    text = (
        f"Draws: {study.posterior.z.shape[0]}, at least {found.effective:.0f} effective; "
        f"R-hat at most {found.r_hat:.3f} (1 is perfect, above {LARGEST_R_HAT:g} is no good); "
        f"{found.steps} steps from prior to posterior; seed {study.posterior.seed}."
    )
    return wrap(text, width)
