"""The folder of a study: what it says that it rests on, and which of its files is for whom."""

from __future__ import annotations

import hashlib
import html
import io

import openpyxl
import pypdfium2
import pytest
from test_files_read import BLOCK, TWICE

from fitcheck import run
from fitcheck.cli.folder import SUMS as WRITTEN_SUMS
from fitcheck.report import study_folder
from fitcheck.report.environment import in_words
from fitcheck.report.study_folder import SUMS, Told

SHA = hashlib.sha256(BLOCK.encode()).hexdigest()
TOLD = Told(made_on="2026-03-02", version="9.9", pages={})


def all_of(layout):
    """(files of a study, the page without the layout)."""
    written = run.study_of(layout)
    study, scenes = run.whole_study(written)
    files = study_folder.files(study, scenes, written.layout, TOLD, lambda _: None)
    return files, study_folder.page(study, scenes, TOLD)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The same of a layout with a mesh in it, and where that lies."""
    place = tmp_path_factory.mktemp("study")
    (place / "block.off").write_text(BLOCK)
    (place / "layout.yaml").write_text(TWICE)
    return (*all_of(place / "layout.yaml"), place / "layout.yaml")


def paper(content: bytes) -> str:
    pages = pypdfium2.PdfDocument(content)
    return "".join("".join(page.get_textpage().get_text_range().split()) for page in pages)


def test_the_page_says_which_files_it_rests_on_and_what_worked_it_out(made):
    text = html.unescape(made[0]["study.html"].decode())
    assert text.count(f"block.off, the shape of a and c: SHA-256 {SHA}") == 1
    assert f"fitcheck 9.9 with {in_words()}" in text


def test_a_page_that_is_not_told_the_layout_names_no_files_but_the_programs(made):
    assert SHA not in made[1]
    assert in_words() in html.unescape(made[1])


def test_so_does_the_paper(made):
    said = paper(made[0]["study.pdf"])
    assert "".join(f"file: block.off, the shape of a and c: SHA-256 {SHA}".split()) in said
    assert "".join(f"worked out with {in_words()}".split()) in said


def test_so_does_the_workbook(made):
    book = openpyxl.load_workbook(io.BytesIO(made[0]["study.xlsx"]))
    rows = {str(row[0]): str(row[1]) for row in book["About"].iter_rows(values_only=True) if row[0]}
    assert rows["file that it names"] == f"block.off, the shape of a and c: SHA-256 {SHA}"
    assert rows["made by"] == f"fitcheck 9.9, with {in_words()}"


def test_the_index_names_the_list_of_sums_and_says_what_it_is_for(made):
    lines = made[0]["START_HERE.txt"].decode().splitlines()
    at = next(number for number, line in enumerate(lines) if line.split()[:1] == [SUMS])
    said = " ".join(" ".join(lines[at : at + 2]).split())
    assert "the SHA-256 of each file here: tells whether one was changed since" in said
    assert lines.index("For the inspector") < at < lines.index("For the shop that cuts and for the store")


def test_the_list_of_sums_is_what_is_written():
    assert SUMS == WRITTEN_SUMS


def test_the_same_study_gives_the_same_files(made):
    again, _ = all_of(made[2])
    assert again == made[0]
