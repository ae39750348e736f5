"""Random firing circuits for property tests."""

from __future__ import annotations

import math

from attrs import evolve
from hypothesis import strategies as st

from tests.oracles.case import Branch, Case, Igniter, Source, String

ohms = st.floats(1e-3, 50.0)


@st.composite
def igniters(draw: st.DrawFn, *, parts: bool | None = None) -> Igniter:
    """Igniters from fast to slow; the level at which they part is optional."""
    light_K = draw(st.floats(200.0, 700.0))
    loss = draw(st.floats(3e-4, 3e-3))
    opens = draw(st.booleans()) if parts is None else parts
    return Igniter(
        cold_ohm=draw(st.floats(0.3, 5.0)),
        heat_J_per_K=loss * draw(st.sampled_from([0.003, 0.02, 0.3, 3.0])),
        loss_W_per_K=loss,
        light_K=light_K,
        open_K=light_K * draw(st.floats(1.1, 2.5)) if opens else math.inf,
        alpha_per_K=draw(st.floats(0.0, 5e-4)),
    )


@st.composite
def sources(draw: st.DrawFn, *, limit: bool = True, fold_back: bool = True) -> Source:
    """Plain, constant-current and fold-back sources."""
    plain = Source(draw(st.floats(3.0, 60.0)), draw(st.floats(0.01, 3.0)))
    kinds = ["plain", *(["constant"] if limit else []), *(["fold"] if limit and fold_back else [])]
    kind = draw(st.sampled_from(kinds))
    if kind == "plain":
        return plain
    limit_A = draw(st.floats(0.3, 20.0))
    # A gentle fold-back, so that there is one operating point only.
    least = limit_A - 0.01 * plain.emf_V if kind == "fold" else limit_A
    return evolve(plain, limit_A=limit_A, short_circuit_A=max(least, 0.5 * limit_A))


@st.composite
def trees(draw: st.DrawFn, *, limit: bool = True, drop: bool = False) -> Case:
    """Trees of up to eight nodes with up to six strings, some of several igniters."""
    count = draw(st.integers(1, 8))
    branches = tuple(
        Branch(draw(st.integers(1, node - 1)), node, draw(ohms)) for node in range(2, count + 1)
    )
    strings = tuple(
        String(
            draw(st.integers(1, count)),
            0,
            draw(st.floats(0.01, 2.0)),
            tuple(draw(st.lists(igniters(), min_size=1, max_size=3))),
        )
        for _ in range(draw(st.integers(1, 6)))
    )
    pulse_s = draw(st.sampled_from([0.01, 0.3, 4.0]))
    volts = draw(st.floats(0.2, 1.2)) if drop else 0.0
    return Case(draw(sources(limit=limit)), branches, strings, (0.0, pulse_s), volts)


@st.composite
def meshes(draw: st.DrawFn) -> Case:
    """Trees with resistances added between any two nodes, strings between any two nodes."""
    case = draw(trees())
    last = case.nodes - 1
    pairs = st.tuples(st.integers(0, last), st.integers(0, last)).filter(lambda p: p[0] != p[1])
    links = tuple(Branch(*pair, draw(ohms)) for pair in draw(st.lists(pairs, max_size=4)))
    strings = tuple(
        evolve(string, start=pair[0], end=pair[1])
        for string, pair in zip(
            case.strings,
            draw(st.lists(pairs, min_size=len(case.strings), max_size=len(case.strings))),
            strict=True,
        )
    )
    return evolve(case, branches=(*case.branches, *links), strings=strings)
