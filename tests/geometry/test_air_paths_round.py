"""Ways through air around round insulation: tangents and arcs, a helix, the flat engine, tubes round a rod; and the
convex blocks on which the quick proof of blocking rests.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from test_air_paths import box, brackets, hollow, metal, over, plate, stud

from fitcheck.geometry.air_paths.blocks import barred, blocks_of
from fitcheck.geometry.air_paths.field import Play
from fitcheck.geometry.air_paths.metal import facing
from fitcheck.geometry.air_paths.search import shortest
from fitcheck.geometry.inside_mesh import points_inside
from fitcheck.geometry.section_paths import Insulator, Metal, Section, paths

TURN = Rotation.random(random_state=3).as_matrix()
SIDES = 52
UPRIGHT = np.eye(3)


def ring(radius: float, sides: int = SIDES, middle=(0.0, 0.0)) -> list[tuple[float, float]]:
    turns = np.arange(sides) * 2.0 * math.pi / sides
    return [(middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn)) for turn in turns]


def shifted(solid, z: float):
    return solid[0] + np.array([0.0, 0.0, z]) @ TURN.T, solid[1]


def arc(radius: float, from_axis: float) -> float:
    """Half round a circle between two points as far from its axis on opposite sides, tangents included."""
    return 2.0 * math.sqrt(from_axis**2 - radius**2) + radius * (math.pi - 2.0 * math.acos(radius / from_axis))


def test_round_a_bar_of_52_facets_between_two_conductors() -> None:
    """From the near corners of two boxes 2 wide; the corners of the facets lie on the circle, 0.06 % shorter."""
    bar = plate(ring(5.0), [], 30.0)
    found = shortest([bar], (metal(box((-9, -1, 14), (-8, 1, 16))), metal(box((8, -1, 14), (9, 1, 16)))))
    out = math.hypot(8.0, 1.0)
    length = arc(5.0, out) - 2.0 * 5.0 * math.atan2(1.0, 8.0)
    assert found.high <= length
    assert 0.995 * 0.9994 * length <= found.low
    assert found.low >= 0.995 * found.high


def test_round_a_bar_and_along_it() -> None:
    """A helix between points at other heights: unrolled the way is straight."""
    bar = plate(ring(5.0, 24), [], 40.0)
    found = shortest([bar], (stud((-8, 0, 16)), stud((8, 0, 24))))
    length = math.hypot(arc(5.0, 8.0), 8.0)
    assert 0.995 * 0.997 * length <= found.low <= found.high <= length
    assert found.low >= 0.995 * found.high


def test_two_round_posts_side_by_side_keep_the_length_of_their_section() -> None:
    rings = [ring(3.0, 26, (-1.0, 1.4)), ring(3.0, 26, (5.8, -2.0))]
    ends = [[(-8.0, -1.0), (-8.0, 1.5)], [(11.0, -2.0), (11.0, 1.0)]]
    exact = paths(
        Section(
            insulators=[Insulator(outline=each) for each in rings],
            a=[Metal(points=ends[0])],
            b=[Metal(points=ends[1])],
        ),
        1.0,
        relief=False,
    ).clearance
    assert exact is not None

    def strip(line):
        (a, b), (c, d) = line
        corners = np.array([[a, b, 14], [c, d, 14], [c, d, 16], [a, b, 16]]) @ TURN.T
        return np.array([corners[[0, 1, 2]], corners[[0, 2, 3]]])

    solids = [plate(each, [], 30.0) for each in rings]
    brackets(shortest(solids, (strip(ends[0]), strip(ends[1]))), exact.length)


def test_out_of_a_tube_over_its_rim() -> None:
    """A stud in a tube 1 thick: up the bore, over the rim, down to a point beside it."""
    found = shortest([plate(ring(6.0), [ring(5.0)], 30.0)], (stud((4, 0, 26)), stud((9, 0, 26))))
    brackets(found, over((1, 4), (1, 0), (3, 4)), 0.005)


def test_a_sleeve_round_a_rod_decides_what_is_asked_for() -> None:
    """From the rod, flush with its sleeve, to a bar 2 beside it: over the end, or proven to be longer than 3."""
    rod, sleeve = plate(ring(5.0, 28), [], 30.0), plate(ring(6.0, 28), [ring(5.1, 28)], 30.0)
    bar = box((8, -5, 5), (12, 5, 25))
    met = shortest([sleeve], (metal(rod), metal(bar)), enough=3.0, limit=4.5)
    assert met.low >= 3.0
    found = shortest([sleeve], (metal(rod), metal(bar)))
    length = 1.0 + math.hypot(2.0, 5.0)
    assert 0.995 * 0.998 * length <= found.low <= found.high <= length
    assert found.low >= 0.995 * found.high


def test_a_sleeve_that_may_move_still_decides() -> None:
    rod, sleeve = shifted(plate(ring(5.0, 12), [], 34.0), -2.0), plate(ring(6.0, 12), [ring(5.1, 12)], 30.0)
    bar = box((8, -5, 5), (12, 5, 25))
    loose = shortest([sleeve], (metal(rod), metal(bar)), play=Play(loose=(0.1, 0.1), margin=0.1), enough=3.0, limit=4.5)
    assert loose.low >= 3.0
    thin = shortest([sleeve], (metal(rod), metal(bar)), play=Play(loose=(0.5, 0.5), margin=0.5), enough=3.0, limit=4.5)
    assert thin.low <= 3.0 - 1.0 + 1e-6, "a wall of 0.9 mm blocks nothing that moves by 0.5 mm"


def test_a_conductor_that_touches_what_may_move_gains_nothing_by_it() -> None:
    """On a wall, 0.2 loose: the way over it is shorter by all of that."""
    wall, ends = box((0, -50, -40), (2, 50, 8)), (box((-6, -5, 0), (0, 5, 5)), box((2, -5, 0), (8, 5, 5)))
    found = shortest([wall], (metal(ends[0]), metal(ends[1])), play=Play(loose=(0.2, 0.2), margin=0.2))
    assert found.low <= 8.0 - 0.4 + 1e-9
    assert found.low >= 0.995 * 8.0 - 0.4


@pytest.mark.parametrize(
    ("solid", "count", "whole"),
    [
        (plate(ring(5.0, 12), [], 4.0), 1, True),
        (plate(ring(6.0, 12), [ring(5.0, 12)], 4.0), 12, True),
        (plate([(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)], [], 2.0), 2, True),
        (hollow(((-10, -10, -10), (10, 10, 10)), ((-9, -9, -9), (9, 9, 9))), 6, True),
        (plate([(0, 0), (9, 0), (9, 5), (0, 5)], [ring(1, 4, (2, 2.5)), ring(1, 4, (6, 2.5))], 2.0), 8, False),
    ],
    ids=["bar", "tube", "angle", "hollow box", "two holes"],
)
def test_blocks_lie_in_their_solid(solid, count: int, whole: bool) -> None:
    blocks = blocks_of(*solid)
    assert len(blocks.inner) == count
    assert blocks.whole is whole
    rng = np.random.default_rng(4)
    low, high = solid[0].min(axis=0), solid[0].max(axis=0)
    points = rng.uniform(low, high, (4000, 3))
    behind = points @ blocks.outer[:, :3].T - blocks.outer[:, 3]
    inner = np.einsum("bgi,ki->kbg", blocks.inner[..., :3], points) - blocks.inner[None, ..., 3]
    within = (behind < -1e-6).all(axis=1) & (inner < -1e-6).all(axis=2).any(axis=1)
    inside = points_inside(*solid, points)
    assert within.sum() > 20
    assert inside[within].all()
    if whole:
        assert within.sum() >= 0.98 * inside.sum()


def test_a_tube_bars_what_looks_through_its_wall_and_not_what_looks_through_its_bore() -> None:
    blocks = blocks_of(*plate(ring(6.0), [ring(5.0)], 30.0, UPRIGHT))
    low = blocks.box[5, 3]
    one = np.array([[(0.0, -1.0, 10.0 - low), (0.0, 1.0, 10.0 - low)]] * 3)
    other = np.array(
        [
            [(9.0, 0.0, 8.0 - low), (9.0, 0.0, 12.0 - low)],
            [(1.0, 0.0, 40.0 - low), (-1.0, 0.0, 40.0 - low)],
            [(9.0, 0.0, 12.0 - low), (9.0, 0.0, 60.0 - low)],
        ]
    )
    assert barred(blocks, one, other, 1e-5).tolist() == [True, False, False]
    assert barred(blocks, one, other, 0.45).tolist() == [True, False, False]
    assert barred(blocks, one, other, 0.55).tolist() == [False, False, False]


def test_faces_of_a_solid_conductor_count_only_where_neither_lies_in_the_other() -> None:
    outer, inner = metal(box((0, 0, 0), (9, 9, 9))), metal(box((3, 3, 3), (6, 6, 6)))
    apart = metal(box((12, 0, 0), (15, 9, 9)))
    assert [each.all() for each in facing((outer, apart))] == [True, True]
    assert [each.any() for each in facing((outer, inner))] == [False, False]
    sheet, turned = outer[:2], outer[:, ::-1]
    assert [each.any() for each in facing((sheet, turned))] == [False, False]
