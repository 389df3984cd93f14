"""What two sides share is the same whether a large mesh is made right about the other side or taken whole."""

from __future__ import annotations

import numpy as np
import pytest
from engine_layouts import BEGINNING, study
from test_side import pan, stl

from fitcheck.geometry import mesh_blocks
from fitcheck.placing import shared_solid, side
from fitcheck.placing.placed import Columns, placed_pieces
from fitcheck.placing.shared_solid import SharedSolid
from fitcheck.placing.shared_volume import shared_volume
from fitcheck.placing.side import LargeSide, SmallSide, side_of

SHIFTS = [(0, 0, 0), (0.4, 0, -0.3), (3, -2, 1), (40, 10, 0), (0, 0, 12), (0, 0, 19), (0, 0, 24), (-90, -60, -8)]

OTHERS = {
    "box": "shape: {box: [80, 50, 40]}, low_corner: [90, 70, 20]",
    "turned box": "shape: {box: [80, 50, 40]}, low_corner: [90, 70, 14], turn: [{x: 12}, {z: 31}]",
    "inside": "shape: {box: [20, 16, 6]}, low_corner: [140, 90, 11]",
    "long bar": "shape: {cylinder: {diameter: 24, length: 900, along: x}}, low_corner: [-300, 80, 18]",
    "all of it": "shape: {box: [400, 300, 20]}, low_corner: [-50, -50, 18]",
    "scan": "shape: {mesh: {file: lump.stl, unit: mm}}, low_corner: [60, 90, 22], turn: [{y: 15}, {z: 40}]",
}


def sides(folder, other, large, monkeypatch, turn=0):
    """The two sides, made small or large by how many triangles count as many."""
    monkeypatch.setattr(mesh_blocks, "LARGE", large)
    (folder / "pan.stl").write_bytes(stl(pan(30, 1)))
    (folder / "lump.stl").write_bytes(stl(pan(24, 2, wide=90.0, deep=60.0)))
    made = study(
        f"""
        parts:
          pan: {{role: bracket, change: new, shape: {{mesh: {{file: pan.stl, unit: mm}}}}, file_origin: [0, 0, 0],
                turn: {{z: {turn}}}}}
          other: {{role: module, change: new, {other}}}
        """,
        folder,
    )
    chain = made.chain(BEGINNING)
    found = [side_of(placed_pieces(chain, part)[0], Columns(()), ()) for part in made.layout.parts]
    return found, shared_volume(chain, *made.layout.parts)


def alike(found, expected):
    assert found.volume_mm3 == pytest.approx(expected.volume_mm3, rel=1e-9, abs=1e-9)
    assert found.depth_mm == pytest.approx(expected.depth_mm, abs=1e-9)


@pytest.mark.parametrize("turn", [0, 25])
@pytest.mark.parametrize("name", OTHERS)
def test_as_of_the_whole_meshes_for_every_shift(tmp_path, monkeypatch, name, turn):
    (one, other), volume = sides(tmp_path, OTHERS[name], 1000, monkeypatch, turn)
    whole, whole_volume = sides(tmp_path, OTHERS[name], 10**9, monkeypatch, turn)
    assert (type(one), type(other)) == (LargeSide, LargeSide if name == "scan" else SmallSide)
    assert volume == (pytest.approx(whole_volume[0], rel=1e-9), whole_volume[1])
    local, back, expected = SharedSolid(one, other), SharedSolid(other, one), SharedSolid(*whole)
    depths = []
    for shift in SHIFTS:
        alike(local.overlap(shift), expected.overlap(shift))
        x, y, z = shift
        alike(back.overlap((-x, -y, -z)), expected.overlap(shift))
        depths.append(expected.overlap(shift).depth_mm)
    assert depths[0] > 1.0
    assert len({round(depth, 6) for depth in depths}) >= 3


def test_a_body_serves_the_shifts_near_by_and_holds_no_more_than_is_near(tmp_path, monkeypatch):
    (one, other), _ = sides(tmp_path, OTHERS["box"], 1000, monkeypatch)
    made = []
    around = mesh_blocks.Blocks.around
    monkeypatch.setattr(
        mesh_blocks.Blocks, "around", lambda *given: made.append(around(*given)) or made[-1], raising=True
    )
    shared = SharedSolid(one, other)
    for shift in ((0.0, 0.0, 0.0), (4.0, -4.0, 2.0), (-3.0, 0.0, 4.9), (0.0, 0.0, 0.0)):
        assert shared.overlap(shift).volume_mm3 > 0.0
    assert len(made) == 1
    assert len(made[0][1]) < len(one.solid.model.faces) / 2
    assert shared.overlap((20.0, 0.0, 0.0)).volume_mm3 > 0.0
    assert len(made) == 2


def test_bodies_too_large_to_keep_give_the_same(tmp_path, monkeypatch):
    (one, other), _ = sides(tmp_path, OTHERS["box"], 1000, monkeypatch)
    kept = SharedSolid(one, other)
    expected = [kept.overlap(shift) for shift in SHIFTS]
    monkeypatch.setattr(shared_solid, "MOST_KEPT", 0)
    anew = SharedSolid(one, other)
    for shift, each in zip(SHIFTS, expected, strict=True):
        alike(anew.overlap(shift), each)


def test_the_whole_mesh_is_taken_where_no_body_can_be_made_of_a_part_of_it(tmp_path, monkeypatch):
    (one, other), _ = sides(tmp_path, OTHERS["box"], 1000, monkeypatch)
    expected = SharedSolid(one, other).overlap()
    monkeypatch.setattr(side, "body_as_wound", lambda *_: None)
    alike(SharedSolid(one, other).overlap(), expected)


def test_two_large_meshes_share_nothing_where_neither_is_right(tmp_path, monkeypatch):
    """What stands in for the rest of either mesh lies about the same box."""
    (one, other), _ = sides(tmp_path, OTHERS["scan"], 1000, monkeypatch)
    low, high = np.maximum(one.whole_box[0], other.whole_box[0]), np.minimum(one.whole_box[1], other.whole_box[1])
    found = SharedSolid(one, other).overlap()
    assert 0.0 < found.volume_mm3 < np.prod(high - low)
    assert found.depth_mm < (high - low).min() + 1e-9


def test_boxes_that_do_not_meet_need_no_body(tmp_path, monkeypatch):
    (one, other), _ = sides(tmp_path, OTHERS["box"], 1000, monkeypatch)
    monkeypatch.setattr(mesh_blocks.Blocks, "around", None)
    assert SharedSolid(one, other).overlap((0.0, 0.0, 500.0)) == shared_solid.NO_OVERLAP
