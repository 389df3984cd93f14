"""A mesh made right about a box: closed, the same triangles in the box, and round its points as often as the whole."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_writers import both, brick
from test_mesh_blocks import rough_ball

from fitcheck.geometry.inside_mesh import winding_numbers
from fitcheck.geometry.intersect import body_as_wound, body_of, box_body
from fitcheck.geometry.mesh_blocks import Blocks

ZERO = np.zeros(3)


def shell(seed):
    """A lumpy ball with a lumpy hollow."""
    inner = rough_ball(40, seed + 70, radius=60.0)
    return both(rough_ball(60, seed), (inner[0], inner[1][:, ::-1]))


def cut_fine(size, times):
    """A box of many triangles, so that whole faces of it lie in one plane."""
    vertices, faces = brick(size)
    for _ in range(times):
        a, b, c = (vertices[faces[:, k]] for k in range(3))
        corners = [(a, (a + b) / 2, (a + c) / 2), (b, (b + c) / 2, (a + b) / 2), (c, (a + c) / 2, (b + c) / 2)]
        corners.append(((a + b) / 2, (b + c) / 2, (a + c) / 2))
        triangles = np.concatenate([np.stack(three, axis=1) for three in corners])
        vertices, faces = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
        faces = faces.reshape(-1, 3)
    return vertices, faces


def turned(mesh, chance):
    rotation, _ = np.linalg.qr(chance.normal(size=(3, 3)))
    return mesh[0] @ (rotation * np.sign(np.linalg.det(rotation))).T, mesh[1]


MESHES = {
    "lumpy": lambda seed: rough_ball(60, seed),
    "hollow": shell,
    "coarse": lambda seed: rough_ball(8, seed),
    "flat": lambda seed: cut_fine((200.0, 120.0, 16.0 + seed), 4),
    "turned": lambda seed: turned(cut_fine((200.0, 120.0, 16.0), 4), np.random.default_rng(seed)),
}


def boxes(vertices, chance):
    """Boxes of all sizes about points of the surface, some wholly inside or outside, some holding all of it."""
    for size in (0.5, 4.0, 15.0, 50.0, 400.0):
        for _ in range(4):
            middle = vertices[chance.integers(len(vertices))] + chance.normal(0, size, 3)
            half = size * chance.uniform(0.2, 1.0, 3)
            yield middle - half, middle + half
    middle = vertices.mean(axis=0)
    yield middle - 1.0, middle + 1.0
    # Planes that run through rows of corners.
    yield np.round(middle) - 8.0, np.round(middle) + 8.0


@pytest.mark.parametrize("kind", MESHES)
@pytest.mark.parametrize("seed", range(3))
def test_closed_and_round_each_point_of_the_box_as_often(kind, seed):
    vertices, faces = MESHES[kind](seed)
    chance, blocks = np.random.default_rng(seed), Blocks(vertices, faces)
    whole = body_of((vertices, faces), ZERO)
    shares = []
    for low, high in boxes(vertices, chance):
        points, found = blocks.around(low, high)
        starts, ends = found.ravel(), np.roll(found, -1, axis=1).ravel()
        sides = set(zip(starts.tolist(), ends.tolist(), strict=True))
        assert len(sides) == found.size
        assert all((end, start) in sides for start, end in sides)
        inside = chance.uniform(low, high, (6, 3))
        assert winding_numbers(points, found, inside) == pytest.approx(
            winding_numbers(vertices, faces, inside), abs=1e-9
        )
        shrink = (high - low) * 1e-3
        box = box_body(low + shrink, high - shrink, ZERO)
        shares.append(abs((body_as_wound((points, found), ZERO) ^ box).volume() / box.volume()))
        assert shares[-1] == pytest.approx((whole ^ box).volume() / box.volume(), abs=1e-12)
    assert max(shares) > 0.3
    assert min(shares) == 0.0


@pytest.mark.parametrize("kind", MESHES)
def test_the_same_triangles_in_the_box_and_no_other_comes_into_it(kind):
    vertices, faces = MESHES[kind](5)
    blocks = Blocks(vertices, faces)
    own = {tuple(map(tuple, triangle)) for triangle in vertices[faces].tolist()}
    for low, high in boxes(vertices, np.random.default_rng(5)):
        points, found = blocks.around(low, high)
        lows, highs = vertices[faces].min(axis=1), vertices[faces].max(axis=1)
        near = vertices[faces[((lows <= high) & (highs >= low)).all(axis=1)]]
        made = points[found]
        kept = [tuple(map(tuple, triangle)) in own for triangle in made.tolist()]
        assert {tuple(map(tuple, triangle)) for triangle in near.tolist()} <= {
            tuple(map(tuple, triangle)) for triangle in made.tolist()
        }
        others = made[~np.array(kept, dtype=bool)]
        beyond = (others.min(axis=1) > high) | (others.max(axis=1) < low)
        assert beyond.any(axis=1).all()


def test_only_what_is_near_is_kept_of_a_fine_mesh():
    vertices, faces = rough_ball(200, 1)
    low, high = np.array([80.0, -10, -10]), np.array([120.0, 10, 10])
    _, found = Blocks(vertices, faces).around(low, high)
    assert 0 < len(found) < len(faces) / 10


def test_a_box_clear_of_the_mesh_holds_nothing():
    vertices, faces = rough_ball(40, 2)
    points, found = Blocks(vertices, faces).around(np.full(3, 300.0), np.full(3, 320.0))
    assert len(found) == 0
    assert body_as_wound((points, found), ZERO).is_empty()
