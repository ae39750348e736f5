"""A show before and after trials, as text: what changed, and which values moved it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from bridgewire.bench.kit_changes import ChangedEntry
from bridgewire.bench.prediction import IgniterPrediction, Prediction, Reason
from bridgewire.model.band import Band
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.findings_text import findings_lines
from bridgewire.report.odds_text import probability, with_interval
from bridgewire.report.plain_text import count, visible, wrap
from bridgewire.timeline.outcomes import IgniterOutcome, Verdict
from bridgewire.uncertainty.intervals import Estimate

SHOWN = 12


def predict_text(found: Prediction, width: int = 80, *, everything: bool = False) -> str:
    """Say what trials change in a show.

    Parameters
    ----------
    found : Prediction
    width : int
        Columns, at least 60.
    everything : bool
        Every igniter, not only those that moved.

    Returns
    -------
    str
    """
    lines = wrap(visible(f"{found.title}: before, and with kit {found.kit}"), width)
    lines += wrap(_verdicts(found), width, "  ", "    ")
    if found.odds_before is not None and found.odds_after is not None:
        a, b = found.odds_before.odds.no_unlit, found.odds_after.odds.no_unlit
        lines += wrap(
            f"something stays unlit with probability {_dark(a)} before, {_dark(b)} after",
            width,
            "  ",
            "    ",
        )
    chosen = [i for i in found.igniters if everything or i.moved]
    chosen.sort(key=lambda i: (not i.worse, not i.turned))
    lines.append("")
    if not chosen:
        lines += wrap("No verdict and no margin is clearly another.", width)
    limit = len(chosen) if everything else SHOWN
    for one in chosen[:limit]:
        lines += _igniter(one, width)
    if len(chosen) > limit:
        lines.append(f"  and {len(chosen) - limit} more; --all shows them")
    lines += _entries(found, width)
    for title, some in (("New findings", found.new), ("Findings that are gone", found.gone)):
        if some:
            lines += ["", title, *findings_lines(some, width=width)]
    lines.append("")
    for caution in (*_cautions(found), *CAUTIONS):
        lines += wrap(visible(caution), width, "- ", "  ")
    return "\n".join(lines) + "\n"


def _verdicts(found: Prediction) -> str:
    def words(which: str) -> str:
        counts = Counter(getattr(i, which).verdict for i in found.igniters)
        return ", ".join(f"{counts[v]} {v.value}" for v in Verdict if counts[v]) or "none"

    turned = sum(i.turned for i in found.igniters)
    return (
        f"verdicts: {words('before')}; then {words('after')}. "
        f"{count(turned, 'verdict')} changed, {sum(i.worse for i in found.igniters)} for the worse"
    )


def _igniter(one: IgniterPrediction, width: int) -> list[str]:
    head = f"{one.cue}, {one.igniter}: {one.before.verdict.value}"
    if one.turned:
        head += f" -> {one.after.verdict.value}" + (" (WORSE)" if one.worse else "")
    lines = wrap(visible(head), width)
    lines += wrap(
        f"margin {_number(one.before.margin)} -> {_number(one.after.margin)}; lights "
        f"{_band(one.before)} -> {_band(one.after)}",
        width,
        "  ",
        "    ",
    )
    if one.lights_before is not None and one.lights_after is not None:
        lines += wrap(
            f"stays unlit with probability {_dark(one.lights_before)} -> {_dark(one.lights_after)}",
            width,
            "  ",
            "    ",
        )
    for reason in one.reasons:
        lines += wrap(visible("why margin: " + _reason(reason, one)), width, "  ", "       ")
    for dark in one.dark_reasons:
        text = (
            f"why unlit: {dark.entry.id} ({', '.join(dark.entry.keys)}): "
            f"{100 * dark.share:.0f} % of it; alone {probability(dark.alone)}, without it "
            f"{probability(dark.without)}"
        )
        lines += wrap(visible(text), width, "  ", "       ")
    return lines


def _reason(reason: Reason, one: IgniterPrediction) -> str:
    what = "margin" if one.worst else "typical margin"
    text = f"{reason.entry.id} ({', '.join(reason.entry.keys)}): {100 * reason.share:.0f} % of it"
    text += f"; alone the {what} would be {_number(reason.alone)}"
    return text + f", without it {_number(reason.without)}"


def _entries(found: Prediction, width: int) -> list[str]:
    if not found.entries:
        return ["", "The kit changes nothing that the show uses."]
    lines = ["", "What the trials changed in the kit, of what the show uses:"]
    for entry in found.entries:
        lines += wrap(visible(f"{entry.id}: {'; '.join(_changes(entry))}"), width, "  ", "    ")
    return lines


def _changes(entry: ChangedEntry) -> Iterator[str]:
    for v in entry.values:
        yield f"{v.key} {_value(v.before)} -> {_value(v.after)}"


def _value(value: Band | float | None) -> str:
    if isinstance(value, Band):
        return f"{value.typical:.4g} ({value.min:.4g} to {value.max:.4g})"
    return "not stated" if value is None else f"{value:.4g}"


def _number(value: float | None) -> str:
    return "not known" if value is None else f"{value:.2f}"


def _seconds(value: float) -> str:
    return "never" if math.isinf(value) else f"{value:.3g}"


def _band(outcome: IgniterOutcome) -> str:
    if outcome.lit_before:
        return "before this cue"
    light = outcome.light
    if math.isinf(light.earliest):
        return "never"
    return f"{_seconds(light.earliest)} to {_seconds(light.latest)} s".replace("never s", "never")


def _dark(lights: Estimate) -> str:
    return with_interval(Estimate(1.0 - lights.value, 1.0 - lights.high, 1.0 - lights.low))


def _cautions(found: Prediction) -> Iterator[str]:
    yield from found.notes
    yield (
        "Why: the show is computed again with one kit entry at a time as the trials have it, and "
        "with all but that one. Entries work together, so the parts need not add up to 100 %."
    )
    if found.odds_after is not None:
        yield (
            "Probabilities after draw the values that were learned as they go together."
            if found.samples
            else "The kit has no samples: probabilities after take its values as independent."
        )
    yield "Findings about kit profiles are left out here; bridgewire check shows them."
    yield (
        "What trials taught holds for the box, the drums and the batch that were tried, at about "
        "that temperature."
    )
