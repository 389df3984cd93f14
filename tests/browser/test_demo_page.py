"""The page of a worked scenario in a real browser: everything that a reader comes for is there and answers."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from fitcheck.checks.pages import PAGES
from fitcheck.report.cautions import WORKSHOP
from fitcheck.report.study_folder import Told
from fitcheck.report.study_folder import page as page_of
from fitcheck.run import study

LAYOUT = Path(__file__).parents[2] / "demo_geometry" / "07_taller_stack" / "layout.yaml"
STEPS = ("mat", "m1", "bolt_heads")


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    result, scenes = study(LAYOUT)
    told = Told(made_on="2026-03-02", version="9.9", pages=PAGES, steps=STEPS)
    path = tmp_path_factory.mktemp("demo") / "study.html"
    path.write_text(page_of(result, scenes, told), encoding="utf-8")
    return path


@pytest.fixture
def page(open_page, page_file):
    opened = open_page(page_file, width=1200, height=900)
    yield opened.page
    assert opened.troubles == []
    assert opened.requests == []


def drawn(page) -> None:
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def test_the_verdict_the_few_things_that_decide_it_and_what_to_do_come_first(page):
    top = page.locator("#verdict")
    assert top.locator("h2").inner_text().strip().lower() == "cannot tell"
    assert "clear height of bolt_heads and sheet" in top.locator(".deciding").inner_text()
    assert "lid_frame 34.00 mm" in top.inner_text()
    assert "not an approval" in top.inner_text()


def test_each_tight_place_has_its_section_and_its_band(page):
    plates = page.locator(".plate")
    assert plates.count() == 3
    for at in range(plates.count()):
        plate = plates.nth(at)
        assert plate.locator("svg.section").count() == 2
        assert plate.locator("svg.strip .limit").count() == 1
        assert "required" in plate.locator("svg.strip").text_content()


def test_both_builds_what_was_found_and_the_difference_can_be_chosen(page):
    offered = page.locator("#model .m3-builds input")
    values = [offered.nth(at).get_attribute("value") for at in range(offered.count())]
    assert values == ["original", "proposed", "solved", "difference"]


def test_the_steps_go_in_the_order_that_is_stated(page):
    slider = page.locator("#model .m3-steps input")
    for step, name in enumerate(STEPS, 1):
        slider.evaluate("(input, at) => { input.value = at; input.dispatchEvent(new Event('input')); }", step)
        assert page.locator("#model .m3-steps output").inner_text().endswith(f": {name}")
        assert name in page.evaluate("fitcheck3d.looking().shown")
    assert page.locator("#assembly ol li").all_inner_texts() == list(STEPS)
    assert "the assembly sequence of the layout" in page.locator("#model").inner_text()


def test_a_part_clicked_in_the_picture_has_its_findings_listed(page):
    page.evaluate("fitcheck3d.select('bolt_heads')")
    drawn(page)
    assert page.locator("#model .m3-found h3").inner_text() == "Found about bolt_heads with the heights found"
    assert page.locator("#model .m3-found button").count() > 1


def test_the_stack_is_a_loop_of_links_that_add_up(page):
    loop = page.locator("#heights .loop")
    assert loop.is_visible()
    text = loop.text_content()
    for link in ("case.inside.z", "lid_frame.height", "m1.z", "bolt_heads.z", "mat.z", "sheet.z", "left open"):
        assert link in text


def test_balance_stands_for_both_builds(page):
    assert page.locator("#balance th", has_text="original build").is_visible()
    assert page.locator("#balance th", has_text="proposed build").is_visible()


def test_every_check_that_was_run_has_its_page_with_its_source(page):
    pages = page.locator("#rules details.page")
    assert pages.count() >= 2
    for at in range(pages.count()):
        one = pages.nth(at)
        one.locator("summary").click()
        assert "Source" in one.locator("h3").all_inner_texts()
        assert one.locator("p").last.inner_text().strip()


def test_what_it_rests_on_the_hash_the_date_and_the_version_are_there(page):
    exact = page.locator("#basis .names li")
    assert page.locator("#basis").inner_text().count(f"{exact.count()} values have no tolerance") == 1
    block = page.locator("#study").inner_text()
    for words in (hashlib.sha256(LAYOUT.read_bytes()).hexdigest(), "2026-03-02", "9.9"):
        assert words in block


def test_all_cautions_are_there(page):
    said = page.locator("#cautions li").all_inner_texts()
    assert said[: len(WORKSHOP)] == list(WORKSHOP)


def test_it_prints_on_a_few_sheets_and_leaves_no_heading_alone(page):
    import pypdfium2

    printed = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True, print_background=True))
    assert 5 <= len(printed) <= 14
    for number in range(len(printed) - 1):
        text = printed[number].get_textpage().get_text_bounded().strip()
        assert not text.endswith(
            ("with part numbers", "The tightest places", "Heights and stack loops", "Rules and their sources")
        )
