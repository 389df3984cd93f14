"""Meshes that are not closed: whether another part stands in their material."""

from __future__ import annotations

import numpy as np
import pytest
from engine_layouts import measured, study

from fitcheck.findings import Status
from fitcheck.model.part import Build
from fitcheck.run import check_study

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=np.float64)
SIDES = np.array(
    [
        [0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
        [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3],
    ]
)  # fmt: skip


def brick(size):
    """A box as triangles (12, 3, 3) wound outward."""
    return (CORNERS * np.array(size))[SIDES]


def stl(triangles):
    rows = [f"facet normal 0 0 0\nouter loop\n{_corners(one)}endloop\nendfacet\n" for one in triangles]
    return f"solid body\n{''.join(rows)}endsolid body\n"


def _corners(triangle):
    return "".join(f"vertex {x} {y} {z}\n" for x, y, z in triangle.tolist())


def placed(folder, triangles, judge_by="worst case"):
    """A box of 2 in the middle of a mesh of about 40, with a rule of 1."""
    (folder / "body.stl").write_text(stl(triangles))
    return study(
        f"""
        judge_by: {judge_by}
        axes: {{x: rearward, y: right, z: up}}
        parts:
          body: {{role: bracket, change: new, shape: {{mesh: {{file: body.stl, unit: mm}}}}, low_corner: [0, 0, 0]}}
          cube: {{role: module, change: new, shape: {{box: [2, 2, 2]}}, low_corner: [19, 19, 19]}}
        gaps:
          - {{between: [body, cube], at_least: 1}}
        """,
        folder,
    )


@pytest.mark.parametrize("missing", [1, 2])
def test_a_part_behind_the_faces_of_an_open_mesh_may_be_in_its_material(tmp_path, missing):
    found = measured(placed(tmp_path, brick((40, 40, 40))[missing:]), "body", "cube")
    assert found.band.value == pytest.approx(19, abs=1e-6)
    assert (found.band.low, found.band.rss_low) == (-2.0, -2.0)
    assert found.note == "the mesh of body is not closed: whether cube lies inside it cannot be told"


@pytest.mark.parametrize("judge_by", ["worst case", "rss"])
def test_on_neither_basis_is_the_gap_met(tmp_path, judge_by):
    found = check_study(placed(tmp_path, brick((40, 40, 40))[1:], judge_by), Build.PROPOSED).findings
    assert [(each.check, each.status) for each in found] == [("gap", Status.CANNOT_TELL)]


def test_faces_turned_to_the_part_are_the_air_of_a_case_seen_from_inside(tmp_path):
    found = measured(placed(tmp_path, brick((40, 40, 40))[2:, ::-1]), "body", "cube")
    assert (found.band.low, found.note) == (pytest.approx(19, abs=1e-6), "")


def test_faces_all_round_the_part_may_be_a_solid_inside_out(tmp_path):
    loose = np.array([[[0.0, 0, 0], [0.01, 0, 0], [0, 0.01, 0]]])
    found = measured(placed(tmp_path, np.vstack([brick((40, 40, 40))[:, ::-1], loose])), "body", "cube")
    assert found.band.low == -2.0


def test_triangles_that_say_nothing_about_their_sides(tmp_path):
    triangles = brick((40, 40, 40))
    triangles[::2] = triangles[::2, ::-1]
    assert measured(placed(tmp_path, triangles), "body", "cube").band.low == -2.0


def test_beside_an_open_mesh_nothing_is_in_doubt(tmp_path):
    found = measured(placed(tmp_path, brick((10, 40, 40))[2:]), "body", "cube")
    assert found.band.low == pytest.approx(9, abs=1e-6)
