"""What to change, as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.remedies.cost import Cost
from bridgewire.remedies.judge import State
from bridgewire.remedies.search import Advice, Remedy
from bridgewire.report.figures import number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import count, visible, wrap
from bridgewire.report.text import caution_lines
from bridgewire.units import seconds


def advice_text(
    title: str,
    advice: Sequence[Advice],
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
    advice : sequence of Advice
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
    if not advice:
        lines += ["  Every cue is sure to fire and has no finding; there is nothing to change.", ""]
    number_ = 0
    for item in advice:
        lines += _heading(item, width, ink)
        for n, remedy in enumerate(item.remedies):
            number_ += 1
            if n < most:
                lines += _remedy(number_, remedy, currency, width, ink)
        if len(item.remedies) > most:
            left = len(item.remedies) - most
            lines += wrap(f"{count(left, 'remedy', 'remedies')} more, see --most", width, "       ")
        lines += _without(item, width)
        lines.append("")
    absent = sorted({key for a in advice for r in a.remedies for key in r.cost.not_stated})
    if absent:
        text = f"not stated, so that some costs are not known: {', '.join(absent)}"
        lines += [*wrap(visible(text), width, "  "), ""]
    lines += caution_lines(width, ink)
    return "\n".join(lines) + "\n"


def _heading(item: Advice, width: int, ink: Ink) -> list[str]:
    lines = [ink(f"  cue {visible(item.cue_id)!r}", "bold") + f"  {state_words(item.state)}"]
    for finding in item.findings[:4]:
        lines += wrap(visible(f"{finding.code} {finding.message}"), width, "     - ", "       ")
    if len(item.findings) > 4:
        lines.append(f"       and {count(len(item.findings) - 4, 'finding')} more")
    return lines


def state_words(state: State) -> str:
    """How a cue stands: ``no, margin 0.26, never at the worst corner``."""
    verdict = "unknown" if state.verdict is None else state.verdict.value
    words = [verdict]
    if state.margin is not None:
        words.append(f"margin {state.margin:.2f}")
    if state.latest_s is not None:
        words.append(f"lit after {seconds(state.latest_s)} at the latest")
    return ", ".join(words)


def _remedy(n: int, remedy: Remedy, currency: str, width: int, ink: Ink) -> list[str]:
    lines = wrap(visible(f"{remedy.words}."), width, f"  {n:>3}. ", "       ")
    before, after = _margin(remedy.before), _margin(remedy.after)
    lines += wrap(
        f"margin {before} -> {after}; {cost_words(remedy.cost, currency)}", width, "       "
    )
    others = remedy.clears
    if len(others) > 1:
        names = ", ".join(repr(visible(c)) for c in others[:6])
        more = f" and {len(others) - 6} more" if len(others) > 6 else ""
        lines += wrap(f"mends {count(len(others), 'cue')}: {names}{more}", width, "       ")
    if remedy.after.findings:
        codes = ", ".join(dict.fromkeys(f.code for f in remedy.after.findings))
        lines += wrap(f"warnings left: {codes}", width, "       ")
    return lines


def _margin(state: State) -> str:
    return "?" if state.margin is None else f"{state.margin:.2f}"


def cost_words(cost: Cost, currency: str = "") -> str:
    """Every kind of cost that there is: ``costs 4.50 EUR; 12 m more cable, 1 output``."""
    unit = f" {visible(currency)}" if currency else ""
    words = []
    if cost.total is not None:
        words.append(f"costs {cost.total:.2f}{unit} in all")
    if cost.money is None:
        words.append("price not stated")
    elif cost.money and cost.money != cost.total:
        words.append(f"{cost.money:.2f}{unit} to buy")
    if abs(cost.metres) > 1e-9:
        words.append(f"{number(abs(cost.metres))} m {'more' if cost.metres > 0 else 'less'} cable")
    if cost.outputs:
        words.append(f"{count(cost.outputs, 'output')} more")
    if cost.minutes is None:
        words.append("rigging time not stated")
    elif cost.minutes:
        words.append(f"{number(cost.minutes)} min of rigging")
    if cost.shift_s:
        words.append(f"moved by {seconds(cost.shift_s)}")
    return ", ".join(words) if words else "costs nothing that the show states"


def _without(item: Advice, width: int) -> list[str]:
    lines: list[str] = []
    if not item.remedies and item.findings:
        text = (
            f"no remedy found: none of {count(item.tried, 'change')} tried, alone or in pairs, "
            "makes it fire surely without harm elsewhere"
        )
        lines += wrap(text, width, "       ")
    for words, harm in item.harmful[:2]:
        text = f"not advised: {words}. It would break something else: {harm}"
        lines += wrap(visible(text), width, "       ")
    return lines
