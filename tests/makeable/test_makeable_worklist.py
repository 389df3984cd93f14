from __future__ import annotations

import numpy as np
import pytest
from workshop_layouts import HOSTILE, MADE, layout_of, piece_of, work_of

from fitcheck.makeable.contour import Round
from fitcheck.result_heights import FoundRow, HeightsAnswer


def found(part: str, height: float, pieces: tuple[float, ...], pm: float = 0.2) -> FoundRow:
    return FoundRow(
        part=part, height_mm=height, pieces=pieces, least_nominal_mm=height, least_by=(), written_mm=8.0, below_mm=pm,
        above_mm=pm,
    )  # fmt: skip


def heights(*rows: FoundRow) -> HeightsAnswer:
    return HeightsAnswer(solved=True, prefer="least height", found=rows)


def test_only_new_parts_of_workshop_roles_are_made():
    work = work_of()
    made = {name for piece in work.pieces if piece.kind == "part" for name in piece.of_parts}
    assert made == {"pad_1", "pad_2", HOSTILE, "angle", "washer"}
    assert [part.part for part in work.joined] == ["cap", "foot"]


def test_equal_pieces_are_one_with_their_number_and_a_hole_makes_them_unequal():
    text = MADE.replace(f'["{HOSTILE}", pad_2]', f'["{HOSTILE}"]')
    pads = piece_of(work_of(text), "pad_1")
    assert (pads.quantity, pads.of_parts) == (2, ("pad_1", "pad_2"))
    work = work_of()
    assert piece_of(work, "pad_1").quantity == 1
    assert len(piece_of(work, "pad_2").openings) == 1


def test_a_screw_hole_is_where_the_screw_stands_in_an_upright_part():
    (hole,) = piece_of(work_of(), "pad_2").openings
    assert hole.contour == Round(centre=(pytest.approx(30.0), pytest.approx(20.0)), diameter=6.6)
    assert hole.says == "s1, M6 clear"


def test_a_screw_hole_is_where_the_screw_stands_in_a_turned_part():
    """Turned by 90° about z, the shape's x points along case y and its y along case -x: of the part's 80 x 120 box at
    (500, 100), the place (510, 120) is 20 along y and 80 - 10 back from the far side along x."""
    holes = [opening.contour for opening in piece_of(work_of(), HOSTILE).openings if opening.says]
    assert holes == [Round(centre=(pytest.approx(20.0), pytest.approx(70.0)), diameter=6.6)]
    assert piece_of(work_of(), HOSTILE).lies == ("right", "forward")


def test_a_screw_that_stands_nowhere_on_the_part_that_it_clamps_is_said():
    work = work_of(MADE.replace("[630, 40, 8]", "[690, 40, 8]"))
    assert piece_of(work, "pad_1").quantity == 2
    assert any("stands nowhere on it" in text for text in piece_of(work, "pad_1").says)


def test_a_screw_hole_that_breaks_the_edge_is_said_and_not_drawn():
    work = work_of(MADE.replace("[630, 40, 8]", "[602, 40, 8]"))
    pads = piece_of(work, "pad_1")
    assert not pads.openings
    assert any("break through an edge" in text for text in pads.says)


def test_a_drawn_hole_that_is_too_small_for_its_screw_is_said():
    holed = MADE.replace(
        "shape: {box: [60, 40, 8 ± 0.1]}\n    low_corner: [500, 20, 0]",
        "shape: {prism: {outline: [[0, 0], [60, 0], [60, 40], [0, 40]], holes: [["
        + ", ".join(f"[{30 + 2 * np.cos(a):.4f}, {20 + 2 * np.sin(a):.4f}]" for a in np.linspace(0, 2 * np.pi, 25)[:-1])
        + "]], height: 8, along: z}}\n    low_corner: [500, 20, 0]",
    )
    pad = piece_of(work_of(holed), "pad_1")
    assert pad.of_parts == ("pad_1", "pad_2")
    assert [type(opening.contour) for opening in pad.openings] == [Round]
    assert any("drawn 4 wide; M6 needs 6.6" in text for text in pad.says)


def test_a_drawn_slot_that_is_too_narrow_for_its_screw_is_said():
    slotted = MADE.replace(
        "shape: {box: [60, 40, 8 ± 0.1]}\n    low_corner: [500, 20, 0]",
        "shape: {prism: {outline: [[0, 0], [60, 0], [60, 40], [0, 40]], height: 8, along: z, "
        "holes: [[[20, 17], [40, 17], [40, 23], [20, 23]]]}}\n    low_corner: [500, 20, 0]",
    )
    pad = piece_of(work_of(slotted), "pad_1")
    assert any("drawn 6 wide; M6 needs 6.6" in text for text in pad.says)


def test_a_found_height_is_cut_as_its_plates():
    work = work_of(heights=heights(found("pad_2", 21.0, (8.0, 8.0, 5.0)), found("pad_1", 21.0, (8.0, 8.0, 5.0))))
    pads = [piece for piece in work.pieces if piece.name in ("pad_1", "pad_2")]
    assert [(piece.name, piece.thickness.nominal, piece.quantity) for piece in pads] == [
        ("pad_1", 8.0, 2), ("pad_1", 5.0, 1), ("pad_2", 8.0, 2), ("pad_2", 5.0, 1),
    ]  # fmt: skip
    assert pads[0].stack == "stack of 8 + 8 + 5 = 21 ± 0.2 in all"
    assert pads[0].thickness.is_exact, "the plate's own tolerance is not known"
    assert all("measure its plates laid together" in " ".join(piece.says) for piece in pads)


def test_a_found_height_of_one_piece_carries_its_tolerance():
    pad = piece_of(work_of(heights=heights(found("pad_1", 55.0, (55.0,)))), "pad_1")
    assert (pad.thickness.nominal, pad.thickness.below, pad.thickness.above) == (55.0, 0.2, 0.2)
    assert not pad.is_flat, "55 thick and 40 wide is not cut from sheet"


def test_a_height_found_to_be_nothing_is_said_and_not_made():
    work = work_of(heights=heights(found("pad_1", 0.0, ())))
    assert "pad_1" not in {piece.name for piece in work.pieces}
    assert any(text.startswith("pad_1: its height was found to be 0") for text in work.skipped)


def test_heights_that_were_not_found_leave_the_layout_as_written():
    unsolved = HeightsAnswer(solved=False, prefer="least height", found=(found("pad_1", 99.0, (99.0,)),))
    assert piece_of(work_of(heights=unsolved), "pad_1").thickness.nominal == 8.0


def test_a_profile_longer_than_wide_is_no_flat_piece():
    work = work_of()
    assert not piece_of(work, "angle").is_flat
    assert piece_of(work, "angle").size == (30.0, 40.0)
    assert piece_of(work, "washer").is_flat


def test_the_general_tolerance_comes_from_the_layout():
    assert work_of().general == "ISO 2768-m"
    assert work_of(MADE.replace("general_tolerance: ISO 2768-m\n", "")).general == ""


def test_a_joined_part_is_one_closed_body_of_the_right_volume():
    import trimesh

    cap, foot = work_of().joined
    for part, volume in (
        (cap, 104 * 84 * 32 - 100 * 80 * 30 + (100 * 80 - 88 * 68) * 2),
        (foot, 60 * 40 * 5 + 5 * 40 * 30),
    ):
        body = trimesh.Trimesh(part.vertices, part.faces)
        assert body.is_watertight
        assert body.body_count == 1
        assert body.volume == pytest.approx(volume, rel=1e-9)
        assert body.bounds[0] == pytest.approx([0, 0, 0], abs=1e-9)


def test_the_views_of_a_joined_part_leave_covered_edges_out():
    _, foot = work_of().joined
    side, above, end = foot.views
    assert (side.title, above.title, end.title) == ("from the left", "from above", "from the rear")
    assert (side.size, above.size, end.size) == ((60.0, 35.0), (60.0, 40.0), (40.0, 35.0))
    # An upside-down T: eight edges. From above a plate with the web's two lines, from the end a web before a plate.
    assert _length(side) == pytest.approx(2 * (60 + 35), abs=1e-6)
    assert _length(above) == pytest.approx(2 * (60 + 40) + 2 * 40, abs=1e-6)
    assert _length(end) == pytest.approx(2 * (40 + 35) + 40, abs=1e-6)


def _length(view) -> float:
    """Of all that is drawn, what lies on one another counted once."""
    from shapely import MultiLineString, unary_union

    return unary_union(MultiLineString([list(ends) for ends in view.segments])).length


def test_a_scan_of_very_many_triangles_is_drawn_as_its_overall_size():
    import trimesh

    from fitcheck.makeable.views import three_views

    layout = layout_of()
    few, many, very_many = (trimesh.creation.icosphere(subdivisions=number) for number in (2, 4, 6))
    for ball, shown in ((few, "edges"), (many, "outline"), (very_many, "overall size")):
        spiky = ball.vertices * np.where(np.arange(len(ball.vertices)) % 2, 10.0, 8.0)[:, None]
        views = three_views(layout, (spiky, ball.faces))
        assert {view.shows for view in views} == {shown}
        for view in views:
            ends = np.array(view.segments).reshape(-1, 2)
            assert ends.min(axis=0) == pytest.approx([0.0, 0.0], abs=1e-3)
            assert ends.max(axis=0) == pytest.approx(view.size, abs=1e-3)


def test_a_grade_that_the_table_knows_by_another_name_goes_to_the_shop_as_written():
    (piece,) = (one for one in work_of(MADE.replace("PC", "S235")).joined if one.part == "cap")
    assert (piece.material, piece.is_metal) == ("mild steel S235", True)
    (piece,) = (one for one in work_of(MADE.replace("PC", "aluminium 5052")).joined if one.part == "cap")
    assert piece.material == "aluminium 5052"
