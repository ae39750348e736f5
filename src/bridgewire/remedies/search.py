"""Seeks changes that clear the cues of a show: screens them on one box, proves them on the show."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from attrs import evolve, frozen

from bridgewire.diagnostics import Finding
from bridgewire.remedies.case import Case, Refused, Trial
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.cost import Cost, cost_of
from bridgewire.remedies.edits import ConflictError, Edit, combined
from bridgewire.remedies.judge import State, cures, harm, helps, needs_help, state_of
from bridgewire.remedies.moves import retime
from bridgewire.remedies.moves.registry import MOVES, Move
from bridgewire.remedies.pareto import pareto

PAIRS = 10
"""How many changes that help a little are tried in pairs."""
OFF_TIME = ("TIM007", "TIM008")
"""Effects that come early or late: whatever else is changed, the cue can be switched in time."""
GROWN, MOST_CHANGES = 12, 4
"""How many changes are added up where no pair does, and how many at once."""
PROVED = 12
"""How many remedies of a cue are proved on the whole show."""
MARGIN_STEP = 0.25
"""Margins nearer than this are alike: nobody pays for the difference."""
ENOUGH_MARGIN = 3.0
"""More margin than this is worth nothing."""


@frozen
class Remedy:
    """Changes after which a cue is sure to fire, together.

    Attributes
    ----------
    changes : tuple of Change
    edits : tuple of Edit
        Of all changes.
    cost : Cost
    before, after : State
        Of the cue it was sought for. The findings of `after` are warnings that are left.
    clears : tuple of str
        Every cue that is sure to fire with it and was not before, in the show's order.
    """

    changes: tuple[Change, ...]
    edits: tuple[Edit, ...]
    cost: Cost
    before: State
    after: State
    clears: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """All changes as one instruction."""
        return "; ".join(c.words for c in self.changes)

    @property
    def kinds(self) -> tuple[str, ...]:
        """Which moves take part."""
        return tuple(c.kind for c in self.changes)


@frozen
class Advice:
    """What can be done for one cue.

    Attributes
    ----------
    cue_id : str
    state : State
        As the show is written.
    findings : tuple of Finding
        What is to be cleared.
    remedies : tuple of Remedy
        The cheapest first; none is beaten by another in all kinds of cost and in margin. Each
        was checked on the whole show, and nothing else gets worse with it.
    tried : int
        Changes, and pairs of changes, that were tried.
    harmful : tuple of (str, str)
        Changes that clear the cue but break something else, with the first thing they break.
    """

    cue_id: str
    state: State
    findings: tuple[Finding, ...]
    remedies: tuple[Remedy, ...]
    tried: int
    harmful: tuple[tuple[str, str], ...] = ()


def advise(
    case: Case,
    cue_ids: Sequence[str] | None = None,
    *,
    moves: Sequence[Move] = MOVES,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Advice, ...]:
    """Seek remedies.

    Parameters
    ----------
    case : Case
    cue_ids : sequence of str, optional
        All cues that are not clear where absent.
    moves : sequence of Move
    progress : callable, optional
        Called with cues done and in all.

    Returns
    -------
    tuple of Advice
        One a cue, in the order asked for; cues that are clear have no remedies.

    Raises
    ------
    KeyError
        If a cue does not exist.
    """
    wanted = needs_help(case.as_written) if cue_ids is None else tuple(cue_ids)
    known: dict[tuple[Edit, ...], Trial | Refused] = {}
    answers = []
    for done, cue_id in enumerate(wanted):
        if progress is not None:
            progress(done, len(wanted))
        answers.append(_Search(case, cue_id, moves, known).advice())
    if progress is not None:
        progress(len(wanted), len(wanted))
    return tuple(answers)


class _Search:
    """The search for one cue."""

    def __init__(
        self,
        case: Case,
        cue_id: str,
        moves: Sequence[Move],
        known: dict[tuple[Edit, ...], Trial | Refused],
    ) -> None:
        self.case, self.cue_id, self.moves = case, cue_id, moves
        self.whole = known
        self.before = state_of(case.as_written, cue_id)
        self.parts: dict[frozenset[str], Trial] = {}
        self.tried = 0
        self.harmful: list[tuple[str, str]] = []

    def advice(self) -> Advice:
        """Try single changes, then pairs of those that help, then prove the best."""
        found: list[Remedy] = []
        if not self.before.clear:
            changes = [c for move in self.moves for c in move(self.case, self.cue_id)]
            partly: list[tuple[Change, State]] = []
            for change in changes:
                self._try((change,), found, partly)
            partly.sort(key=lambda p: _standing(p[1]), reverse=True)
            for pair in combinations(_varied([c for c, _ in partly], PAIRS), 2):
                self._try(pair, found, [])
            if not found:
                self._grow(_varied([c for c, _ in partly], GROWN), found)
        candidates = sorted(self._best(found), key=_rank)[:PROVED]
        remedies = [r for r in map(self._proved, candidates) if r is not None]
        remedies = self._best(remedies)
        remedies.sort(key=_rank)
        return Advice(
            self.cue_id,
            self.before,
            self.before.findings,
            tuple(remedies),
            self.tried,
            tuple(self.harmful),
        )

    def _try(
        self,
        changes: tuple[Change, ...],
        found: list[Remedy],
        partly: list[tuple[Change, State]],
    ) -> None:
        """Try changes on the boxes they touch, at corners."""
        try:
            edits = combined(*(c.edits for c in changes))
        except ConflictError:
            return
        self.tried += 1
        boxes = frozenset().union(*(c.boxes for c in changes))
        after = self.case.trial(edits, prove=False, only=boxes)
        if isinstance(after, Refused) or self.cue_id not in after.cues:
            return
        state = state_of(after, self.cue_id)
        late = any(f.code in OFF_TIME for f in state.findings)
        if late and (follows := self._retimed(changes, after)) is not None:
            self._try((*changes, follows), found, partly)
            return
        if cures(self.before, state):
            effort = sum((c.effort for c in changes), Effort())
            cost = cost_of(effort, self.case.show.costs, self.case.catalogue)
            found.append(Remedy(changes, edits, cost, self.before, state))
        if not state.clear and helps(self.before, state):
            own = [c for c in changes if c.kind != retime.KIND] or changes
            partly.append((own[-1], state))

    def _retimed(self, changes: tuple[Change, ...], after: Trial) -> Change | None:
        """What brings the cue's effect to its time once the changes are made."""
        if any(c.kind == retime.KIND for c in changes):
            return None
        index = self.case.as_written.cues[self.cue_id].cue
        if after.cues[self.cue_id].way is None:
            return None
        found = retime.retimed(after.layout.show.cue, after, self.cue_id)
        return None if found is None else evolve(found, edits=_at_index(found.edits, index))

    def _grow(self, changes: Sequence[Change], found: list[Remedy]) -> None:
        """Where no pair does: add the change that helps most, again and again."""
        chosen: tuple[Change, ...] = ()
        standing = self.before
        while not found and len(chosen) < MOST_CHANGES:
            better: list[tuple[Change, State]] = []
            for change in changes:
                if change not in chosen:
                    self._try((*chosen, change), found, better)
            if found or not better:
                return
            change, state = max(better, key=lambda b: _standing(b[1]))
            if not helps(standing, state):
                return
            chosen, standing = (*chosen, change), state

    def _best(self, remedies: list[Remedy]) -> list[Remedy]:
        return pareto(remedies, _respects)

    def _proved(self, remedy: Remedy) -> Remedy | None:
        """Check a remedy on the whole show with proofs; None where it fails or does harm."""
        if remedy.edits not in self.whole:
            self.whole[remedy.edits] = self.case.trial(remedy.edits)
        trial = self.whole[remedy.edits]
        if isinstance(trial, Refused):
            return None
        state = state_of(trial, self.cue_id)
        if not cures(self.before, state):
            return None
        before = self.case.as_written
        cleared = tuple(
            i for i in needs_help(before) if cures(state_of(before, i), state_of(trial, i))
        )
        worse = harm(before, trial, except_for=frozenset((self.cue_id,)))
        if worse:
            self.harmful.append((remedy.words, worse[0]))
            return None
        return evolve(remedy, after=state, clears=cleared)


def _at_index(edits: Sequence[Edit], index: int) -> tuple[Edit, ...]:
    """Edits of a cue with its index in the whole show."""
    return tuple(evolve(e, path=("cue", index, *e.path[2:])) for e in edits)


def _respects(remedy: Remedy) -> tuple[float, ...]:
    """All that one remedy can beat another in, the less the better."""
    bought = sum(max(i.count, 0.0) for c in remedy.changes for i in c.effort.items)
    return (
        *remedy.cost.vector(),
        float(len(remedy.after.findings)),
        -_margin_steps(remedy.after),
        float(len(remedy.changes)),
        bought,
    )


def _margin_steps(state: State) -> int:
    return int(min(state.margin or 0.0, ENOUGH_MARGIN) / MARGIN_STEP)


def _standing(state: State) -> tuple[float, float]:
    return (-len(state.findings), state.margin or 0.0)


def _varied(changes: Sequence[Change], most: int) -> list[Change]:
    """The first changes, at most three of a kind."""
    kept: list[Change] = []
    for change in changes:
        if len(kept) < most and sum(c.kind == change.kind for c in kept) < 3:
            kept.append(change)
    return kept


def _rank(remedy: Remedy) -> tuple[float, ...]:
    total = float("inf") if remedy.cost.total is None else remedy.cost.total
    left = len(remedy.after.findings)
    return (
        float(left > 0),
        total,
        len(remedy.changes),
        left,
        *remedy.cost.vector(),
        -len(remedy.clears),
    )
