from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workshop_layouts import HOSTILE, work_of

from fitcheck.makeable.contour import Loop, Round, ring_of
from fitcheck.makeable.templates import AROUND_MM, Template
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.tiles import OVERLAP, PAPERS, column_name, render, tiling

ORIGIN = Origin(title="Bench", layout_file="bench.yaml", sha256="ab" * 32, made_on="2026-03-02", general="")
TEMPLATES = {template.name: template for template in work_of().templates}
HUNDRED_MM = 283.4645669
"""100 mm in points of 1/72 inch."""


def frame(width: float, height: float) -> Template:
    outer = Loop(corners=((0, 0), (width, 0), (width, height), (0, height)))
    return Template(name="frame", contours=(outer,), centres=(), says=("a frame",))


def paths(content: bytes, page: int) -> list[tuple[float, float, float, float]]:
    """(left, bottom, width, height) in points of everything drawn as a path."""
    import pypdfium2
    import pypdfium2.raw as raw

    found = []
    for item in pypdfium2.PdfDocument(content)[page].get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = item.get_bounds()
        found.append((left, bottom, right - left, top - bottom))
    return found


def page_count(content: bytes) -> int:
    import pypdfium2

    return len(pypdfium2.PdfDocument(content))


def bars(content: bytes, page: int) -> list[tuple[float, float]]:
    """(across, upright) lengths of straight lines in points. The reader adds twice the line's width to both sides of
    its box, so the shorter side is that width and the difference is the length."""
    found = []
    for _, _, wide, high in paths(content, page):
        if min(wide, high) < 2.0:
            found.append((max(wide - high, 0.0), max(high - wide, 0.0)))
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_every_page_has_its_bars_of_a_hundred_millimetres(paper, name):
    content = render(TEMPLATES[name], paper, ORIGIN)
    for page in range(page_count(content)):
        across, upright = zip(*bars(content, page), strict=True)
        assert any(length == pytest.approx(HUNDRED_MM, abs=0.003) for length in across)
        is_map = page_count(content) > 1 and page == 0
        assert is_map or any(length == pytest.approx(HUNDRED_MM, abs=0.003) for length in upright)


def test_the_ticks_of_the_bar_stand_ten_millimetres_apart():
    ticks = sorted(
        x for x, y, wide, high in paths(render(TEMPLATES["pad_1"], "A4", ORIGIN), 0) if wide < 2.0 and high < 20.0
    )
    assert len(ticks) == 11
    steps = [b - a for a, b in itertools.pairwise(ticks)]
    assert steps == pytest.approx([HUNDRED_MM / 10.0] * 10, abs=0.003)


def test_the_outline_is_full_size():
    """Of the box of the outline, the reader's twice 0.3 mm for the line's width are taken off."""
    found = paths(render(TEMPLATES["pad_1"], "A4", ORIGIN), 0)
    sizes = [(wide * 25.4 / 72.0 - 0.6, high * 25.4 / 72.0 - 0.6) for _, _, wide, high in found]
    assert any(size == pytest.approx((60.0, 40.0), abs=0.002) for size in sizes)


def test_the_viewer_is_told_not_to_fit_the_page():
    content = render(TEMPLATES["pad_1"], "A4", ORIGIN)
    assert b"/PrintScaling /None" in content


@given(st.floats(20, 2500), st.floats(20, 2500), st.sampled_from(sorted(PAPERS)))
def test_every_point_of_the_outline_lies_on_a_page_with_room_around(width, height, paper):
    template = frame(width, height)
    plan = tiling(template, paper)
    ring = ring_of(template.contours[0])
    points = [
        (x + share * (a - x), y + share * (b - y))
        for (x, y), (a, b) in zip(ring, (*ring[1:], ring[0]), strict=True)
        for share in (0.0, 0.21, 0.5, 0.77)
    ]
    for x, y in points:
        assert any(
            tile.low[0] <= x <= tile.low[0] + plan.window[0] and tile.low[1] <= y <= tile.low[1] + plan.window[1]
            for tile in plan.tiles
        )
    low = (min(tile.low[0] for tile in plan.tiles), min(tile.low[1] for tile in plan.tiles))
    assert max(low[0] + AROUND_MM, low[1] + AROUND_MM) <= 1e-9


@given(st.floats(20, 2500), st.floats(20, 2500), st.sampled_from(sorted(PAPERS)))
def test_neighbours_overlap_by_the_same_strip(width, height, paper):
    plan = tiling(frame(width, height), paper)
    at = {(tile.column, tile.row): tile for tile in plan.tiles}
    for (column, row), tile in at.items():
        right, below = at.get((column + 1, row)), at.get((column, row + 1))
        if right is not None:
            assert tile.low[0] + plan.window[0] - right.low[0] == pytest.approx(OVERLAP, abs=1e-9)
            assert tile.low[1] == right.low[1]
        if below is not None:
            assert below.low[1] + plan.window[1] - tile.low[1] == pytest.approx(OVERLAP, abs=1e-9)


def test_pages_that_would_stay_empty_are_left_out_and_the_others_counted():
    plan = tiling(frame(1207, 746), "A4")
    assert (plan.columns, plan.rows) == (7, 3)
    assert len(plan.tiles) == 21 - 5, "the middle row shows its two ends only"
    assert [tile.page for tile in plan.tiles] == list(range(2, 18))
    assert page_count(render(frame(1207, 746), "A4", ORIGIN)) == 17
    assert page_count(render(frame(100, 100), "A4", ORIGIN)) == 1


def test_one_template_for_each_outline_and_a_pattern_for_screws_without_a_part():
    assert set(TEMPLATES) == {"pad_1", "pad_2", HOSTILE, "angle", "washer", "s2 drilling"}
    pattern = TEMPLATES["s2 drilling"]
    assert [centre.at for centre in pattern.centres] == [(0.0, 0.0), (160.0, 0.0), (0.0, 60.0)]
    assert pattern.contours[0] == Round(centre=(0.0, 0.0), diameter=5.5)
    assert any("x 100, y 400 from the case datum" in text for text in pattern.says)


def test_columns_are_named_like_a_spreadsheet():
    assert [column_name(index) for index in (0, 1, 25, 26, 27, 52)] == ["A", "B", "Z", "AA", "AB", "BA"]


def test_a_template_is_the_same_file_again():
    for name in TEMPLATES:
        assert render(TEMPLATES[name], "A4", ORIGIN) == render(TEMPLATES[name], "A4", ORIGIN)


def test_the_paper_lies_the_way_that_takes_fewer_sheets():
    """A pad of 360 x 150: three sheets upright, two on their sides."""
    plan = tiling(frame(360, 150), "A4")
    assert plan.page == (297.0, 210.0)
    assert len(plan.tiles) == 2
    assert tiling(frame(150, 240), "A4").page == (210.0, 297.0)
    assert tiling(frame(100, 100), "A4").page == (210.0, 297.0), "upright where it makes no difference"
    content = render(frame(360, 150), "A4", ORIGIN)
    import pypdfium2

    sizes = [page.get_size() for page in pypdfium2.PdfDocument(content)]
    assert sizes == [pytest.approx((297.0 * 72 / 25.4, 210.0 * 72 / 25.4), abs=0.01)] * 3
