"""Sheets on screen and on paper: letters large enough to read, and nothing written that runs off."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from made_up import CANNOT, MET, NOT_MET, result, scene
from made_up_paths import EVERY, board
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from fitcheck.report import path_view, section_view, sheet, views
from fitcheck.report.letters import broken, shortened, width
from fitcheck.report.pdf_paper import _SQUEEZED, FULL

LONG = "A title that somebody wrote to say all there is to say of a bay, its modules, its lid and its covers, at length"
LONG_NAME = "a_plus_of_a_name_that_is_sixty_letters_long_which_is_allowed"


def figures():
    drawn, electric = scene(), board()
    yield from views.sheets(drawn)
    yield from section_view.sheets(drawn, result(NOT_MET, CANNOT, MET))
    yield from path_view.sheets(electric, result(*EVERY))


def long_figures():
    drawn = replace(scene(), title=LONG)
    yield from views.sheets(drawn)
    yield from section_view.sheets(drawn, result(NOT_MET, CANNOT, MET))
    parts = tuple(replace(part, name=LONG_NAME if part.name == "a_plus" else part.name) for part in board().parts)
    findings = [
        replace(one, parts=tuple(LONG_NAME if name == "a_plus" else name for name in one.parts)) for one in EVERY
    ]
    yield from path_view.sheets(replace(board(), title=LONG, parts=parts), result(*findings))


def test_the_smallest_letters_are_six_points_high_on_paper():
    on_paper = FULL / 25.4 / sheet.WIDTH * _SQUEEZED
    sizes = {text.get_fontsize() for _, figure in figures() for text in figure.findobj(Text) if text.get_text().strip()}
    assert len(sizes) >= 3
    assert min(sizes) * on_paper >= 6.0


@pytest.mark.parametrize("made", [figures, long_figures])
def test_nothing_written_runs_off_the_sheet(made):
    count = 0
    for name, figure in made():
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        pen = canvas.get_renderer()
        whole = shapely.box(*figure.bbox.extents)
        for text in (*figure.texts, *(text for axes in figure.axes for text in axes.texts)):
            assert whole.covers(shapely.box(*text.get_window_extent(pen).extents)), (name, text.get_text())
            count += 1
    assert count > 50


def test_what_stands_under_a_title_is_wrapped():
    titled = sheet.new_sheet(4.0, LONG, f"{LONG}; {LONG}")
    first, *lines = [text.get_text() for text in titled.texts]
    assert first.startswith("A title that somebody wrote")
    assert first.endswith("…")
    assert " ".join(lines) == f"{LONG}; {LONG}"
    assert len(lines) == 2


def test_a_text_is_shortened_to_its_room():
    most = 100.0
    short = shortened(LONG, 8.0, most)
    assert LONG.startswith(short.removesuffix("…"))
    assert width(short, 8.0) <= most < width(short.replace("…", "nnn…"), 8.0)
    assert shortened("as it is", 8.0, most) == "as it is"
    assert shortened("any", 8.0, 0.0) == "…"


def test_lines_are_broken_at_spaces():
    lines = broken(LONG, 8.0, 150.0)
    assert " ".join(lines) == LONG
    assert all(width(line, 8.0) <= 150.0 for line in lines)
    assert broken("", 8.0, 150.0) == [""]
    assert [line[-1] for line in broken("short " + "n" * 99, 8.0, 150.0)] == ["t", "…"]


def test_a_letter_that_the_typeface_lacks_is_measured_without_a_word():
    assert width("電池 ⚡", 8.0) > 0.0


def test_the_key_of_a_section_names_what_is_enlarged():
    (name, figure), *_ = section_view.sheets(scene(), result(NOT_MET))
    said = [text.get_text() for text in figure.texts]
    assert name == "section_1"
    assert any(text.startswith("m1 (") for text in said)
    assert not any(text.startswith("m2 (") for text in said)
