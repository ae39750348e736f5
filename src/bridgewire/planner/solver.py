"""The solver, imported when it is needed."""

from __future__ import annotations

from typing import Any

from bridgewire.errors import BridgewireError


class SolverMissingError(BridgewireError):
    """OR-Tools is not installed; the text says what to do."""


def cp_model() -> Any:
    """OR-Tools' module for constraint programming.

    Raises
    ------
    SolverMissingError
        If it is not installed.
    """
    try:
        from ortools.sat.python import cp_model as module
    except ImportError:
        raise SolverMissingError("this needs the extra: pip install 'bridgewire[plan]'") from None
    return module


def new_solver(seconds: float, seed: int, workers: int = 1) -> Any:
    """A solver.

    Parameters
    ----------
    seconds : float
        Of its own clock.
    seed : int
    workers : int
        Threads. With one it gives the same answer again where its time does not run out.
    """
    solver = cp_model().CpSolver()
    solver.parameters.max_time_in_seconds = max(seconds, 0.05)
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = workers
    return solver
