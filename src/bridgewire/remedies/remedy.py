"""What a search for remedies gives back, and how remedies are compared."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.diagnostics import Finding
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.cost import Cost, priced
from bridgewire.remedies.edits import Edit
from bridgewire.remedies.judge import State
from bridgewire.remedies.pareto import pareto

MARGIN_STEP = 0.25
"""Margins nearer than this are alike: nobody pays for the difference."""
ENOUGH_MARGIN = 3.0
"""More margin than this is worth nothing."""


@frozen
class Remedy:
    """Changes after which cues are sure to fire, together.

    Attributes
    ----------
    changes : tuple of Change
    words : str
        All changes as one instruction, without a full stop.
    edits : tuple of Edit
        Of all changes.
    cost : Cost
    effort : Effort
        What the cost comes from.
    before, after : State
        Of the cue it was sought for. The findings of `after` are warnings that are left.
    mends : tuple of str
        Every cue that is sure to fire with it and was not, or has fewer findings, in the show's
        order.
    stands : tuple of (State, State)
        How each of these stands without and with it.
    """

    changes: tuple[Change, ...]
    words: str
    edits: tuple[Edit, ...]
    cost: Cost
    effort: Effort
    before: State
    after: State
    mends: tuple[str, ...] = ()
    stands: tuple[tuple[State, State], ...] = ()

    @property
    def kinds(self) -> tuple[str, ...]:
        """Which moves take part."""
        return tuple(dict.fromkeys(c.kind for c in self.changes))

    @property
    def caveats(self) -> tuple[str, ...]:
        """What the crew must see to."""
        return tuple(dict.fromkeys(c.caveat for c in self.changes if c.caveat))


@frozen
class Advice:
    """What can be done for a cue, or for several that fail alike.

    Attributes
    ----------
    cue_ids : tuple of str
        The one that stands worst first.
    state : State
        Of the first cue as the show is written.
    findings : tuple of Finding
        What is to be cleared for the first cue.
    remedies : tuple of Remedy
        The cheapest first; none is beaten by another in all kinds of cost and in margin. Each
        was checked on the whole show, and nothing else gets worse with it.
    tried : int
        Changes, and sets of changes, that were tried.
    harmful : tuple of (str, str)
        Changes that clear the cue but break something else, with the first thing they break.
    """

    cue_ids: tuple[str, ...]
    state: State
    findings: tuple[Finding, ...]
    remedies: tuple[Remedy, ...]
    tried: int
    harmful: tuple[tuple[str, str], ...] = ()

    @property
    def cue_id(self) -> str:
        """The cue that stands worst."""
        return self.cue_ids[0]


def unbeaten(remedies: Sequence[Remedy], catalogue: Catalogue) -> list[Remedy]:
    """The remedies that no other beats, the cheapest first.

    What has no price counts by pieces and metres, each kind of thing for itself, so that nothing
    is called dearer that may be cheaper.

    Parameters
    ----------
    remedies : sequence of Remedy
    catalogue : Catalogue
        For prices.

    Returns
    -------
    list of Remedy
    """
    bought = [priced(r.effort.items, catalogue) for r in remedies]
    things = sorted({key for _, unpriced in bought for key in unpriced})
    respects = {
        id(r): (money, *(unpriced.get(t, 0.0) for t in things), *_respects(r))
        for r, (money, unpriced) in zip(remedies, bought, strict=True)
    }
    return sorted(pareto(remedies, lambda r: respects[id(r)]), key=rank)


def _respects(remedy: Remedy) -> tuple[float, ...]:
    """All but money that one remedy can beat another in, the less the better; to set cues
    differently is one respect in which it beats to rig differently."""
    effort = remedy.effort
    if remedy.cost.minutes is not None:
        work: tuple[float, ...] = (remedy.cost.minutes, 0, 0, 0)
    else:
        work = (effort.minutes, effort.runs, effort.parts, effort.igniters)
    return (
        effort.metres,
        effort.outputs,
        *work,
        effort.shift_s,
        effort.longer_s,
        float(any(e.path[:1] != ("cue",) for e in remedy.edits)),
        len(remedy.after.findings),
        len(remedy.caveats),
        -_margin_steps(remedy.after),
        len(remedy.changes) / max(len(remedy.mends), 1),
        -len(remedy.mends),
    )


def _margin_steps(state: State) -> int:
    return int(min(state.margin or 0.0, ENOUGH_MARGIN) / MARGIN_STEP)


def rank(remedy: Remedy) -> tuple[float, ...]:
    """The order of remedies: those that clear everything first, then without caveats, then by
    what they cost."""
    total = float("inf") if remedy.cost.total is None else remedy.cost.total
    left = len(remedy.after.findings)
    return (
        float(left > 0),
        len(remedy.caveats),
        total,
        len(remedy.changes),
        left,
        *remedy.cost.vector(),
        remedy.effort.longer_s,
        -len(remedy.mends),
    )
