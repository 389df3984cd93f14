"""How uncertain turns move the outermost planes of a part against its shape's origin."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.placing.forms import Extra, Widths
from fitcheck.placing.local import bounds_along
from fitcheck.placing.rotation import about, in_order

if TYPE_CHECKING:
    from fitcheck.placing.chain import Chain

SAMPLES = {1: 65, 2: 17, 3: 7}
"""Angles tried along each uncertain turn, by how many there are."""
FEWEST_SAMPLES = 3

Range = tuple[float, float]
"""How far a plane can fall and rise, both >= 0; mm."""


def swept_bounds(
    chain: Chain, part: Part, axis: int, turning: Sequence[Quantity], widths: Widths
) -> tuple[Range, Range]:
    """How far the part's low and high plane across a case axis can go from where they are at nominal angles.

    The angles are sampled; between two samples no point goes farther than the part is long times half the step, which
    is added.
    """
    count = SAMPLES.get(len(turning), FEWEST_SAMPLES)
    steps, between = [], 0.0
    for angle in turning:
        below, above = widths[angle.name]
        steps.append([angle.nominal - below + (below + above) * k / (count - 1) for k in range(count)])
        between += chain.swing_radius(part) * math.radians(below + above) / (count - 1) / 2.0
    if len(part.turns) == 1 and part.turns[0].axis == axis:
        return (0.0, 0.0), (0.0, 0.0)
    at_nominal = bounds_along(chain.pieces(part), chain.rotation(part)[axis], Extra(chain.extra.widths), "nominal")
    ends = [0.0, 0.0, 0.0, 0.0]
    for angles in itertools.product(*steps):
        turned = dict(zip((angle.name for angle in turning), angles, strict=True))
        rotation = in_order(about(turn.axis, turned.get(turn.angle.name, turn.angle.nominal)) for turn in part.turns)
        extra = Extra(chain.extra.widths)
        found = bounds_along(chain.pieces(part), rotation[axis], extra, "swept")
        for k in (0, 1):
            moved = found[k] - at_nominal[k]
            helpers = {**chain.extra.widths, **extra.widths}
            known = {name: helpers.get(name, (0.0, 0.0)) for name in moved.terms}
            ends[2 * k] = min(ends[2 * k], moved.low(known))
            ends[2 * k + 1] = max(ends[2 * k + 1], moved.high(known))
    return (between - ends[0], between + ends[1]), (between - ends[2], between + ends[3])
