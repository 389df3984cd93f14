"""The integer solver, HiGHS through scipy, kept from talking on standard output: results alone go there."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import UsageError

if TYPE_CHECKING:
    from scipy.optimize import Bounds, LinearConstraint

_OPTIMAL, _INFEASIBLE = 0, 2
"""What scipy calls these two ends; every other is a failure of the solver, never an answer."""

Floats = NDArray[np.float64]


def optimum(
    goal: Floats, constraints: Sequence[LinearConstraint], bounds: Bounds, *, integrality: Floats
) -> Floats | None:
    """The values at the least of `goal`, None if none keep to the constraints. Optimal to the last piece.

    Raises UsageError where the solver gives up: that nothing was found then says nothing about whether something does.
    """
    solved = _answer(goal, constraints, bounds, integrality)
    if solved.status not in (_OPTIMAL, _INFEASIBLE):
        # The solver may leave open whether nothing keeps to the constraints or the goal has no end; without a goal
        # only the first is left.
        bare = _answer(np.zeros_like(goal), constraints, bounds, integrality)
        solved = bare if bare.status == _INFEASIBLE else solved
    if solved.status == _INFEASIBLE:
        return None
    if solved.status != _OPTIMAL or solved.x is None:
        raise UsageError(
            f"the solver found no answer, and did not find that there is none: {solved.message}\n"
            "    mend: ask for fewer heights at once, or give at_most_pieces for each"
        )
    return np.asarray(solved.x, dtype=float)


def _answer(goal: Floats, constraints: Sequence[LinearConstraint], bounds: Bounds, integrality: Floats) -> Any:
    from scipy.optimize import milp

    with _said_to_stderr():
        return milp(goal, constraints=constraints, integrality=integrality, bounds=bounds, options={"mip_rel_gap": 0.0})


@contextmanager
def _said_to_stderr() -> Iterator[None]:
    """The solver's own code writes a line now and then past Python, which would spoil a JSON result."""
    try:
        kept = os.dup(1)
    except OSError:
        yield  # No standard output, nothing to spoil.
        return
    try:
        os.dup2(2, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
