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
    assert all("neck or a tongue" in text for text in found)


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
