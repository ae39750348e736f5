"""Blocks of draws: one plan in some draws, here or in worker processes, and the sums over them."""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
from attrs import astuple, frozen

from bridgewire.physics.laws import ModelFault
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.uncertainty.draws import CueDraws, run_plan
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import Latent
from bridgewire.uncertainty.streams import Streams

_LEAST_LOG = -20.0
"""Logarithm that stands for a margin of 0."""


@frozen
class Block:
    """Draws `start` to `stop` (left out) of one plan, by its place."""

    plan: int
    start: int
    stop: int


@frozen(eq=False)
class Moments:
    """Sums over draws of the log margin y of each entry of a cue, and of y times each latent."""

    count: Ints
    y: Floats
    yy: Floats
    yz: Floats
    failures: Ints
    all_lit: int
    together: int

    def plus(self, other: Moments) -> Moments:
        """The sums over both."""
        return Moments(*(a + b for a, b in zip(astuple(self), astuple(other), strict=True)))


@frozen(eq=False)
class BlockSums:
    """What came out of one block."""

    moments: tuple[Moments, ...]
    """By cue of the plan."""
    cue_failed: Bools
    """Shape (draws,)."""
    unlit: Ints
    """Igniter entries left unlit in each draw."""
    faults: tuple[ModelFault, ...]


def blocks_of(plans: Sequence[Plan], draws: int, block: int) -> Iterator[Block]:
    """Cut the draws of each plan into blocks of at most `block` draws times bridges."""
    for n, plan in enumerate(plans):
        widest = max(f.bridges.size for f in plan.firings)
        size = max(block // widest, 1)
        for start in range(0, draws, size):
            yield Block(n, start, min(start + size, draws))


def run_blocks(
    plans: Sequence[Plan], streams: Streams, tasks: Sequence[Block], workers: int
) -> Iterator[BlockSums]:
    """What comes out of each block, in the order of `tasks`."""
    if workers == 1 or len(tasks) == 1:
        for task in tasks:
            yield _run(plans[task.plan], streams, task)
        return
    # A plugin's model may be something that cannot be sent to another process.
    sendable = {n for n, plan in enumerate(plans) if not _has_model(plan) or _pickles(plan)}
    sent = [plan if n in sendable else None for n, plan in enumerate(plans)]
    with ProcessPoolExecutor(
        max_workers=workers,
        mp_context=get_context("spawn"),
        initializer=_set_up,
        initargs=(pickle.dumps((sent, streams)),),
    ) as pool:
        away = [t for t in tasks if t.plan in sendable]
        size = max(1, min(16, len(away) // (4 * workers)))
        found = pool.map(_run_here, away, chunksize=size)
        for task in tasks:
            if task.plan in sendable:
                yield next(found)
            else:
                yield _run(plans[task.plan], streams, task)


def _has_model(plan: Plan) -> bool:
    return any(f.supply.model is not None for f in plan.firings) or any(
        b.model is not None for c in plan.components for b in c.bridges
    )


def _pickles(plan: Plan) -> bool:
    try:
        pickle.dumps(plan)
    except Exception:
        return False
    return True


_HERE: list[tuple[Sequence[Plan], Streams]] = []
"""What a worker process works on."""


def _set_up(data: bytes) -> None:
    _HERE[:] = [pickle.loads(data)]


def _run_here(task: Block) -> BlockSums:
    plans, streams = _HERE[0]
    return _run(plans[task.plan], streams, task)


def latent_values(streams: Streams, latents: Sequence[Latent], start: int, stop: int) -> Floats:
    """Values of some latents: shape (latents, draws)."""
    out = np.empty((len(latents), stop - start))
    for n, latent in enumerate(latents):
        out[n] = streams.normals(latent.key, start, stop)
    return out


def _run(plan: Plan, streams: Streams, task: Block) -> BlockSums:
    z = latent_values(streams, plan.quantities.latents, task.start, task.stop)
    drawn = run_plan(plan, z)
    failed = np.zeros(task.stop - task.start, dtype=bool)
    lit_by_any: dict[int, Bools] = {}
    for cue in drawn.cues:
        failed |= ~cue.lit.all(axis=1)
        for column, igniter in enumerate(cue.plan.igniters):
            lit = cue.lit[:, column]
            lit_by_any[igniter] = lit_by_any[igniter] | lit if igniter in lit_by_any else lit
    unlit = np.zeros(failed.size, dtype=np.intp)
    for lit in lit_by_any.values():
        unlit += ~lit
    return BlockSums(
        tuple(_moments(cue, z) for cue in drawn.cues), failed, unlit, tuple(drawn.faults.faults)
    )


def _moments(cue: CueDraws, z: Floats) -> Moments:
    known = ~np.isnan(cue.margin)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = np.where(known, np.maximum(np.log(cue.margin), _LEAST_LOG), 0.0)
    return Moments(
        known.sum(axis=0),
        y.sum(axis=0),
        (y * y).sum(axis=0),
        z @ y,
        (~cue.lit).sum(axis=0),
        int(cue.lit.all(axis=1).sum()),
        0 if cue.together is None else int(cue.together.sum()),
    )
