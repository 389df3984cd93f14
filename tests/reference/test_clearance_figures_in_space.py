"""Clearance through air in space against the worked figures, drawn out so deep that no way round the end is shorter.

Source: the worked figures of IEC 60664-1, examples 1 to 11, with our own dimensions (see `test_creepage_figures.py`).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from test_creepage_figures import FIGURES, Figure
from test_creepage_figures_in_space import REACH, prism, sheets

from fitcheck.geometry.air_paths.search import shortest

ACCURACY = 0.005
ROUNDED_MM = 1e-6
"""The figures' lengths are given to six digits."""


def between(figure: Figure, one, other, turn):
    solids = [prism(outline, REACH, turn) for outline in figure.insulators]
    ends = [np.concatenate(sheets(line, REACH / 4.0, turn)) for line in (one, other)]
    return shortest(solids, (ends[0], ends[1]), accuracy=ACCURACY)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda each: each.name)
def test_a_figure_drawn_out_and_turned_at_random_keeps_its_clearance(figure: Figure) -> None:
    """Over floating metal the way is the sum of both steps."""
    turn = Rotation.random(random_state=len(figure.name)).as_matrix()
    stops = [figure.a, *figure.floating, figure.b]
    found = [between(figure, one, other, turn) for one, other in pairwise(stops)]
    low, high = sum(each.low for each in found), sum(each.high for each in found)
    assert low <= figure.clearance + ROUNDED_MM
    assert low >= (1.0 - ACCURACY) * high - 1e-9
    assert high == pytest.approx(figure.clearance, abs=ROUNDED_MM)
