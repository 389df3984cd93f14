from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import scipy.optimize
from scipy.optimize import Bounds, LinearConstraint

from fitcheck.errors import UsageError
from fitcheck.stack.solver import optimum

ONE = np.ones(1)


def test_the_least_is_found_to_the_last_piece():
    found = optimum(ONE, [LinearConstraint([[3.0]], 7.0, np.inf)], Bounds(0.0, 200.0), integrality=ONE)
    assert found == pytest.approx([3.0])


def test_nothing_keeps_to_the_constraints():
    assert optimum(ONE, [LinearConstraint([[2.0]], 3.0, 3.0)], Bounds(0.0, 200.0), integrality=ONE) is None


def test_a_goal_without_an_end_is_a_failure_and_no_answer():
    with pytest.raises(UsageError, match="did not find that there is none"):
        optimum(-ONE, [], Bounds(0.0, np.inf), integrality=ONE)


def test_a_solver_that_gives_up_is_a_failure_and_no_answer(monkeypatch):
    stopped = SimpleNamespace(status=1, x=None, message="Time limit reached.")
    monkeypatch.setattr(scipy.optimize, "milp", lambda *_, **__: stopped)
    with pytest.raises(UsageError, match="Time limit reached"):
        optimum(ONE, [], Bounds(0.0, 200.0), integrality=ONE)
