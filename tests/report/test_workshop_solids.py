"""Solids read back: STL by trimesh, 3MF by trimesh and by fitcheck's own reader, STEP by two other readers."""

from __future__ import annotations

import io
import math
from pathlib import Path

import pytest
from workshop_layouts import HOSTILE, piece_of, work_of

from fitcheck.geometry.meshfile import read_mesh
from fitcheck.makeable.contour import Loop, Round, area, ring_of
from fitcheck.makeable.piece import Opening, Piece
from fitcheck.makeable.solid import triangles
from fitcheck.model.quantity import exact
from fitcheck.report.workshop import solid_files, step_files

WORK = work_of()
PARTS = [piece for piece in WORK.pieces if piece.kind == "part"]


def volume_in(path: Path) -> float:
    """In mm3, by a general-purpose reader of STEP files."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(reader.OneShape(), found)
    return float(found.Mass())


def volume(piece) -> float:
    return piece.area_mm2 * piece.thickness.nominal


def chord_loss(piece) -> float:
    """What the chords of its circles take off or leave, at most."""
    contours = [piece.outline, *(opening.contour for opening in piece.openings)]
    rounds = [each for each in contours if isinstance(each, Round)]
    lost = sum(area(each) - _ring_area(ring_of(each)) for each in rounds)
    return lost * piece.thickness.nominal + 1e-6 * volume(piece)


def _ring_area(ring) -> float:
    from shapely import Polygon

    return Polygon(ring).area


@pytest.mark.parametrize("piece", PARTS, ids=lambda piece: piece.name)
def test_the_triangles_close_and_hold_the_volume(piece):
    import trimesh

    body = trimesh.Trimesh(*triangles(piece))
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.volume == pytest.approx(volume(piece), abs=chord_loss(piece))
    assert body.extents == pytest.approx([*piece.size, piece.thickness.nominal], abs=1e-9)


@pytest.mark.parametrize("piece", PARTS, ids=lambda piece: piece.name)
def test_stl_and_3mf_are_read_back_in_mm(piece, tmp_path):
    import trimesh

    mesh = triangles(piece)
    stl = trimesh.load(io.BytesIO(solid_files.stl(*mesh)), file_type="stl")
    assert stl.volume == pytest.approx(volume(piece), abs=chord_loss(piece))
    path = tmp_path / "piece.3mf"
    path.write_bytes(solid_files.threemf(*mesh, piece.name))
    own = read_mesh(path, None)
    assert own.vertices.max(axis=0) - own.vertices.min(axis=0) == pytest.approx(
        [*piece.size, piece.thickness.nominal], abs=1e-6
    )
    scene = trimesh.load(path)
    assert scene.units == "millimeter"
    assert scene.volume == pytest.approx(volume(piece), abs=chord_loss(piece))


def test_solids_are_the_same_files_again():
    mesh = triangles(piece_of(WORK, "washer"))
    assert solid_files.stl(*mesh) == solid_files.stl(*mesh)
    assert solid_files.threemf(*mesh, HOSTILE) == solid_files.threemf(*mesh, HOSTILE)


@pytest.mark.parametrize("piece", PARTS, ids=lambda piece: piece.name)
def test_step_holds_the_exact_volume(piece, tmp_path, capfd):
    path = tmp_path / "piece.step"
    path.write_bytes(step_files.render(piece, "piece", "2026-03-02"))
    assert capfd.readouterr().out == "", "results belong on standard output, a library's talk does not"
    assert volume_in(path) == pytest.approx(volume(piece), rel=1e-9)


def test_step_has_its_unit_in_another_reader(tmp_path):
    """That reader always gives metres, whatever the unit of the file."""
    import cascadio
    import trimesh

    step, glb = tmp_path / "pad.step", tmp_path / "pad.glb"
    step.write_bytes(step_files.render(piece_of(WORK, "pad_1"), "pad_1", "2026-03-02"))
    cascadio.step_to_glb(str(step), str(glb), 0.01, 0.5)
    body = trimesh.load(glb).to_geometry()
    assert sorted(body.extents * 1000.0) == pytest.approx([8.0, 40.0, 60.0], abs=1e-3)


def test_step_is_the_same_file_again_and_carries_the_given_date():
    washer = piece_of(WORK, "washer")
    one, *others = (step_files.render(washer, "wäsher 1", "2026-03-02") for _ in range(12))
    assert set(others) == {one}, "the writer counts what it writes, and the count gets longer"
    assert b"'2026-03-02T00:00:00'" in one
    assert b"PRODUCT('w-sher-1',\n  'w-sher-1'" in one


@pytest.mark.parametrize(
    ("part", "whole", "flat"),
    [("cap", 104 * 84 * 32 - 100 * 80 * 30 + (100 * 80 - 88 * 68) * 2, 16), ("foot", 60 * 40 * 5 + 5 * 40 * 30, 10)],
)
def test_a_joined_part_is_one_solid_with_whole_faces_in_step(part, whole, flat, tmp_path):
    """A cap: five faces outside, five inside, the rim, the lip from below and its four edges; an upside-down T: ten."""
    body = next(each for each in WORK.joined if each.part == part)
    content = step_files.render_body(body.vertices, body.faces, part, "2026-03-02")
    assert step_files.render_body(body.vertices, body.faces, part, "2026-03-02") == content
    path = tmp_path / "part.step"
    path.write_bytes(content)
    assert volume_in(path) == pytest.approx(whole, rel=1e-9)
    assert content.count(b"MANIFOLD_SOLID_BREP") == 1
    assert content.count(b"ADVANCED_FACE") == flat


def test_a_round_hole_is_an_arc_in_step():
    text = step_files.render(piece_of(WORK, "washer"), "washer", "").decode()
    assert text.count("CYLINDRICAL_SURFACE") == 2
    assert math.isclose(volume(piece_of(WORK, "washer")), math.pi / 4 * (40**2 - 8.4**2) * 5, rel_tol=1e-12)


def test_arcs_of_an_outline_and_of_a_slot_are_arcs_in_step(tmp_path):
    """100 x 40 with round ends and a slot of 30 x 10 with round ends in it: four cylinders, the exact volume."""

    def stadium(length: float, radius: float) -> Loop:
        bows = [
            (50 + side * length / 2 + radius * math.cos(a), 20 + radius * math.sin(a))
            for side, first in ((1, -0.5), (-1, 0.5)) for a in (math.pi * (k / 40 + first) for k in range(41))
        ]  # fmt: skip
        return Loop(corners=tuple(bows))

    piece = Piece(
        name="slotted", outline=stadium(60, 20), openings=(Opening(contour=stadium(20, 5)),), thickness=exact("t", 3),
        width=exact("w", 100), height=exact("h", 40),
    )  # fmt: skip
    content = step_files.render(piece, "slotted", "2026-03-02")
    assert content.count(b"CYLINDRICAL_SURFACE") == 4
    path = tmp_path / "slotted.step"
    path.write_bytes(content)
    face = (60 * 40 + math.pi * 400) - (20 * 10 + math.pi * 25)
    assert volume_in(path) == pytest.approx(3.0 * face, rel=1e-6)
