"""Large meshes by local detail give what every triangle gives: gaps, bands, overlap, doubts, room left, contacts."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest
from engine_layouts import study

from fitcheck.geometry import mesh_blocks
from fitcheck.model.part import Build, State
from fitcheck.placing.faceted import faceted_pair
from fitcheck.placing.placed import Columns, placed_pieces
from fitcheck.placing.side import LargeSide, SmallSide, side_of
from fitcheck.run import check_study


def pan(cells, seed, wide=300.0, deep=200.0):
    """A rough closed slab, as a scanner gives it: 4 cells^2 triangles and a rim; (F, 3, 3)."""
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid(np.linspace(0, wide, cells + 1), np.linspace(0, deep, cells + 1), indexing="ij")
    top = 30 + 6 * np.sin(x / 31) * np.cos(y / 23) + rng.normal(0, 0.1, x.shape)
    upper, lower = np.stack([x, y, top], axis=-1), np.stack([x, y, rng.normal(0, 0.1, x.shape)], axis=-1)
    faces = []
    for sheet, upward in ((upper, True), (lower, False)):
        a, b, c, d = (part.reshape(-1, 3) for part in (sheet[:-1, :-1], sheet[1:, :-1], sheet[1:, 1:], sheet[:-1, 1:]))
        faces += [np.stack(three if upward else three[::-1], axis=1) for three in ((a, b, c), (a, c, d))]
    rim = np.arange((cells + 1) ** 2).reshape(cells + 1, cells + 1)
    ring = np.concatenate([rim[:-1, 0], rim[-1, :-1], rim[:0:-1, -1], rim[0, :0:-1]])
    over, under = upper.reshape(-1, 3)[ring], lower.reshape(-1, 3)[ring]
    after, below = np.roll(over, -1, axis=0), np.roll(under, -1, axis=0)
    faces += [np.stack([over, below, after], axis=1), np.stack([over, under, below], axis=1)]
    return np.concatenate(faces)


def stl(triangles):
    rows = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = triangles
    return b"scan".ljust(80) + np.uint32(len(triangles)).tobytes() + rows.tobytes()


LAYOUT = """
list_within: 10
axes: {{x: rearward, y: right, z: up}}
parts:
  pan: {{role: bracket, change: retained, shape: {{mesh: {{file: pan.stl, unit: mm, tolerance: 0.5}}}}, mass: 12,
        file_origin: [0, 0, 0], turn: {{z: {turn}}}}}
  one: {{role: module, change: new, shape: {{box: [80 ± 0.3, 50, 40]}}, mass: 4, low_corner: [{at}]}}
  two: {{role: module, change: new, shape: {{cylinder: {{diameter: 30 ± 0.2, length: 60, along: x}}}}, mass: 2,
        low_corner: [190, 20, 44 ± 0.4]}}
  scan: {{role: module, change: new, shape: {{mesh: {{file: lump.stl, unit: mm}}}}, mass: 3,
         low_corner: [30, 120 ± 1, 46], turn: {{x: 10}}}}
gaps:
  - {{between: [every module, pan], at_least: 4}}
"""


def answers(folder, text, large, monkeypatch):
    monkeypatch.setattr(mesh_blocks, "LARGE", large)
    result = check_study(study(text, folder), Build.PROPOSED)
    return result.findings, result.room


def assert_alike(local, whole):
    """The same in all that a reader sees; where surfaces cross, any point on the crossing may stand for it."""
    (found, room), (expected, expected_room) = local, whole
    assert [(each.check, each.parts, each.status, each.reason, each.mend) for each in found] == [
        (each.check, each.parts, each.status, each.reason, each.mend) for each in expected
    ]
    for one, other in zip(found, expected, strict=True):
        assert one.volume_mm3 == (other.volume_mm3 and pytest.approx(other.volume_mm3, rel=1e-9))
        if other.band is not None:
            assert astuple(one.band) == pytest.approx(astuple(other.band), abs=1e-9)
            if other.check == "gap" and other.band.value > 0.0:
                assert np.array(one.points) == pytest.approx(np.array(other.points), abs=1e-9)
    assert room == expected_room


@pytest.mark.parametrize(
    ("at", "turn", "left_out"),
    [
        ("90, 70, 41", 17, 0),
        ("90, 70, 10", 0, 0),
        ("90, 70, 41", 0, 3),
        ("90, 70, 20", 0, 3),
        ("90, 70, 16", 17, 0),
        ("40, 130, 12", 0, 0),
    ],
    ids=["turned", "overlapping", "open", "open and crossing", "turned and overlapping", "through both scans"],
)
def test_the_same_findings_and_the_same_room(tmp_path, monkeypatch, at, turn, left_out):
    (tmp_path / "pan.stl").write_bytes(stl(pan(18, 1)[left_out:]))
    (tmp_path / "lump.stl").write_bytes(stl(pan(20, 2, wide=90.0, deep=60.0) * [1, 1, 0.5]))
    text = LAYOUT.format(at=at, turn=turn)
    whole = answers(tmp_path, text, 10**9, monkeypatch)
    local = answers(tmp_path, text, 100, monkeypatch)
    assert_alike(local, whole)
    assert len(whole[0]) >= 2


def test_a_contact_leaves_the_same_of_a_large_mesh(tmp_path, monkeypatch):
    flat = pan(16, 4)
    flat[..., 2] = np.where(flat[..., 2] > 15, 30.0, 0.0)
    (tmp_path / "pan.stl").write_bytes(stl(flat))
    text = """
        axes: {x: rearward, y: right, z: up}
        parts:
          pan: {role: bracket, change: retained, shape: {mesh: {file: pan.stl, unit: mm}}, mass: 12,
                file_origin: [0, 0, 0]}
          one: {role: module, change: new, shape: {box: [80 ± 0.3, 50, 40]}, mass: 4,
                place: {front: 60 clear of pan front, left: 50 clear of pan left, bottom: on pan}}
        gaps:
          - {between: [one, pan], at_least: 4}
        """
    whole = answers(tmp_path, text, 10**9, monkeypatch)
    local = answers(tmp_path, text, 100, monkeypatch)
    assert_alike(local, whole)


def test_only_large_meshes_are_cut_down(tmp_path, monkeypatch):
    (tmp_path / "pan.stl").write_bytes(stl(pan(24, 1)))
    (tmp_path / "lump.stl").write_bytes(stl(pan(4, 2)))
    monkeypatch.setattr(mesh_blocks, "LARGE", 1000)
    made = study(LAYOUT.format(at="90, 70, 41", turn=0), tmp_path)
    kinds = {
        part.name: type(side_of(placed_pieces(made.chain(State.BEGINNING), part)[0], Columns(()), ()))
        for part in made.layout.parts
    }
    assert kinds == {"pan": LargeSide, "one": SmallSide, "two": SmallSide, "scan": SmallSide}


WANDERING = [(0, 0, 0), (0, 0, 30), (0, 0, 31), (-60, 40, 30), (0.5, 0, 0), (250, 0, 4), (-60, 40, 29), (0, 0, -60)]


def test_the_same_band_wherever_the_second_part_is_moved_in_turn(tmp_path, monkeypatch):
    """What is kept for one shift must not stand in for what another needs."""
    (tmp_path / "pan.stl").write_bytes(stl(pan(24, 1)))
    (tmp_path / "lump.stl").write_bytes(stl(pan(20, 2, wide=90.0, deep=60.0) * [1, 1, 0.5]))
    made = study(LAYOUT.format(at="90, 70, 20", turn=17), tmp_path)
    chain = made.chain(State.BEGINNING)
    first, *others = (placed_pieces(chain, part)[0] for part in made.layout.parts)
    seen = []
    for other in others:
        monkeypatch.setattr(mesh_blocks, "LARGE", 10**9)
        whole = faceted_pair(first, other, (), ())
        expected = [whole.spread(made.widths, shift) for shift in WANDERING]
        monkeypatch.setattr(mesh_blocks, "LARGE", 100)
        local = faceted_pair(first, other, (), ())
        for shift, wanted in zip(WANDERING, expected, strict=True):
            found = local.spread(made.widths, shift)
            assert (found.value, found.low, found.high) == pytest.approx(
                (wanted.value, wanted.low, wanted.high), abs=1e-9
            )
            seen.append(wanted.value)
    assert min(seen) < -1.0
    assert max(seen) > 1.0
