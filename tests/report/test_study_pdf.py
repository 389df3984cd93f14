"""The study on paper: what stands on which page, and how text is broken and written."""

from __future__ import annotations

import io

import numpy as np
import pypdfium2
import pytest
from made_up import CANNOT, MET, NOT_MET, UNCHECKED, gap, result, scene
from matplotlib.image import imsave

from fitcheck.findings import Status
from fitcheck.report import pictures, study_pdf
from fitcheck.report.pdf_paper import FULL, PAGE, Column, Paper
from fitcheck.result_study import StudyResult


def texts(content: bytes) -> list[str]:
    """The text of each page, white space made single."""
    paper = pypdfium2.PdfDocument(content)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in paper]


def study(*findings, **more) -> StudyResult:
    return StudyResult(check=result(*findings, **more), balance=result(UNCHECKED, verb="balance"))


def made(study, drawn=None, made_on="2026-03-02") -> bytes:
    return study_pdf.render(study, drawn or {}, made_on=made_on, version="9.9")


@pytest.fixture
def paper():
    return Paper(title="Made up", foot="foot")


def test_the_first_page_has_the_verdict_and_what_decides_it():
    first = texts(made(study()))[0]
    for words in ("Crew shuttle, six-module proposal", "[X] DOES NOT FIT", "ab" * 32, "judged by worst case",
                  "2026-03-02", "What decides it, and what to do",
                  "gap between m1 and case (beginning of life): 3.70 to 4.70 mm",
                  "move m1 rear by 1.3 mm", "clearance and creepage: no potentials are given",
                  "2 values taken as exact", "lid.x, lid.y", "a guess: duct.mass"):  # fmt: skip
        assert words in first, words


def test_every_page_says_which_it_is_and_of_what():
    many = tuple(gap((f"m{number}", "case"), 6.0, 7.0, 8.0, 5.0, Status.MET) for number in range(150))
    pages = texts(made(study(*many)))
    assert len(pages) > 4
    for number, text in enumerate(pages, 1):
        assert text.endswith(f"page {number} of {len(pages)}"), text[-60:]
        assert "a calculation, not an approval · 2026-03-02 · abababababababab · fitcheck 9.9 · shuttle.yaml" in text
    heads = [text for text in pages if "found, judged band" in text]
    assert len(heads) >= 3
    assert sum(text.count("gap between m") for text in pages) == 150


def test_the_same_study_gives_the_same_bytes_and_another_date_others():
    assert made(study()) == made(study())
    assert made(study()) != made(study(), made_on="2026-03-03")


def test_too_many_findings_are_counted_and_the_worst_kept():
    many = tuple(gap((f"m{number}", "case"), 6.0, 7.0, 8.0, 5.0, Status.MET) for number in range(420))
    whole = " ".join(texts(made(study(*many, NOT_MET))))
    assert "22 further findings, none worse: see findings.csv." in whole
    assert "[X] not met" in whole


def test_both_ages_are_one_row_where_they_say_the_same():
    old = gap(("m1", "m2"), 3.5, 4.0, 4.5, 3.0, Status.MET, state="end of life")
    whole = " ".join(texts(made(study(MET, old, CANNOT))))
    assert whole.count("gap between m1 and m2") == 1
    assert "gap between m1 and m2, both ages" in whole


def test_pictures_are_on_it():
    drawn = pictures.render(scene(), result())
    without, with_them = (pypdfium2.PdfDocument(made(study(), some)) for some in ({}, drawn))
    assert len(with_them) > len(without)
    images = [item for page in with_them for item in page.get_objects() if item.type == 3]
    assert len(images) == sum(name.endswith(".png") for name in drawn)
    for image in images:
        left, bottom, right, top = image.get_bounds()
        assert left >= 0
        assert right <= PAGE[0] * 72 / 25.4
        assert bottom >= 0
        assert top <= PAGE[1] * 72 / 25.4


def test_foreign_letters_are_joined_and_unknown_ones_shown_as_boxes():
    hostile = gap(("مركبة", "車輌 <script>"), 3.7, 4.2, 4.7, 5.0, Status.NOT_MET)
    first = texts(made(study(hostile, title="عربة Größe")))[0]
    assert "Größe" in first
    assert "□□ <script>" in first
    assert "مركبة" in first  # the reader turns the joined letters, which stand there as they are seen, into plain ones


def test_a_long_word_is_broken_where_the_line_ends(paper):
    word = "x" * 500
    lines = paper.lines(word, 3.0, 50.0)
    assert "".join(lines) == word
    assert all(paper.wide(line, 3.0) <= 50.0 for line in lines)
    assert paper.wide(lines[0] + "x", 3.0) > 50.0


def test_no_word_is_lost_in_breaking(paper):
    text = "between every module and every enclosure " * 12
    lines = paper.lines(text.strip(), 2.7, 34.0)
    assert " ".join(lines).split() == text.split()
    assert all(paper.wide(line, 2.7) <= 34.0 for line in lines)


def test_rows_are_not_torn_and_their_head_comes_again(paper):
    columns = [Column(head="name", width=FULL / 2), Column(head="what", width=FULL / 2, right=True)]
    paper.table(columns, [(f"row {number}", "first\nsecond\nthird") for number in range(60)])
    pages = texts(paper.finished())
    assert len(pages) > 1
    for text in pages:
        assert text.startswith("name what")
        assert text.count("first") == text.count("second") == text.count("third") == text.count("row ")


def test_a_heading_is_a_bookmark_on_its_own_page(paper):
    paper.heading("One")
    paper.turn()
    paper.heading("Two")
    entries = list(pypdfium2.PdfDocument(io.BytesIO(paper.finished())).get_toc())
    assert [(entry.get_title(), entry.get_dest().get_index()) for entry in entries] == [("One", 0), ("Two", 1)]


def png(wide: int, tall: int) -> bytes:
    content = io.BytesIO()
    imsave(content, np.zeros((tall, wide, 3)), format="png")
    return content.getvalue()


def pages_of(paper) -> int:
    return len(pypdfium2.PdfDocument(paper.finished()))


def test_a_picture_is_as_wide_as_the_page(paper):
    top = paper.y
    paper.picture(png(180, 90))
    assert paper.y - top == pytest.approx(90.0 + 3.0, abs=1e-6)
    assert paper.tall(png(360, 180)) == pytest.approx(90.0, abs=1e-9)


def test_a_picture_taller_than_a_page_is_made_to_fit_under_a_heading(paper):
    tall = png(180, 900)
    paper.heading("Over it", room=12.0 + paper.tall(tall))
    paper.picture(tall)
    assert pages_of(paper) == 1


def test_two_pictures_of_half_a_page_go_on_one_with_a_heading_over_them(paper):
    half = png(1800, 1285)
    paper.heading("Over them", room=12.0 + paper.tall(half))
    paper.picture(half)
    paper.picture(half)
    assert pages_of(paper) == 1


def test_a_picture_that_would_have_to_be_much_smaller_goes_to_the_next_page(paper):
    paper.picture(png(180, 140))
    paper.picture(png(180, 140))
    assert pages_of(paper) == 2


def test_a_heading_stays_with_the_picture_under_it():
    whole = study_pdf.render(
        study(), {f"{name}.png": png(180, 150) for name in ("plan", "side", "end")}, made_on="2026-03-02", version="9.9"
    )
    pages = texts(whole)
    (headed,) = [number for number, text in enumerate(pages) if "The proposed build as written" in text]
    images = [
        sum(1 for one in page.get_objects() if one.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE)
        for page in pypdfium2.PdfDocument(whole)
    ]
    assert images[headed : headed + 3] == [1, 1, 1]


def test_a_text_leaves_room_at_its_end_where_it_is_told_to(paper):
    said = "many short words in one long line " * 9
    top = paper.y
    paper.text(said, 3.0)
    full = paper.y - top
    paper.text(said, 3.0, right=FULL / 2)
    assert paper.y - top - full > 1.8 * full
