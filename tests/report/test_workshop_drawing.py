from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workshop_layouts import HOSTILE, MADE, piece_of, work_of

from fitcheck.makeable.contour import Loop, Round, rectangle
from fitcheck.makeable.piece import CutRemark, Opening, Piece
from fitcheck.model.quantity import Quantity, exact
from fitcheck.report.workshop import joined_drawing
from fitcheck.report.workshop.dimensions import number, spread, with_band
from fitcheck.report.workshop.drawing import (
    ABOVE,
    BELOW,
    BETWEEN,
    LEFT,
    RIGHT,
    draw,
    fit,
    running_values,
    visible_steps,
)
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.paper import Paper
from fitcheck.report.workshop.title_block import SIGN_HERE, field_of
from fitcheck.sources import PRACTICE

ORIGIN = Origin(
    title="Bench <b>", layout_file="bench.yaml", sha256="ab" * 32, made_on="2026-03-02", general="ISO 2768-m"
)
WORK = work_of()


def drawn(piece: Piece) -> bytes:
    paper = Paper("drawing")
    draw(paper, piece, ORIGIN)
    return paper.finished()


def pages(content: bytes) -> list[str]:
    import pypdfium2

    document = pypdfium2.PdfDocument(content)
    return [document[index].get_textpage().get_text_bounded() for index in range(len(document))]


def flat_text(content: bytes) -> str:
    return " ".join(" ".join(pages(content)).split())


def boxes(content: bytes, page: int = 0) -> list[tuple[float, float]]:
    """Width and height in mm of everything drawn as a path, as the page's content has it."""
    import pypdfium2
    import pypdfium2.raw as raw

    found = []
    for item in pypdfium2.PdfDocument(content)[page].get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = item.get_bounds()
        found.append(((right - left) * 25.4 / 72.0, (top - bottom) * 25.4 / 72.0))
    return found


def test_a_drawing_says_what_the_shop_must_know():
    text = flat_text(drawn(piece_of(WORK, "pad_2")))
    for said in ("pad_2", "PA66-GF30", "8 ±0.1", "2:1", "A4, page 1 of 1", "ISO 2768-m", "bench.yaml", "abababab",
                 "2026-03-02", SIGN_HERE, "H1: ⌀6.6 at x 30, y 20; s1, M6 clear", "must not conduct",
                 "Scrape burrs off", "drawing number", "ordered by (workshop)", "contact: name"):  # fmt: skip
        assert said in text, said


def test_a_hostile_name_is_plain_text():
    assert HOSTILE in flat_text(drawn(piece_of(WORK, HOSTILE)))


def test_the_face_is_drawn_to_the_stated_scale():
    """120 x 80 mm at 1:1, and its edge 6 x 80 beside it; the reader adds twice the line's width of 0.5 mm."""
    content = drawn(piece_of(WORK, HOSTILE))
    assert "1:1" in flat_text(content)
    for wanted in ((120.0, 80.0), (6.0, 80.0)):
        assert any(box == pytest.approx((wanted[0] + 1.0, wanted[1] + 1.0), abs=0.002) for box in boxes(content))


@pytest.mark.parametrize(
    ("size", "sheet", "scale"),
    [((60, 40, 8), "A4", (2, 1)), ((120, 80, 6), "A4", (1, 1)), ((360, 200, 10), "A4", (1, 5)),
     ((1207, 746, 5), "A3", (1, 5)), ((2500, 1200, 5), "A3", (1, 10))],
)  # fmt: skip
def test_sheet_and_scale(size, sheet, scale):
    assert fit(*size) == (sheet, scale)


@given(st.floats(5, 4000), st.floats(5, 4000), st.floats(0.5, 300))
def test_what_is_drawn_fits_its_field(width, height, depth):
    sheet, (one, to) = fit(width, height, depth)
    free, scale = field_of(sheet), one / to
    assert (width + depth) * scale <= free.width - LEFT - RIGHT - BETWEEN + 1e-9
    assert height * scale <= free.height - BELOW - ABOVE + 1e-9


@given(st.lists(st.floats(0, 300), min_size=1, max_size=25), st.floats(0.5, 5))
def test_running_sizes_keep_their_order_and_their_distance(places, apart):
    seats = spread(places, apart)
    order = sorted(range(len(places)), key=lambda index: places[index])
    gaps = [seats[b] - seats[a] for a, b in itertools.pairwise(order)]
    assert all(gap >= apart - 1e-6 for gap in gaps)
    if all(places[b] - places[a] >= apart for a, b in itertools.pairwise(order)):
        assert seats == pytest.approx(places, abs=1e-9)


def test_running_sizes_hold_every_corner_and_centre():
    bracket = piece_of(WORK, HOSTILE)
    assert running_values(bracket, 0) == [10.0, 18.0, 20.0, 40.0, 100.0, 104.0]
    assert running_values(bracket, 1) == [8.0, 10.0, 12.0, 16.0, 20.0, 70.0]
    assert running_values(piece_of(WORK, "washer"), 0) == []


def test_a_step_shows_only_where_nothing_stands_before_it():
    assert visible_steps(piece_of(WORK, "angle")) == [4.0]
    notch = Loop(corners=((0, 0), (50, 0), (50, 60), (0, 60), (0, 40), (20, 40), (20, 20), (0, 20)))
    hidden = Piece(name="n", outline=notch, thickness=exact("t", 5), width=exact("w", 50), height=exact("h", 60))
    assert visible_steps(hidden) == []


@pytest.mark.parametrize(
    ("value", "text"),
    [(exact("x", 8.0), "8"),
     (Quantity(name="x", nominal=8.0, unit="mm", below=0.2, above=0.2, basis="stated"), "8 ±0.2"),
     (Quantity(name="x", nominal=8.25, unit="mm", below=0.1, above=0.3, basis="stated"), "8.25 +0.3/-0.1"),
     (Quantity(name="x", nominal=8.0, unit="mm", below=0.2, above=0.2, basis="ISO 2768-m"), "8")],
)  # fmt: skip
def test_a_size_with_its_own_tolerance(value, text):
    assert with_band(value) == text


def test_numbers_say_no_more_than_they_mean():
    assert [number(value) for value in (8.0, 8.105, 0.004, -0.001, 1207.5)] == ["8", "8.11", "0", "0", "1207.5"]


def test_notes_that_find_no_room_go_on_further_pages():
    remarks = tuple(CutRemark(text=f"remark {n} " + "word " * 40, source=PRACTICE) for n in range(30))
    plate = Piece(name="plate", outline=rectangle(60, 40), thickness=exact("t", 5), width=exact("w", 60),
                  height=exact("h", 40), remarks=remarks)  # fmt: skip
    content = drawn(plate)
    text = pages(content)
    assert len(text) >= 2
    assert all(f"page {index + 1} of {len(text)}" in page for index, page in enumerate(text))
    assert all(f"remark {n} " in flat_text(content) for n in range(30))


def test_what_the_layout_does_not_say_is_to_be_settled():
    bare = Piece(
        name="mat", outline=rectangle(60, 40), thickness=exact("t", 5), width=exact("w", 60), height=exact("h", 40)
    )
    text = flat_text(drawn(bare))
    assert "NOT STATED: settle before cutting" in text
    assert "may conduct" in text


def test_a_joined_part_has_three_views_and_its_sizes_in_words():
    paper = Paper("foot")
    cap, _ = WORK.joined
    joined_drawing.draw(paper, cap, ORIGIN)
    text = flat_text(paper.finished())
    for said in ("from above", "from the left", "from the rear", "104", "84", "32", "Lip inward 6", "folded or welded"):
        assert said in text, said


def test_a_joined_part_is_dimensioned_from_one_side():
    """An upside-down T: web 27 to 32 of 60 along, foot 5 of 35 high; nothing between across."""
    side, above, end = WORK.joined[1].views
    assert joined_drawing.steps((side, above), 0) == [27.0, 32.0]
    assert joined_drawing.steps((side, end), 1) == [5.0]
    assert joined_drawing.steps((above,), 1) == joined_drawing.steps((end,), 0) == []
    paper = Paper("foot")
    joined_drawing.draw(paper, WORK.joined[1], ORIGIN)
    text = flat_text(paper.finished())
    for said in ("27", "32", "60", "35", "settle it with the shop"):
        assert said in text, said


def test_a_drawing_answers_what_a_shop_asks():
    text = flat_text(drawn(piece_of(WORK, HOSTILE)))
    for said in ("no bends", "without allowance for the width of the cut", "not tapped, not countersunk",
                 "either side may lie up", "no coating or other finish", "tolerance where none is given",
                 "without a grade or temper"):  # fmt: skip
        assert said in text, said


def test_a_drawing_is_the_same_file_again():
    for piece in WORK.pieces:
        if piece.kind != "dummy":
            assert drawn(piece) == drawn(piece)


def stadium() -> Piece:
    from math import cos, pi, sin

    right = [(80 + 20 * cos(a), 20 + 20 * sin(a)) for a in (pi * (k / 40 - 0.5) for k in range(41))]
    left = [(20 + 20 * cos(a), 20 + 20 * sin(a)) for a in (pi * (k / 40 + 0.5) for k in range(41))]
    return Piece(
        name="stadium", outline=Loop(corners=(*right, *left)), thickness=exact("t", 3), width=exact("w", 100),
        height=exact("h", 40), material="S235", is_metal=True,
    )  # fmt: skip


def test_an_arc_has_its_radius_and_no_ladder_of_lines():
    """Running sizes are those of the ends of the arcs; the edge seen from the right is a plain box."""
    piece = stadium()
    assert "2 × R20" in flat_text(drawn(piece))
    assert running_values(piece, 0) == [20.0, 80.0]
    assert running_values(piece, 1) == []
    assert visible_steps(piece) == []


def test_the_rim_of_a_bulge_shows_and_a_facet_does_not():
    """A round head of R10 on a stem of 6 at its left: its rim at y 20 stands free before the stem."""
    from math import cos, pi, sin

    head = [(12 + 10 * cos(a), 30 + 10 * sin(a)) for a in (pi * k / 32 for k in range(-26, 24))]
    outline = Loop(corners=((0.0, 0.0), (6.0, 0.0), *head, (0.0, 38.0)))
    piece = Piece(name="n", outline=outline, thickness=exact("t", 5), width=exact("w", 22), height=exact("h", 40))
    assert visible_steps(piece) == [20.0]


def test_a_note_longer_than_a_page_goes_on_over_pages_and_no_word_is_lost():
    words = [f"word{number}" for number in range(4000)]
    piece = replace(piece_of(WORK, "pad_1"), says=(" ".join(words), "the last of all"))
    content = drawn(piece)
    text = flat_text(content)
    assert len(pages(content)) > 2
    assert all(f"page {number + 1} of {len(pages(content))}" in each for number, each in enumerate(pages(content)))
    assert [word for word in text.split() if word.lower().startswith("word")][1:] == [*words[1:-1], f"{words[-1]}."]
    assert "The last of all" in text


def test_very_many_parts_are_named_in_part():
    names = tuple(f"traction_module_with_a_long_name_{number}" for number in range(400))
    text = flat_text(drawn(replace(piece_of(WORK, "pad_1"), of_parts=names, quantity=400)))
    assert "traction_module_with_a_long_name_5 and 394 more, see what_to_make.txt" in text


def test_what_is_to_settle_stands_under_its_own_heading():
    text = flat_text(drawn(piece_of(WORK, "pad_1")))
    _, _, settle = text.partition("SETTLE FIRST")
    assert "The workshop that ordered it checks the sizes against the part in the vehicle" in settle
    assert "a laser chars the edge" in settle
    dummy = next(piece for piece in WORK.pieces if piece.kind == "dummy")
    assert SIGN_HERE not in flat_text(drawn(dummy)), "there is no part to check a dummy against"


def test_no_tolerance_is_said_in_the_block_and_to_be_settled():
    bare = work_of(MADE.replace("general_tolerance: ISO 2768-m\n", ""))
    paper = Paper("drawing")
    draw(paper, piece_of(bare, "pad_1"), replace(ORIGIN, general=""), number="pad_1__t8", cut_file="cutting/pad_1.dxf")
    text = flat_text(paper.finished())
    assert "none is stated, see SETTLE FIRST" in text
    assert "The layout states no general tolerance and takes sizes without one as exact" in text
    assert "pad_1__t8" in text
    assert "cutting/pad_1.dxf" in text


def seats_of(piece: Piece) -> list[tuple[float, float, float, float]]:
    """Where the names of openings stand, in points: left, bottom, right, top of each."""
    import pypdfium2

    page = pypdfium2.PdfDocument(drawn(piece))[0].get_textpage()
    found = []
    for index in range(len(piece.openings)):
        at = page.search(f"H{index + 1}", match_case=True, match_whole_word=True).get_next()
        rects = [page.get_charbox(at[0] + step) for step in range(at[1])]
        found.append((min(r[0] for r in rects), min(r[1] for r in rects), max(r[2] for r in rects),
                      max(r[3] for r in rects)))  # fmt: skip
    return found


def test_names_of_many_holes_stand_clear_of_each_other():
    holes = tuple(
        Opening(contour=Round(centre=(14.0 + 9 * i + (j % 3), 14.0 + 9 * j + (i % 4) * 0.7), diameter=4.4))
        for i in range(12) for j in range(6)
    )  # fmt: skip
    plate = Piece(
        name="crowd", outline=rectangle(140, 75), openings=holes, thickness=exact("t", 2), width=exact("w", 140),
        height=exact("h", 75), material="S235", is_metal=True,
    )  # fmt: skip
    seats = seats_of(plate)
    for one, other in itertools.combinations(seats, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
