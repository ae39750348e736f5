"""A bound from the linear relaxation of the master's model, which is found in seconds."""

from __future__ import annotations

import datetime
import math
from typing import Any

from bridgewire.planner.clock import Clock

ROUNDING = 1e-6
"""Share of the value by which the bound is lowered, for the solver's own rounding."""


def linear_bound(model: Any, seconds: float, clock: Clock) -> float:
    """Bound the least cost of a model from below by leaving out that numbers are whole.

    Parameters
    ----------
    model : CpModel
        Of linear constraints, clauses and implications with an objective to minimise.
    seconds : float
        For the solver.
    clock : Clock
        Looked at while the model is copied.

    Returns
    -------
    float
        0 where no bound was found in time.

    Raises
    ------
    OutOfTimeError
        If the time is up before the solver begins.
    """
    from ortools.math_opt.python import mathopt

    proto = model.proto
    linear = mathopt.Model()
    variables = []
    for v in proto.variables:
        domain = list(v.domain)
        variables.append(linear.add_variable(lb=float(domain[0]), ub=float(domain[-1])))

    def literal(ref: int) -> Any:
        return variables[ref] if ref >= 0 else 1.0 - variables[-ref - 1]

    for constraint in proto.constraints:
        clock.look()
        enforced = [literal(x) for x in constraint.enforcement_literal]
        if constraint.has_linear():
            _add(linear, variables, constraint.linear, enforced)
        elif constraint.has_bool_or() and not enforced:
            linear.add_linear_constraint(
                mathopt.fast_sum([literal(x) for x in constraint.bool_or.literals]) >= 1.0
            )
        # Whatever else there is only makes the bound better.
    objective = proto.objective
    linear.minimize(
        mathopt.fast_sum(
            [c * variables[v] for v, c in zip(objective.vars, objective.coeffs, strict=True)]
        )
        + objective.offset
    )
    found = mathopt.solve(
        linear,
        mathopt.SolverType.GLOP,
        params=mathopt.SolveParameters(time_limit=datetime.timedelta(seconds=max(seconds, 0.1))),
    )
    if found.termination.reason != mathopt.TerminationReason.OPTIMAL:
        return 0.0
    value = float(found.objective_value())
    return float(math.ceil(value * (1.0 - ROUNDING) - 1e-3))


def _add(linear: Any, variables: list[Any], part: Any, enforced: list[Any]) -> None:
    from ortools.math_opt.python import mathopt

    indexes, factors = list(part.vars), list(part.coeffs)
    domain = list(part.domain)
    low, high = float(domain[0]), float(domain[-1])
    value = mathopt.fast_sum([c * variables[i] for i, c in zip(indexes, factors, strict=True)])
    ends = [
        (c * variables[i].lower_bound, c * variables[i].upper_bound)
        for i, c in zip(indexes, factors, strict=True)
    ]
    least, most = sum(min(e) for e in ends), sum(max(e) for e in ends)
    off = mathopt.fast_sum([1.0 - e for e in enforced]) if enforced else 0.0
    if high < most:
        linear.add_linear_constraint(value - (most - high) * off <= high)
    if low > least:
        linear.add_linear_constraint(value + (low - least) * off >= low)
