"""The integer solver, HiGHS through scipy, kept from talking on standard output: results alone go there."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.optimize import Bounds, LinearConstraint

Floats = NDArray[np.float64]


def optimum(
    goal: Floats, constraints: Sequence[LinearConstraint], bounds: Bounds, *, integrality: Floats
) -> Floats | None:
    """The values at the least of `goal`, None if none keep to the constraints. Optimal to the last piece."""
    from scipy.optimize import milp

    with _said_to_stderr():
        solved: Any = milp(
            goal, constraints=constraints, integrality=integrality, bounds=bounds, options={"mip_rel_gap": 0.0}
        )
    return None if solved.x is None else np.asarray(solved.x, dtype=float)


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
