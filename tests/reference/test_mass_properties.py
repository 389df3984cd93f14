"""Mass properties against textbook closed forms, published worked problems and an independent library.

Sources are named at each test. Inertia in kg m2 about the centre of mass unless said; the tensor's off-diagonal is
-sum m x y. Lengths of the sources in metres are written here in mm.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from fitcheck.geometry import solids
from fitcheck.geometry.composite import Weight, combine

STEEL = 7850.0 * 1e-9  # kg/mm3


def weight(solid: solids.Solid, mass: float) -> Weight:
    return Weight(mass=mass, centre=solid.centroid, inertia=solid.inertia(mass))


@pytest.mark.parametrize(
    ("solid", "mass", "diagonal"),
    [
        (solids.box((100, 60, 40)), 1.884, (0.0008164, 0.0018212, 0.0021352)),
        (solids.cylinder(60, 100, 2), 2.21953521, (0.0023490081, 0.0023490081, 0.000998790844)),
        (solids.tube(60, 40, 100, 2), 1.23307512, (0.00142831201, 0.00142831201, 0.000801498826)),
    ],
)
def test_steel_solids_of_closed_form(solid, mass, diagonal):
    """Closed forms found in any mechanics textbook, evaluated for 7850 kg/m3 (computed from the forms)."""
    assert solid.volume * STEEL == pytest.approx(mass, rel=5e-9)
    assert solid.inertia(solid.volume * STEEL) == pytest.approx(np.diag(diagonal), rel=5e-9, abs=1e-15)


def test_cone_as_a_mesh_converges_with_the_square_of_its_sides():
    """Cone of radius 30 and height 100 mm: centroid h/4, 3/10 m r2, 3/80 m (4 r2 + h2) (textbook closed forms)."""
    errors = []
    for sides in (100, 200, 400):
        angle = np.arange(sides) * 2 * math.pi / sides
        ring = np.column_stack([30 * np.cos(angle), 30 * np.sin(angle), np.zeros(sides)])
        vertices = np.vstack([ring, [[0, 0, 0], [0, 0, 100.0]]])
        here, after = np.arange(sides), (np.arange(sides) + 1) % sides
        base, point = np.full(sides, sides), np.full(sides, sides + 1)
        faces = np.vstack([np.column_stack([here, after, point]), np.column_stack([after, here, base])])
        cone = solids.mesh(vertices, faces)
        assert cone.centroid == pytest.approx([0, 0, 25.0], abs=1e-10)
        inertia = cone.inertia(cone.volume * STEEL)
        errors.append(abs(inertia[2, 2] / 0.000199758169 - 1))
        assert inertia[0, 0] == pytest.approx(0.000377320986, rel=4 * math.pi**2 / sides**2)
    assert errors[-1] < 2e-4
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=1e-2)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=1e-2)


def test_sphere_as_a_mesh():
    """Sphere of radius 30 mm in steel: 0.887814084 kg, 2/5 m r2 = 0.00031961307 (textbook closed form)."""
    sphere = trimesh.creation.icosphere(subdivisions=6, radius=30.0)
    solid = solids.mesh(np.array(sphere.vertices), np.array(sphere.faces, dtype=np.int64))
    assert solid.volume * STEEL == pytest.approx(0.887814084, rel=5e-4)
    assert solid.inertia(solid.volume * STEEL) == pytest.approx(0.00031961307 * np.eye(3), rel=8e-4, abs=1e-12)


def test_unit_tetrahedron():
    """Tetrahedron with corners at the origin and the three unit points, 1 kg (closed form, checked by integration)."""
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]) * 1000
    solid = solids.mesh(vertices, np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]))
    assert solid.volume == pytest.approx(1e9 / 6, rel=1e-14)
    assert solid.centroid == pytest.approx([250.0] * 3, rel=1e-14)
    assert solid.inertia(1.0) == pytest.approx(np.full((3, 3), 0.0125) + np.eye(3) * 0.0625, rel=1e-12)
    shift = np.array([0.25] * 3)
    about_origin = solid.inertia(1.0) + shift @ shift * np.eye(3) - np.outer(shift, shift)
    assert about_origin == pytest.approx(np.full((3, 3), -0.05) + np.eye(3) * 0.25, rel=1e-12)


def test_l_bracket_of_two_steel_plates():
    """Two plates of 100 x 60 x 6 and 6 x 60 x 80 mm in an L (own numbers, checked by numerical integration)."""
    foot = solids.box((100, 60, 6))
    wall = solids.box((6, 60, 80)).moved(np.eye(3), np.array([0.0, 0.0, 6.0]))
    whole = combine([weight(foot, foot.volume * STEEL), weight(wall, wall.volume * STEEL)])
    assert whole.mass == pytest.approx(0.50868, rel=1e-12)
    assert whole.centre == pytest.approx([29.1111111, 30.0, 22.1111111], abs=1e-7)
    expected = [[0.0005062622, 0, 0.0002538376], [0, 0.00086728684, 0], [0.0002538376, 0, 0.00066623264]]
    assert whole.inertia == pytest.approx(np.array(expected), rel=2e-9, abs=1e-15)
    outline = [(0, 0), (100, 0), (100, 6), (6, 6), (6, 86), (0, 86)]
    one_piece = solids.prism(outline, [], 60.0, 1)
    assert one_piece.centroid == pytest.approx(whole.centre, rel=1e-12)
    assert one_piece.inertia(whole.mass) == pytest.approx(whole.inertia, rel=1e-12, abs=1e-16)


def test_hibbeler_9_89_two_metals():
    """R. C. Hibbeler, Engineering Mechanics: Statics, 14th edition, problem 9-89: rectangle and triangle of steel,
    triangle of brass; printed answer 16.3 kg at (153, -15, 111) mm (inputs read on a page with the solution, the
    printed answer and the place of the triangles from memory)."""
    drawn = [
        ([(0, 0), (150, 0), (150, 225), (0, 225)], 7.85e-6),
        ([(150, 0), (150, 225), (300, 225)], 7.85e-6),
        ([(150, 0), (300, 0), (300, 225)], 8.74e-6),
    ]
    parts = []
    for outline, density in drawn:
        solid = solids.prism(outline, [], 30.0, 1).moved(np.eye(3), np.array([0.0, -30.0, 0.0]))
        parts.append(weight(solid, solid.volume * density))
    whole = combine(parts)
    assert whole.mass == pytest.approx(16.3468125, rel=1e-9)
    assert whole.centre == pytest.approx([152.756271, -15.0, 111.466398], abs=1e-6)


def test_three_rectangles_of_a_statics_note():
    """University of Illinois, agricultural and biological engineering, example "Center of Gravity, Centroid (Composite
    Body)": two legs b x h and a crosspiece h x b on top. Its moment equation (read on the page), 3 b h c = b h h/2 +
    b h h/2 + b h (h + b/2), gives c = (4 h + b) / 6; the (5 h + b) / 6 printed below it does not follow from it."""
    b, h = 20.0, 100.0
    by_its_equation = (h / 2 + h / 2 + (h + b / 2)) / 3
    outline = [(0, 0), (b, 0), (b, h), (h - b, h), (h - b, 0), (h, 0), (h, h + b), (0, h + b)]
    assert by_its_equation == pytest.approx((4 * h + b) / 6, rel=1e-14)
    assert solids.prism(outline, [], 1.0, 2).centroid[:2] == pytest.approx([h / 2, by_its_equation], rel=1e-14)


def test_openstax_rod_and_sphere():
    """OpenStax University Physics 1, chapter 10: rod 0.5 m, 2 kg, sphere of radius 0.2 m, 1 kg at its end; 0.673 about
    the far end, 0.223 about the junction (inputs read, printed answers from memory)."""
    rod = Weight(mass=2.0, centre=np.array([250.0, 0, 0]), inertia=np.diag([0, 2 * 0.25 / 12, 2 * 0.25 / 12]))
    sphere = Weight(mass=1.0, centre=np.array([700.0, 0, 0]), inertia=np.eye(3) * 0.4 * 0.04)
    whole = combine([rod, sphere])
    assert whole.centre == pytest.approx([400.0, 0, 0])
    assert whole.inertia[2, 2] + 3.0 * 0.4**2 == pytest.approx(0.672666667, abs=1e-9)
    assert whole.inertia[2, 2] + 3.0 * 0.1**2 == pytest.approx(0.222666667, abs=1e-9)


def test_sphere_about_a_tangent():
    """A question bank on the parallel-axis theorem: 5 kg, radius 0.2 m, 7/5 m r2 = 0.28 about a tangent."""
    ball = Weight(mass=5.0, centre=np.array([200.0, 0, 0]), inertia=np.eye(3) * 0.4 * 5 * 0.04)
    whole = combine([ball, Weight(mass=0.0, centre=np.zeros(3), inertia=np.zeros((3, 3)))])
    assert whole.inertia[1, 1] + 5.0 * 0.2**2 == pytest.approx(0.28, rel=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_tensors_agree_with_an_independent_library(seed):
    """Volume, centroid and tensor of turned bodies as trimesh computes them from the mesh."""
    chance = np.random.default_rng(seed)
    body = trimesh.convex.convex_hull(chance.uniform(-200, 200, (25, 3)))
    ring = trimesh.creation.annulus(r_min=20, r_max=45, height=70, sections=24)
    ring.apply_transform(trimesh.transformations.random_rotation_matrix(chance.random(3)))
    for made in (body, ring):
        solid = solids.mesh(np.array(made.vertices), np.array(made.faces, dtype=np.int64))
        assert solid.volume == pytest.approx(made.volume, rel=1e-12)
        assert solid.centroid == pytest.approx(made.center_mass, rel=1e-9, abs=1e-9)
        tensor = made.moment_inertia * 1e-6  # of density 1 kg/mm3
        assert solid.inertia(solid.volume) == pytest.approx(tensor, rel=1e-9, abs=1e-9 * tensor.max())


def test_prism_with_holes_agrees_with_an_independent_library():
    """A plate with a round-cornered outline and two holes, extruded and measured by trimesh."""
    from shapely import Polygon

    outline = np.array(Polygon([(0, 0), (80, 0), (80, 50), (30, 70), (0, 50)]).buffer(8).exterior.coords)[:-1]
    holes = [[(10, 10), (25, 10), (25, 22)], [(50, 20), (60, 20), (60, 40), (50, 40)]]
    plate = trimesh.creation.extrude_triangulation(*_cut(outline, holes), height=6.0)
    solid = solids.prism(outline.tolist(), holes, 6.0, 2)
    assert solid.volume == pytest.approx(plate.volume, rel=1e-10)
    assert solid.centroid == pytest.approx(plate.center_mass, rel=1e-10)
    tensor = plate.moment_inertia * 1e-6
    assert solid.inertia(solid.volume) == pytest.approx(tensor, rel=1e-9, abs=1e-9 * tensor.max())


def _cut(outline, holes):
    from fitcheck.geometry.polygon import triangles_of

    return triangles_of(outline.tolist(), holes)
