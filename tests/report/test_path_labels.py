"""Where figures stand in a picture: clear of each other, of the path, of what is written, and inside the frame."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import pytest
import shapely
from made_up import result
from made_up_paths import CROWDED, EVERY, board
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from fitcheck import run
from fitcheck.report import path_view, sheet
from fitcheck.report.letters import width
from fitcheck.report.path_labels import Label, Wanted, labels, over_piece, seen_of
from fitcheck.report.path_legs import Over, critical, path_of

FRAME = (0.0, 0.0, 360.0, 252.0)
INK = "#17507d"
"""The colour in which a path is drawn."""
DEMOS = Path(__file__).parents[2] / "demo_geometry"


def wanted(corners, wide=40.0, **more) -> list[Wanted]:
    return [Wanted(text=str(leg), size=(wide, 15.0), leg=leg, **more) for leg in pairwise(corners)]


def line_of(corners):
    return shapely.LineString(corners).buffer(4.0)


def assert_clear(placed: list[Label], path, taken=()):
    for one, other in combinations(placed, 2):
        assert shapely.intersection(one.box, other.box).area == pytest.approx(0.0, abs=1e-9)
    lines = {number: shapely.LineString(one.leader) for number, one in enumerate(placed) if one.led}
    for number, line in lines.items():
        assert not any(line.intersects(one.box) for at, one in enumerate(placed) if at != number)
        assert not any(line.intersects(other) for at, other in lines.items() if at != number)
    for one in placed:
        assert not one.box.intersects(path)
        assert shapely.box(*FRAME).covers(one.box)
        assert not any(one.covered.intersects(each) for each in taken)


STEP = [(100.0, 100.0), (100.0, 160.0), (116.0, 160.0), (116.0, 100.0), (140.0, 100.0)]


def test_figures_stand_beside_their_legs_where_there_is_room():
    placed = labels(wanted(STEP), frame=FRAME, path=line_of(STEP))
    assert len(placed) == 4
    assert_clear(placed, line_of(STEP))
    assert [one.led for one in placed][:2] == [False, False]
    assert all(
        one.box.distance(shapely.LineString(leg)) < 16.0 for one, leg in zip(placed[:2], pairwise(STEP), strict=False)
    )


def test_where_there_is_no_room_beside_it_a_figure_is_led_to_its_leg():
    corners = [(150.0 + 6.0 * step, 126.0 + 2.0 * (step % 2)) for step in range(11)]
    placed = labels(wanted(corners), frame=FRAME, path=line_of(corners))
    assert len(placed) == 10
    assert_clear(placed, line_of(corners))
    led = [(one, leg) for one, leg in zip(placed, pairwise(corners), strict=True) if one.led]
    assert len(led) >= 5
    for one, leg in led:
        start, end = one.leader
        assert shapely.Point(start).distance(shapely.LineString(leg)) == pytest.approx(0.0, abs=1e-9)
        assert shapely.Point(end).distance(one.box.exterior) == pytest.approx(0.0, abs=1e-9)


def test_what_is_taken_stays_free():
    taken = [shapely.box(0.0, 0.0, 360.0, 92.0), shapely.box(0.0, 170.0, 360.0, 252.0)]
    placed = labels(wanted(STEP), frame=FRAME, path=line_of(STEP), taken=taken)
    assert len(placed) == 4
    assert_clear(placed, line_of(STEP), taken)


def test_what_finds_no_room_is_left_out():
    assert labels(wanted(STEP, wide=361.0), frame=FRAME, path=line_of(STEP)) == []
    full = [shapely.box(*FRAME)]
    assert labels(wanted(STEP), frame=FRAME, path=line_of(STEP), taken=full) == []


def test_no_line_is_longer_than_it_may_be():
    leg, round_it = [(170.0, 126.0), (190.0, 126.0)], shapely.box(110.0, 60.0, 250.0, 190.0)
    (placed,) = labels(wanted(leg), frame=FRAME, path=round_it)
    length = shapely.Point(placed.of).distance(shapely.Point(placed.at))
    assert 66.0 < length < 80.0
    assert labels(wanted(leg, far=length + 0.1), frame=FRAME, path=round_it) == [placed]
    assert labels(wanted(leg, far=length - 0.1), frame=FRAME, path=round_it) == []


def test_a_leg_of_no_length_gets_its_figure_too():
    (placed,) = labels(
        [Wanted(text="a", size=(9.0, 9.0), leg=((50.0, 50.0), (50.0, 50.0)))], frame=FRAME, path=line_of(STEP)
    )
    assert placed.box.distance(shapely.Point(50.0, 50.0)) == pytest.approx(3.6, abs=1e-9)


def test_a_line_is_named_where_the_path_does_not_cover_it():
    ends = seen_of(((0.0, 0.0), (100.0, 0.0)), shapely.box(-5.0, -5.0, 60.0, 5.0))
    assert ends == ((60.0, 0.0), (100.0, 0.0))
    hidden = ((0.0, 0.0), (10.0, 0.0))
    assert seen_of(hidden, shapely.box(-5.0, -5.0, 60.0, 5.0)) == hidden


def test_a_letter_over_a_piece_keeps_off_its_ends_and_the_mark():
    assert over_piece(0.0, 40.0, 10.0, 90.0) == 20.0
    assert over_piece(0.0, 40.0, 10.0, 21.0) == 10.0
    assert over_piece(0.0, 40.0, 10.0, 7.0) == 20.0
    assert over_piece(0.0, 9.0, 10.0, 90.0) is None
    assert over_piece(0.0, 16.0, 10.0, 8.0) is None


def test_bold_letters_are_wider_and_width_goes_with_the_size():
    assert width("a 6.00", 12.0, bold=True) > width("a 6.00", 12.0) > 30.0
    assert width("a 6.00", 24.0) == pytest.approx(2.0 * width("a 6.00", 12.0), rel=1e-9)


# ---- the pictures, measured


def boxes_of(axes) -> list[tuple[str, object]]:
    """(text, its box in dots) of all that is written in a picture, numbers in their rings included."""
    canvas = FigureCanvasAgg(axes.figure)
    pen = canvas.get_renderer()
    canvas.draw()
    found = []
    for text in axes.findobj(Text):
        if text.get_text():
            patch = text.get_bbox_patch()
            extent = text.get_window_extent(pen) if patch is None else patch.get_window_extent(pen)
            found.append((text.get_text(), shapely.box(*extent.extents)))
    for line in axes.lines:
        if line.get_marker() == "o" and line.get_markersize() > 10.0:
            half = line.get_markersize() / 2 / 72 * axes.figure.dpi
            (x, y) = axes.transData.transform(line.get_xydata()[0])
            found = [(said, box) for said, box in found if not box.covers(shapely.Point(x, y))]
            found.append(("ring", shapely.Point(x, y).buffer(half)))
    return found


def assert_nothing_covered(figure):
    detail = figure.axes[-1]
    found = boxes_of(detail)
    frame = shapely.box(*detail.bbox.extents)
    for (said, one), (other_said, other) in combinations(found, 2):
        assert shapely.intersection(one, other).area < 0.5, (said, other_said)
    for said, box in found:
        assert frame.covers(box), said
    legs = [line for line in detail.lines if line.get_color() == INK and len(line.get_xydata()) == 2]
    assert legs
    for leg in legs:
        half = leg.get_linewidth() / 2 / 72 * detail.figure.dpi
        line = shapely.LineString(detail.transData.transform(leg.get_xydata())).buffer(half)
        assert not [said for said, box in found if box.intersects(line)]


@pytest.mark.parametrize("name", CROWDED)
def test_nothing_written_covers_anything_on_a_crowded_plate(name):
    ((_, figure),) = path_view.sheets(board(), result(CROWDED[name]))
    assert_nothing_covered(figure)
    said = {text.get_text() for text in figure.axes[-1].texts}
    legs = path_of(CROWDED[name], board()).legs
    if len(legs) <= 10:
        assert {f"{leg.mark} {leg.length:.2f}" for leg in legs} <= said
        assert any(text.startswith("straight across ") for text in said)
    else:
        assert len({leg.mark for leg in legs} & said) >= len(legs) * 0.6


@pytest.mark.parametrize("finding", EVERY)
def test_nothing_written_covers_anything_on_a_plain_plate(finding):
    ((_, figure),) = path_view.sheets(board(), result(finding))
    assert_nothing_covered(figure)
    assert {leg.mark for leg in path_of(finding, board()).legs} <= {
        text.get_text().split()[0] for text in figure.axes[-1].texts
    }


@pytest.mark.parametrize("demo", ["09_live_terminals", "10_terminal_ribs", "13_two_rule_sets"])
def test_nothing_written_covers_anything_on_the_plates_of_the_demos(demo):
    study, scenes = run.study(DEMOS / demo / "layout.yaml")
    figures = list(path_view.sheets(scenes.proposed, study.check))
    assert len(figures) == len(critical(study.check.findings, scenes.proposed, study.check.judge_by)) >= 2
    for _, figure in figures:
        assert_nothing_covered(figure)


def test_a_text_keeps_off_an_outline_where_another_place_is_as_near():
    one = Wanted(text="a", size=(4.0, 1.0), leg=((-3.0, 0.0), (3.0, 0.0)))
    frame = (-20.0, -20.0, 20.0, 20.0)
    path = shapely.LineString(one.leg).buffer(0.2)
    for side in (1.0, -1.0):
        edge = shapely.LineString([(-10.0, side), (10.0, side)])
        (placed,) = labels([one], frame=frame, path=path, shown=edge)
        assert not placed.box.intersects(edge)
        assert not placed.led


def test_a_short_bridge_shows_its_dashes():
    axes = sheet.bare_axes(sheet.new_sheet(4.0, "A board", ""), (0.3, 0.3, 4.0, 3.0), (0.0, 0.0, 40.0, 30.0))
    for length in (0.3, 1.0, 30.0):
        style = path_view.line_style(axes, Over.BRIDGED, length)
        _, pattern = style["linestyle"]
        points = 72.0 * length / sheet.mm_per_inch(axes)
        assert (sum(pattern) + pattern[0]) * style["linewidth"] <= points + 1e-9
    assert pattern == (7.0, 2.0, 1.5, 2.0)
    assert path_view.line_style(axes, Over.SURFACE, 0.3)["linestyle"] == "-"
