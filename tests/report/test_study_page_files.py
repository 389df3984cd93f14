"""Links from the study page to the files beside it."""

from __future__ import annotations

import re
from dataclasses import replace

from made_up import NOT_MET, result, scene

from fitcheck.report.scene import Scenes
from fitcheck.report.study_page import study_page
from fitcheck.report.study_page.blocks import PageLook, groups
from fitcheck.report.study_page.files import links_of, lists_of
from fitcheck.report.workshop import made_words
from fitcheck.report.workshop.made import Made
from fitcheck.result_study import StudyResult

PAD = Made(name="pad <1>", kind="part", how="cut flat", quantity=4, material="PC", stem="pad-1__qty4__ü__t1.5",
           for_parts=("pad <1>",))  # fmt: skip
BAR = Made(name="bar", kind="part", how="by its drawing", quantity=1, material="PC", stem="bar", for_parts=("bar",))
FILES = (
    "solids/pad-1__qty4__ü__t1.5.step", "cutting/pad-1__qty4__ü__t1.5.dxf", "drawings/pad-1__qty4__ü__t1.5.pdf",
    "templates/pad-1__qty4__ü__t1.5.pdf", "cut_list.csv", "findings.csv",
)  # fmt: skip


def test_each_file_that_is_there_has_one_link():
    links = links_of((PAD, BAR), FILES)
    assert list(links) == [PAD.stem], "no link to what is not there"
    assert re.findall(r'href="([^"]+)"', links[PAD.stem]) == [
        "cutting/pad-1__qty4__%C3%BC__t1.5.dxf", "drawings/pad-1__qty4__%C3%BC__t1.5.pdf",
        "solids/pad-1__qty4__%C3%BC__t1.5.step",
    ]  # fmt: skip
    assert re.findall(r">([^<]+)</a>", links[PAD.stem]) == ["cut file DXF", "drawing PDF", "solid STEP"]
    assert 'aria-label="drawing PDF of pad &lt;1&gt;"' in links[PAD.stem]
    assert links_of((PAD, BAR), ()) == {}


def test_the_links_stand_under_the_name_that_the_files_share():
    (group,) = groups(made_words.section((PAD, BAR), PageLook(links=links_of((PAD, BAR), FILES))))[:1]
    assert f'<td>{PAD.stem}<br><span class="files"><a href="cutting/' in group.body
    assert "<td>bar</td>" in group.body


def test_the_lists_are_named_where_they_are_there():
    assert lists_of(FILES) == [("cut_list.csv", "cut_list.csv")]
    assert lists_of(("what_to_make.txt", *FILES)) == [
        ("what_to_make.txt", "what_to_make.txt"), ("cut_list.csv", "cut_list.csv"),
    ]  # fmt: skip
    assert lists_of(()) == []


def test_a_page_that_stands_alone_has_no_links_to_files():
    whole = result(NOT_MET)
    study = StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()))
    scenes = Scenes(original=scene(), proposed=scene())
    with_files, alone = (
        study_page(study, scenes, made_on="2026-03-02", version="1", made=(PAD,), files=files) for files in (FILES, ())
    )
    assert re.findall(r'href="([^#"]+)"', alone) == ["data:,"]
    linked = re.findall(r'href="([^#"]+)"', with_files)
    assert len(linked) == 5
    assert not any(re.match(r"(https?:)?//|/", address) for address in linked), "only beside the page"
