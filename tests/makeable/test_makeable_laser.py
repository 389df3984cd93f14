from __future__ import annotations

import math

import pytest
from workshop_layouts import HOSTILE, piece_of, work_of

from fitcheck.makeable.contour import Loop, Round, moved, rectangle
from fitcheck.makeable.laser import least_width, remarks_of
from fitcheck.makeable.piece import Opening, Piece
from fitcheck.model.quantity import exact


def plate(thickness: float, *openings, outline=None, material="mild steel S235", is_metal=True, kind="part") -> Piece:
    outline = outline or rectangle(100.0, 60.0)
    return Piece(
        name="plate", outline=outline, openings=tuple(Opening(contour=each) for each in openings),
        thickness=exact("t", thickness), width=exact("w", 100.0), height=exact("h", 60.0), material=material,
        is_metal=is_metal, kind=kind,
    )  # fmt: skip


def texts(piece: Piece) -> list[str]:
    return [remark.text for remark in remarks_of(piece)]


def test_a_sound_plate_has_nothing_to_settle():
    assert texts(plate(5.0, Round(centre=(50.0, 30.0), diameter=9.0))) == []


@pytest.mark.parametrize(("diameter", "count"), [(5.0, 0), (4.99, 1)])
def test_a_hole_narrower_than_the_sheet_is_thick(diameter, count):
    found = texts(plate(5.0, Round(centre=(50.0, 30.0), diameter=diameter)))
    assert len(found) == count
    assert all(f"H1 {diameter:.2f} mm, below 5" in text for text in found)


@pytest.mark.parametrize(("x", "count"), [(17.5, 0), (17.4, 1)])
def test_a_hole_near_the_edge(x, count):
    found = texts(plate(5.0, Round(centre=(x, 30.0), diameter=20.0)))
    assert len(found) == count
    assert all("From the edge to H1 7.40 mm, below 7.5" in text for text in found)


@pytest.mark.parametrize(("apart", "count"), [(25.0, 0), (24.9, 1)])
def test_a_narrow_web_between_two_holes(apart, count):
    holes = [Round(centre=(50.0 + shift * apart / 2, 30.0), diameter=20.0) for shift in (-1, 1)]
    found = texts(plate(5.0, *holes))
    assert len(found) == count
    assert all("Web between H1 and H2 4.90 mm, below 5" in text for text in found)


@pytest.mark.parametrize(("neck", "count"), [(5.0, 0), (4.0, 1)])
def test_a_narrow_neck_of_the_outline(neck, count):
    low, high = 30.0 - neck / 2, 30.0 + neck / 2
    bone = Loop(corners=((0, 0), (40, 0), (40, low), (60, low), (60, 0), (100, 0), (100, 60), (60, 60), (60, high),
                         (40, high), (40, 60), (0, 60)))  # fmt: skip
    found = texts(plate(5.0, outline=bone))
    assert len(found) == count
    assert all("The outline has a neck narrower than 5 mm" in text for text in found)


@pytest.mark.parametrize(("wide", "said"), [(5.0, ""), (4.0, "a tongue narrower than 5 mm")])
def test_a_narrow_tongue_of_the_outline(wide, said):
    comb = Loop(corners=((0, 0), (60, 0), (60, 20), (100, 20), (100, 20 + wide), (60, 20 + wide), (60, 60), (0, 60)))
    found = texts(plate(5.0, outline=comb))
    assert [said in text for text in found] == ([True] if said else [])


@pytest.mark.parametrize("side", [20.0, 10.0])
def test_a_block_is_no_neck_but_no_part_for_a_laser_either(side):
    cube = plate(side, outline=rectangle(side, side), material="mild steel S235")
    found = texts(cube)
    assert not any("neck" in text or "tongue" in text for text in found)
    assert sum(f"nowhere wider than the {side:g} mm that it is thick" in text for text in found) == 1


@pytest.mark.parametrize(("thickness", "count"), [(25.0, 0), (25.5, 1)])
def test_what_is_thicker_than_a_laser_cuts(thickness, count):
    found = texts(plate(thickness, outline=rectangle(300.0, 200.0)))
    assert sum("is no thickness for a laser" in text for text in found) == count


@pytest.mark.parametrize(
    ("outline", "count"),
    [(rectangle(3000.0, 1500.0), 0), (rectangle(1500.0, 3000.0), 0), (rectangle(3200.0, 1600.0), 1),
     (rectangle(1600.0, 1600.0), 1), (rectangle(3001.0, 100.0), 1),
     (Loop(corners=((0, 0), (2000, 2000), (1800, 2200), (-200, 200))), 0)],
)  # fmt: skip
def test_a_sheet_larger_than_the_common_table(outline, count):
    """The last is a strip of 2828 x 283 that lies aslant."""
    found = texts(plate(3.0, outline=outline))
    assert sum("larger than the common sheet and table of 3000 × 1500" in text for text in found) == count


def wedge(degrees: float) -> Loop:
    return Loop(corners=((0.0, 0.0), (100.0, 0.0), (100.0, 100.0 * math.tan(math.radians(degrees)))))


SPIKE = Loop(corners=((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (60.0, 50.0), (60.0, 90.0), (60.0, 50.0), (0.0, 50.0)))


@pytest.mark.parametrize(("outline", "count"), [(wedge(26.0), 0), (wedge(24.0), 1), (SPIKE, 1)])
def test_a_tip_that_runs_out_to_nothing(outline, count):
    found = [text for text in texts(plate(3.0, outline=outline)) if "Runs out to a point" in text]
    assert len(found) == count
    assert all("x 0, y 0" in text or "x 60, y 90" in text for text in found)


def test_a_sharp_corner_of_an_opening_leaves_no_tip_but_one_that_points_into_it_does():
    sharp = moved(wedge(24.0), (40.0, 10.0))
    assert not [text for text in texts(plate(3.0, sharp, outline=rectangle(200.0, 100.0))) if "a point" in text]
    tooth = Loop(corners=((20.0, 20.0), (80.0, 20.0), (80.0, 40.0), (50.5, 40.0), (50.0, 25.0), (49.5, 40.0),
                          (20.0, 40.0)))  # fmt: skip
    (found,) = [text for text in texts(plate(3.0, tooth, outline=rectangle(100.0, 60.0))) if "a point" in text]
    assert "x 50, y 25 in H1" in found


@pytest.mark.parametrize(
    ("material", "is_metal", "how"),
    [("PC", False, "milled or cut by water jet"), ("silicone foam", False, "cut with a knife, a die or water jet"),
     ("FR4", False, "milled with a carbide cutter or cut by water jet"), ("plywood", False, "sawn or milled")],
)  # fmt: skip
def test_how_an_insulating_material_is_cut_without_a_charred_edge(material, is_metal, how):
    found = texts(plate(3.0, material=material, is_metal=is_metal))
    assert [text for text in found if text.endswith(f"Have it {how}")] == found


def test_no_rule_for_sheet_metal_speaks_of_foam():
    hole = Round(centre=(4.0, 30.0), diameter=2.0)
    (text,) = texts(plate(5.0, hole, outline=NOTCHED, material="silicone foam", is_metal=False))
    assert "knife" in text
    assert len(texts(plate(5.0, hole, material="PC", is_metal=False))) > 1


@pytest.mark.parametrize(
    ("material", "thickness", "count"),
    [("aluminium 5052", 4.0, 0), ("aluminium 5052", 5.0, 1), ("mild steel S235", 10.0, 0), ("mild steel S235", 12.0, 1),
     ("stainless steel 304", 6.0, 0), ("stainless steel 304", 8.0, 1), ("copper C110", 8.0, 1),
     ("brass CW614N", 1.0, 1)],
)  # fmt: skip
def test_thick_metal_cuts_with_a_scored_edge(material, thickness, count):
    found = texts(plate(thickness, outline=rectangle(100.0, 60.0), material=material))
    assert len(found) == count


def test_an_insulating_sheet_is_not_for_the_laser():
    (remark,) = remarks_of(plate(5.0, material="PA66-GF30", is_metal=False))
    assert "water jet" in remark.text
    assert "from memory" in str(remark.source)


@pytest.mark.parametrize(
    ("material", "count"), [("aluminium", 1), ("mild steel", 1), ("aluminium 5052", 0), ("S235", 0)]
)
def test_a_metal_without_a_grade_cannot_be_ordered(material, count):
    found = [text for text in texts(plate(2.0, material=material)) if "without a grade" in text]
    assert len(found) == count
    assert all(text.startswith(f"{material.capitalize()} without a grade") for text in found)


SLOTTED = (moved(rectangle(20.0, 10.0), (20.0, 20.0)), Round(centre=(70.0, 30.0), diameter=10.0))
HEXAGON = Loop(corners=tuple((50.0 + 30 * math.cos(n * math.pi / 3), 40.0 + 30 * math.sin(n * math.pi / 3))
                             for n in range(6)))  # fmt: skip
NOTCHED = Loop(corners=((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (50.0, 60.0), (50.0, 30.0), (0.0, 30.0)))
CURVED = Loop(corners=tuple((50.0 + 40 * math.cos(n * math.pi / 8), 40 * math.sin(n * math.pi / 8)) for n in range(9)))


@pytest.mark.parametrize(
    ("outline", "openings", "named"),
    [(rectangle(100.0, 60.0), SLOTTED, "Inner corners of H1 are"), (NOTCHED, (), "Inner corners of the outline are"),
     (HEXAGON, SLOTTED[1:], ""), (Loop(corners=NOTCHED.corners[::-1]), (), "Inner corners of the outline are"),
     (rectangle(200.0, 100.0), (moved(CURVED, (40.0, 20.0)),), "Inner corners of H1 are"),
     (rectangle(200.0, 100.0), (moved(HEXAGON, (10.0, 10.0)),), "Inner corners of H1 are")],
)  # fmt: skip
def test_a_milled_inner_corner_is_not_sharp(outline, openings, named):
    found = [t for t in texts(plate(5.0, *openings, outline=outline, material="POM", is_metal=False)) if "radius" in t]
    assert [text[: len(named)] for text in found] == ([named] if named else [])
    gauge = plate(5.0, *openings, outline=outline, material="POM", is_metal=False, kind="gauge")
    assert not any("radius" in text for text in texts(gauge)), "the root of a tongue may be round"


def test_a_small_piece_may_tip():
    (text,) = texts(plate(2.0, outline=rectangle(100.0, 20.0)))
    assert "20 mm across" in text


def test_a_slot_turned_askew_is_measured_across():
    slot = Loop(corners=((0.0, 0.0), (30.0, 30.0), (28.0, 32.0), (-2.0, 2.0)))
    assert least_width(slot) == pytest.approx(8.0**0.5, abs=1e-9)
    assert least_width(moved(rectangle(7.0, 3.0), (5.0, 5.0))) == pytest.approx(3.0, abs=1e-9)


def test_what_is_not_cut_flat_has_no_remarks():
    work = work_of()
    assert piece_of(work, "angle").remarks == ()
    assert any("Width of H2 4.00" in remark.text for remark in piece_of(work, HOSTILE).remarks)
