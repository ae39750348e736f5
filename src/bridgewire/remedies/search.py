"""Seeks changes that clear the cues of a show.

Changes are screened on the outputs and boxes they touch, at tolerance corners; what does well is
proved on those boxes, and what is given back on the whole show. Cues that fail alike are mended
alike: what helps the worst of them is made for all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import combinations

from attrs import evolve

from bridgewire.remedies.bill import difference
from bridgewire.remedies.case import Case, Refused, Trial
from bridgewire.remedies.change import Change, Effort
from bridgewire.remedies.cost import cost_of
from bridgewire.remedies.edits import ConflictError, Edit, combined
from bridgewire.remedies.groups import alike
from bridgewire.remedies.judge import (
    State,
    apart_s,
    cures,
    harm,
    helps,
    needs_help,
    state_of,
    taken_over,
)
from bridgewire.remedies.moves import other_class, retime
from bridgewire.remedies.moves.registry import MOVES, Move
from bridgewire.remedies.remedy import Advice, Remedy, unbeaten

PLENTY = 4
"""With so many single changes that leave nothing to be desired, no pairs are tried."""
PAIRS = 8
"""How many changes that help a little are tried in pairs."""
OFF_TIME = ("TIM007", "TIM008")
"""Effects that come early or late: whatever else is changed, the cue can be switched in time."""
GROWN, MOST_CHANGES = 10, 4
"""How many changes are added up where no pair does, and how many at once."""
SAME_KIND = 2
"""Remedies of the same moves that are proved."""
PROVED = 9
"""How many remedies of a group are sent to be proved."""
NAMED = 4
"""How many changes are told one by one when several cues are mended alike."""

Known = dict[tuple[Edit, ...], Trial | Refused]


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
        One for each group of cues that fail alike, in the order of their first cues; each cue is
        in one. Cues that are clear have no remedies. The same show gives the same answer.

    Raises
    ------
    KeyError
        If a cue does not exist.
    """
    wanted = needs_help(case.as_written) if cue_ids is None else tuple(cue_ids)
    for cue_id in wanted:
        case.as_written.cues[cue_id]
    known: Known = {}
    answers = []
    groups = alike(case.as_written, wanted)
    number, done = sum(map(len, groups)), 0
    while groups:
        group = groups.pop(0)
        if progress is not None:
            progress(done, number)
        found = _Search(case, group, moves, known).advice()
        cleared = {c for r in found.remedies for c in r.mends}
        left = tuple(c for c in group if c not in cleared)
        # What the remedies leave is sought for by itself, as long as there is something left out.
        if found.remedies and 0 < len(left) < len(group):
            groups.insert(0, left)
            group = tuple(c for c in group if c in cleared)
        answers.append(evolve(found, cue_ids=group))
        done += len(group)
    if progress is not None:
        progress(number, number)
    return tuple(answers)


class _Search:
    """The search for one group of cues."""

    def __init__(
        self, case: Case, cue_ids: tuple[str, ...], moves: Sequence[Move], known: Known
    ) -> None:
        self.case, self.members, self.moves, self.whole = case, cue_ids, moves, known
        self.cue_id = cue_ids[0]
        self.before = state_of(case.as_written, self.cue_id)
        self.recipes: dict[str, Mapping[tuple[str, str], Change]] = {}
        self.tried = 0
        self.harmful: list[tuple[str, str]] = []

    def advice(self) -> Advice:
        """Try single changes, then pairs of those that help, then prove the best."""
        found: list[Remedy] = []
        if not self.before.clear:
            partly: list[tuple[Change, State]] = []
            for change in self._changes(self.cue_id).values():
                self._try((change,), found, partly)
            partly.sort(key=lambda p: _standing(p[1]), reverse=True)
            if sum(r.after.clear and not r.caveats for r in found) < PLENTY:
                like = [c for c, _ in partly if not (c.kind == other_class.KIND and c.caveat)]
                for pair in combinations(_varied(like, PAIRS), 2):
                    self._try(pair, found, [])
            if not any(other_class.KIND not in r.kinds for r in found):
                like = [c for c, _ in partly if c.kind != other_class.KIND]
                self._grow(_varied(like, GROWN), found)
        return Advice(
            self.members,
            self.before,
            self.before.findings,
            tuple(self._prove_best(found)),
            self.tried,
            tuple(dict.fromkeys(self.harmful)),
        )

    def _changes(self, cue_id: str) -> Mapping[tuple[str, str], Change]:
        """Every change that the moves propose for a cue, by kind and recipe."""
        if cue_id not in self.recipes:
            found: dict[tuple[str, str], Change] = {}
            counts: dict[str, int] = {}
            for move in self.moves:
                for change in move(self.case, cue_id):
                    counts[change.kind] = counts.get(change.kind, 0) + 1
                    recipe = change.recipe or f"no. {counts[change.kind]}"
                    found.setdefault((change.kind, recipe), evolve(change, recipe=recipe))
            self.recipes[cue_id] = found
        return self.recipes[cue_id]

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
        adds = tuple(a for c in changes for a in c.adds)
        near = frozenset((self.cue_id, *adds))
        after = self.case.trial(edits, prove=False, only=boxes, near=near)
        if isinstance(after, Refused):
            return
        if self.cue_id not in after.cues and not any(self.cue_id in c.drops for c in changes):
            return
        state = state_of(after, self.cue_id, adds)
        late = any(f.code in OFF_TIME for f in state.findings)
        if late and (follows := self._retimed(changes, after, self.cue_id)) is not None:
            self._try((*changes, follows), found, partly)
            return
        if self._cured(after, adds):
            found.append(self._remedy(changes, edits, state, _words(changes, 1)))
        if not state.clear and helps(self.before, state):
            own = [c for c in changes if c.kind != retime.KIND] or changes
            partly.append((own[-1], state))

    def _remedy(
        self, changes: tuple[Change, ...], edits: tuple[Edit, ...], after: State, words: str
    ) -> Remedy:
        effort = sum((c.effort for c in changes), Effort())
        cost = cost_of(effort, self.case.show.costs, self.case.catalogue)
        return Remedy(changes, words, edits, cost, effort, self.before, after)

    def _retimed(self, changes: tuple[Change, ...], after: Trial, cue_id: str) -> Change | None:
        """What brings a cue's effect to its time once the changes are made."""
        if any(c.kind == retime.KIND for c in changes):
            return None
        index = self.case.as_written.cues[cue_id].cue
        if cue_id not in after.cues or after.cues[cue_id].way is None:
            return None
        found = retime.retimed(after.layout.show.cue, after, cue_id)
        return None if found is None else evolve(found, edits=_at_index(found.edits, index))

    def _grow(self, changes: Sequence[Change], found: list[Remedy]) -> None:
        """Where no pair does: add the change that helps most, again and again."""
        chosen: tuple[Change, ...] = ()
        standing = self.before
        enough = len(found)
        while len(found) == enough and len(chosen) < MOST_CHANGES:
            better: list[tuple[Change, State]] = []
            for change in changes:
                if change not in chosen:
                    self._try((*chosen, change), found, better)
            if len(found) > enough or not better:
                return
            change, state = max(better, key=lambda b: _standing(b[1]))
            if not helps(standing, state):
                return
            chosen, standing = (*chosen, change), state

    def _for_all(self, remedy: Remedy) -> Remedy:
        """The same changes made for every cue of the group that has them."""
        own = [c for c in remedy.changes if c.kind != retime.KIND or c.recipe != "own"]
        retimed = len(own) < len(remedy.changes)
        changes: dict[tuple[Edit, ...], Change] = {}
        edits: tuple[Edit, ...] = ()
        for member in self.members:
            theirs = [self._changes(member).get((c.kind, c.recipe)) for c in own]
            new = [c for c in theirs if c is not None and c.edits not in changes]
            if None in theirs:
                continue
            try:
                edits = combined(edits, *(c.edits for c in new))
            except ConflictError:
                continue
            changes.update({c.edits: c for c in new})
        if retimed or any(f.code in OFF_TIME for f in self.before.findings):
            boxes = frozenset().union(*(c.boxes for c in changes.values())) or None
            after = self.case.trial(edits, only=boxes)
            for member in self.members:
                follows = None if isinstance(after, Refused) else self._retimed((), after, member)
                if follows is not None:
                    try:
                        edits = combined(edits, follows.edits)
                    except ConflictError:
                        continue
                    changes[follows.edits] = follows
        if not changes:
            return remedy
        every = tuple(changes.values())
        return self._remedy(every, edits, remedy.after, _words(every, len(self.members)))

    def _best(self, remedies: list[Remedy]) -> list[Remedy]:
        return unbeaten(remedies, self.case.catalogue)

    def _prove_best(self, found: list[Remedy]) -> list[Remedy]:
        """Prove what nothing beats; where that fails, what it had beaten takes its place."""
        waiting, proved = list(found), list[Remedy]()
        for _ in range(PROVED):
            best = self._few(self._best([*proved, *waiting]))
            following = next((r for r in best if r in waiting), None)
            if following is None:
                break
            waiting.remove(following)
            wide = self._for_all(following) if len(self.members) > 1 else following
            made = self._proved(wide)
            if made is not None:
                proved.append(made)
        return self._best(proved)

    def _few(self, remedies: list[Remedy]) -> list[Remedy]:
        """The cheapest, not too many of the same moves."""
        kept: list[Remedy] = []
        for remedy in remedies:
            same = sum(r.kinds == remedy.kinds for r in kept)
            if same < SAME_KIND:
                kept.append(remedy)
        return kept

    def _proved(self, remedy: Remedy) -> Remedy | None:
        """Check a remedy with proofs, first on its boxes, then on the whole show."""
        adds = tuple(a for c in remedy.changes for a in c.adds)
        boxes = frozenset().union(*(c.boxes for c in remedy.changes))
        if len(boxes) < len(self.case.show.box) and remedy.edits not in self.whole:
            part = self.case.trial(remedy.edits, only=boxes)
            if isinstance(part, Refused) or not self._cured(part, adds):
                return None
        if remedy.edits not in self.whole:
            self.whole[remedy.edits] = self.case.trial(remedy.edits)
        trial = self.whole[remedy.edits]
        if isinstance(trial, Refused) or not self._cured(trial, adds):
            return None
        before = self.case.as_written
        stands = {
            i: (state_of(before, i), state_of(trial, i, taken_over(before, trial, i, adds)))
            for i in needs_help(before)
        }
        cleared = {i: pair for i, pair in stands.items() if cures(*pair)}
        worse = harm(before, trial, except_for=frozenset((*self.members, *adds)))
        if worse:
            self.harmful.append((remedy.words, worse[0]))
            return None
        effort = difference(before.layout, trial.layout, remedy.effort)
        cost = cost_of(effort, self.case.show.costs, self.case.catalogue)
        after = state_of(trial, self.cue_id, adds)
        return evolve(
            remedy,
            effort=effort,
            cost=cost,
            after=after,
            mends=tuple(cleared),
            stands=tuple(cleared.values()),
        )

    def _cured(self, trial: Trial, adds: tuple[str, ...]) -> bool:
        if not cures(self.before, state_of(trial, self.cue_id, adds)):
            return False
        # Cues that share what one cue was to light together must light it together.
        cue = self.case.show.cue[self.case.as_written.cues[self.cue_id].cue]
        limit = self.case.show.requirements.spread_s if cue.spread_s is None else cue.spread_s
        if not adds or not cue.together or limit is None:
            return True
        return apart_s(trial, (self.cue_id, *adds)) <= limit


def _words(changes: Sequence[Change], cues: int) -> str:
    """Changes as one instruction; those that are alike for several cues are told once."""
    told: dict[str, list[Change]] = {}
    for change in changes:
        told.setdefault(change.each or change.words, []).append(change)
    out = []
    for each, group in told.items():
        if len(group) == 1:
            out.append(group[0].words)
        elif group[0].each:
            out.append(f"for each of {len(group)} cues: {each}")
        else:
            out.append(each)
    if len(out) > NAMED and cues > 1:
        out = [*out[:NAMED], f"and {len(out) - NAMED} changes more of this kind"]
    return "; ".join(out)


def _at_index(edits: Sequence[Edit], index: int) -> tuple[Edit, ...]:
    """Edits of a cue with its index in the whole show."""
    return tuple(evolve(e, path=("cue", index, *e.path[2:])) for e in edits)


def _standing(state: State) -> tuple[float, float]:
    return (-len(state.findings), state.margin or 0.0)


def _varied(changes: Sequence[Change], most: int) -> list[Change]:
    """The first changes, at most two of a kind."""
    kept: list[Change] = []
    for change in changes:
        if len(kept) < most and sum(c.kind == change.kind for c in kept) < 2:
            kept.append(change)
    return kept
