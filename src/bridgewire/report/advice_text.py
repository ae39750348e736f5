"""What to change, as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.remedies.numbered import Numbered
from bridgewire.remedies.remedy import Advice, Remedy
from bridgewire.report.cautions import caution_lines
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, count, visible, wrap
from bridgewire.report.remedy_words import cost_words, margin_words, state_words


def advice_text(
    title: str,
    advice: Numbered,
    currency: str = "",
    width: int = 80,
    ink: Ink = PLAIN,
    most: int = 5,
) -> str:
    """Write remedies, numbered through for ``advise --apply``.

    Parameters
    ----------
    title : str
        Of the show.
    advice : Numbered
    currency : str
        Of the show's costs.
    width : int
    ink : Ink
    most : int
        Remedies shown for a cue; the numbers of those left out are left out too.

    Returns
    -------
    str
        Ends with a line end.
    """
    lines = [ink(f"{visible(title)}: what to change", "bold"), ""]
    if not advice.groups:
        lines += ["  Every cue is sure to fire and has no finding; there is nothing to change.", ""]
    if advice.several:
        lines.append(ink("  for several kinds of trouble at once", "bold"))
        lines += _remedies(advice.several, currency, width, ink, most)
        lines.append("")
    for item, remedies in advice.groups:
        lines += _heading(item, width, ink)
        also = advice.also(item)[:most]
        if also:
            numbers = ", ".join(map(str, also))
            word = "remedies" if len(also) > 1 else "remedy"
            mends = "mend" if len(also) > 1 else "mends"
            them = "it" if len(item.cue_ids) == 1 else "them"
            lines += wrap(f"{word} {numbers} above {mends} {them} as well", width, "       ")
        lines += _remedies(remedies, currency, width, ink, most)
        lines += _without(item, width)
        lines.append("")
    everything = [r for a, _ in advice.groups for r in a.remedies]
    absent = sorted({key for r in everything for key in r.cost.not_stated})
    if absent:
        text = f"not stated, so that some costs are not known: {', '.join(absent)}"
        lines += [*wrap(visible(text), width, "  "), ""]
    lines += caution_lines(width, ink)
    return "\n".join(lines) + "\n"


def _remedies(
    remedies: Sequence[tuple[int, Remedy]], currency: str, width: int, ink: Ink, most: int
) -> list[str]:
    lines = []
    for n, remedy in remedies[:most]:
        lines += _remedy(n, remedy, currency, width, ink)
    if len(remedies) > most:
        left = count(len(remedies) - most, "remedy", "remedies")
        lines += wrap(f"{left} more, see --most", width, "       ")
    return lines


def _heading(item: Advice, width: int, ink: Ink) -> list[str]:
    names = [repr(visible(c)) for c in item.cue_ids]
    if len(names) == 1:
        state = state_words(item.state)
        head = f"  cue {clip_middle(names[0], max(width - len(state) - 8, 16))}"
        lines = [ink(head, "bold") + f"  {state}"]
    else:
        told = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
        lines = [ink(f"  {len(names)} cues that fail alike", "bold")]
        lines += wrap(told, width, "     ")
        lines += wrap(f"the worst, {names[0]}: {state_words(item.state)}", width, "     ")
    for finding in item.findings[:4]:
        lines += wrap(visible(f"{finding.code} {finding.message}"), width, "     - ", "       ")
    if len(item.findings) > 4:
        lines.append(f"       and {count(len(item.findings) - 4, 'finding')} more")
    return lines


def _remedy(n: int, remedy: Remedy, currency: str, width: int, ink: Ink) -> list[str]:
    lines = wrap(visible(f"{remedy.words}."), width, f"  {n:>3}. ", "       ")
    before, after = margin_words(remedy.before), margin_words(remedy.after)
    untold = remedy.after.left_out or before == after == "?"
    margin = "" if untold else f"margin {before} -> {after}; "
    lines += wrap(f"{margin}{cost_words(remedy.cost, currency)}", width, "       ")
    others = remedy.mends
    if len(others) > 1:
        names = ", ".join(repr(visible(c)) for c in others[:6])
        more = f" and {len(others) - 6} more" if len(others) > 6 else ""
        lines += wrap(f"mends {count(len(others), 'cue')}: {names}{more}", width, "       ")
    for caveat in remedy.caveats:
        lines += wrap(visible(f"mind: {caveat}"), width, "       ")
    if remedy.after.findings:
        codes = ", ".join(dict.fromkeys(f.code for f in remedy.after.findings))
        lines += wrap(f"warnings left: {codes}", width, "       ")
    return lines


def _without(item: Advice, width: int) -> list[str]:
    lines: list[str] = []
    if not item.remedies and item.findings:
        text = "no remedy found: there is no change that could be tried"
        if item.tried:
            text = (
                f"no remedy found: {count(item.tried, 'change')} tried, alone or together; none "
                "makes it fire surely without harm elsewhere"
            )
        lines += wrap(text, width, "       ")
    for words, harm in item.harmful[: 1 if item.remedies else 2]:
        text = f"not advised: {words}. It would break something else: {harm}"
        lines += wrap(visible(text), width, "       ")
    return lines
