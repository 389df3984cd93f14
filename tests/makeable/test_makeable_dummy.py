from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from workshop_layouts import MADE, work_of

from fitcheck.makeable.contour import Loop, polygon_of
from fitcheck.makeable.dummy import kit
from fitcheck.makeable.solid import triangles

SIZES = [(400.5, 200.3, 120.4), (150.0, 60.0, 40.0), (900.0, 500.0, 90.0), (388.5, 226.3, 112.5)]


def standing(panel, at):
    """The panel as a solid where it stands in the dummy."""
    from manifold3d import Manifold, Mesh64

    flat, faces = triangles(panel.piece)
    toward = 3 - panel.right - panel.up
    placed = np.zeros_like(flat)
    placed[:, panel.right], placed[:, panel.up], placed[:, toward] = flat[:, 0], flat[:, 1], flat[:, 2] + at
    if (panel.right, panel.up, toward) not in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        faces = faces[:, ::-1]
    solid = Manifold(Mesh64(vert_properties=placed, tri_verts=np.ascontiguousarray(faces, dtype=np.uint64)))
    assert solid.volume() > 0.0
    return solid


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("sheet", [3.0, 4.0])
def test_the_panels_interlock_without_clash_and_fill_the_size_exactly(size, sheet):
    panels = [standing(panel, at) for panel in kit(size, "m1", ("m1",), sheet=sheet) for at in panel.at]
    for one, other in combinations(panels, 2):
        assert (one ^ other).volume() == pytest.approx(0.0, abs=1e-9)
    boxes = np.array([panel.bounding_box() for panel in panels])
    assert boxes[:, :3].min(axis=0) == pytest.approx([0, 0, 0], abs=1e-9)
    assert boxes[:, 3:].max(axis=0) == pytest.approx(size, abs=1e-9)


@pytest.mark.parametrize("size", SIZES)
def test_the_number_to_cut_is_the_number_that_stands(size):
    for panel in kit(size, "m1", ("m1",)):
        assert panel.piece.quantity == len(panel.at)


def slot_widths(contour: Loop, deep: float):
    """Of all notches that are deeper than `deep` and narrower than that: how wide they are."""
    points = contour.corners
    found = []
    for a, b, c, d in zip(points, points[1:], points[2:], points[3:], strict=False):
        if a[0] == b[0] and c[0] == d[0] and b[1] == c[1] and abs(a[1] - b[1]) > deep > abs(c[0] - b[0]):
            found.append(abs(c[0] - b[0]))
    return found


def test_slots_are_as_wide_as_the_sheet_and_its_clearance():
    panels = {panel.piece.name.split()[-1]: panel for panel in kit((400.5, 200.3, 120.4), "m1", ("m1",), clearance=0.3)}
    for name, other in (("lengthwise", "crosswise"), ("crosswise", "lengthwise")):
        slots = slot_widths(panels[name].piece.outline, 20.0)
        assert slots == pytest.approx([3.3] * len(panels[other].at), abs=1e-9)


def test_every_tab_has_its_mortise_with_clearance_all_round():
    size, sheet = (400.5, 200.3, 120.4), 3.0
    bottom, top, along, across = kit(size, "m1", ("m1",))
    from shapely import box, union_all

    tabs = []
    for panel in (along, across):
        foot = polygon_of(panel.piece.outline).intersection(box(-1, 0, 1000, sheet - 1e-6))
        spans = [(piece.bounds[0], piece.bounds[2]) for piece in getattr(foot, "geoms", (foot,))]
        tabs += [
            box(lo, at, hi, at + sheet) if panel is along else box(at, lo, at + sheet, hi)
            for at in panel.at for lo, hi in spans
        ]  # fmt: skip
    mortises = union_all([polygon_of(opening.contour) for opening in bottom.piece.openings])
    assert len(tabs) == len(bottom.piece.openings)
    assert mortises.contains(union_all(tabs).buffer(0.1 - 1e-9, join_style="mitre"))
    assert len(top.piece.openings) == len(tabs) + 2, "two holes to lift it by"


def test_the_dummy_is_the_module_at_its_largest():
    kits = [piece for piece in work_of().pieces if piece.kind == "dummy"]
    assert {piece.size for piece in kits if piece.name.endswith(("top", "bottom"))} == {(400.5, 200.3)}
    assert {piece.size[1] for piece in kits if piece.name.endswith("wise")} == {120.4}


def test_modules_of_one_size_share_a_kit_and_what_has_none_is_said():
    work = work_of(
        MADE.replace("  pad_1:\n", "  m2: {like: m1, place: {left: 300 clear of case inside left}}\n  pad_1:\n", 1)
    )
    assert {piece.of_parts for piece in work.pieces if piece.kind == "dummy"} == {("m1", "m2")}
    round_module = MADE.replace(
        "{box: [400 ± 0.5, 200 ± 0.3, 120 ± 0.4]}", "{cylinder: {diameter: 90, length: 200, along: z}}"
    )
    assert any(text.startswith("m1: no dummy") for text in work_of(round_module).skipped)


def test_a_module_too_small_for_the_sheet_has_no_kit():
    with pytest.raises(ValueError, match="too small"):
        kit((100.0, 50.0, 12.0), "m1", ("m1",))
    small = work_of(MADE.replace("400 ± 0.5, 200 ± 0.3, 120 ± 0.4", "100, 50, 30"))
    assert any("too small for 3 mm sheet" in text for text in small.skipped)


GROWN = MADE.replace("    mass: 10\n", "    mass: 10\n    grows: {y: 1.5 %}\n")


def test_a_module_that_grows_has_a_kit_for_each_age_and_each_says_what_it_proves():
    kits = [piece for piece in work_of(GROWN).pieces if piece.kind == "dummy"]
    plates = {piece.name: piece for piece in kits if piece.name.endswith(("top", "bottom"))}
    assert {name: piece.size for name, piece in plates.items()} == {
        "dummy m1 bottom": (400.5, 200.3), "dummy m1 top": (400.5, 200.3),
        "dummy m1 end of life bottom": (400.5, pytest.approx(203.31)),
        "dummy m1 end of life top": (400.5, pytest.approx(203.31)),
    }  # fmt: skip
    assert 203.31 >= 200.3 * 1.015
    new, aged = plates["dummy m1 top"].says[0], plates["dummy m1 end of life top"].says[0]
    assert "400.5 × 200.3 × 120.4: the module when new" in new
    assert "grows by up to 3.01 in its y, to 400.5 × 203.31 × 120.4" in new
    assert "does not prove that the module still fits then" in new
    assert "the module at the end of life, at its largest within tolerance, up to 3.01 in its y larger" in aged


def test_a_module_that_does_not_grow_has_one_kit():
    kits = [piece for piece in work_of().pieces if piece.kind == "dummy"]
    assert len(kits) == 4
    assert all("end of life" not in " ".join(piece.says) for piece in kits)


def test_modules_of_one_size_that_grow_otherwise_have_kits_of_their_own():
    more = "  m2: {like: m1, grows: {y: 3 %}, place: {left: 300 clear of case inside left}}\n  pad_1:\n"
    kits = [piece for piece in work_of(GROWN.replace("  pad_1:\n", more, 1)).pieces if piece.kind == "dummy"]
    assert {piece.of_parts for piece in kits} == {("m1",), ("m2",)}
