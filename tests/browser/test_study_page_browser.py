"""The study page in a real browser: it opens from a file, sorts, filters, flies, prints and works by keyboard alone."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from playwright.sync_api import expect

from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.study_page import study_page
from fitcheck.report.workshop.made import Made
from fitcheck.result import Result, verdict
from fitcheck.result_study import StudyResult
from fitcheck.sources import PRACTICE

HOSTILE = "<img src=x onerror=alert(1)>"
LONG = "a name as long as names may be, with no break_in_any_word_of_it"[:60]

RULE = Rule(name="every module – every enclosure", text="weld beads", source=PRACTICE)
QUADS = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
FACES = np.array([face for a, b, c, d in QUADS for face in ((a, b, c), (a, c, d))])


def box(name, role, change, low, high) -> DrawnPart:
    low, high = np.asarray(low, float), np.asarray(high, float)
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * (high - low) + low
    return DrawnPart(name=name, role=role, change=change, vertices=corners, faces=FACES)


def finding(check, parts, value, required, status, x, **more) -> Finding:
    return Finding(
        check=check, parts=parts, build="proposed", status=status, rule=RULE, unit="mm", required=required,
        band=Band(value=value, low=value - 1, high=value + 1, rss_low=value - 0.5, rss_high=value + 0.5),
        points=((x, 50.0, 50.0), (x + value, 50.0, 50.0)), **more,
    )  # fmt: skip


PARTS = (
    box("column", "column", "retained", (110, 0, 0), (120, 100, 120)),
    box("m1", "module", "new", (0, 0, 0), (100, 100, 100)),
    box(HOSTILE, "module", "new", (140, 0, 0), (240, 100, 100)),
    box(LONG, "module", "new", (260, 0, 0), (360, 100, 100)),
)
FINDINGS = (
    finding("gap", (HOSTILE, LONG), 20.0, 5.0, Status.MET, 240.0),
    finding("gap", ("m1", "column"), 10.0, 12.0, Status.NOT_MET, 100.0, mend="move m1 forward by 3 mm"),
    finding("clearance", ("column", HOSTILE), 20.0, 20.5, Status.CANNOT_TELL, 120.0, settle_by="column.x to ± 0.1 mm"),
    replace(finding("overlap", ("m1", LONG), 1.0, 0.0, Status.MET, 100.0), points=None),
)


def written(folder, findings, *, parts=PARTS, **more):
    def scene(build):
        return Scene(title="Bay", build=build, axes=("rearward", "right", "up"), parts=parts)

    whole = Result(
        verb="check", file="bay.yaml", title="Bay", sha256="ab" * 32, judge_by="worst case", verdict=verdict(findings),
        findings=findings, not_covered=("vibration",), taken_as_exact=(), guesses=(),
    )  # fmt: skip
    study = StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()))
    scenes = Scenes(original=scene("original"), proposed=scene("proposed"))
    path = folder / "study.html"
    pages = {"gap": "Gap\n\nSource\n    None\n"}
    text = study_page(study, scenes, made_on="2026-03-02", version="1", pages=pages, **more)
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    return written(tmp_path_factory.mktemp("study"), FINDINGS)


@pytest.fixture(scope="module")
def flat_file(tmp_path_factory):
    """The same without anything to draw, which opens sooner: for tests that need no 3D view."""
    return written(tmp_path_factory.mktemp("flat"), FINDINGS, parts=())


@pytest.fixture
def flat(open_page, flat_file):
    opened = open_page(flat_file, width=1100, height=800)
    yield opened.page
    assert opened.troubles == []
    assert opened.requests == []


@pytest.fixture
def page(open_page, page_file):
    """Whatever a test does, the page must not complain and must not ask for anything."""
    opened = open_page(page_file, width=1100, height=800)
    yield opened.page
    assert opened.troubles == []
    assert opened.requests == []


def shown(page) -> list[str]:
    """The parts of the rows that are seen, from top to bottom."""
    return page.eval_on_selector_all(
        ".findings tbody tr", "rows => rows.filter((r) => r.offsetHeight > 0).map((r) => r.dataset.parts)"
    )


def heard(page) -> list[int]:
    return page.evaluate("window.heard")


def listen(page) -> None:
    page.evaluate(
        "window.heard = []; document.addEventListener('fitcheck:finding', (event) => window.heard.push(event.detail))"
    )


FIRST, SECOND, THIRD = "m1\ncolumn", f"column\n{HOSTILE}", f"{HOSTILE}\n{LONG}"


def test_it_opens_from_the_file_system_with_the_worst_first(page):
    assert page.locator("#verdict-title").inner_text().strip().lower() == "does not fit"
    assert shown(page) == [FIRST, SECOND, THIRD]
    assert page.locator("#shown").inner_text() == "3 of 4 rows"


def test_the_3d_view_is_alive(page):
    assert page.locator("#model").get_attribute("data-state") == "on"


def test_pairs_that_merely_do_not_overlap_are_listed_when_asked_for(flat):
    flat.get_by_label("rows that only say that two parts do not overlap").check()
    assert len(shown(flat)) == 4


def test_filters_by_part_status_and_check(flat):
    flat.get_by_label("Part name holds").fill("M1")
    assert shown(flat) == [FIRST]
    assert flat.locator("#shown").inner_text() == "1 of 4 rows"
    flat.get_by_role("button", name="Show all again").click()
    expect(flat.locator("#shown")).to_have_text("3 of 4 rows")
    flat.get_by_label("Check").select_option("clearance")
    assert shown(flat) == [SECOND]
    flat.get_by_label("Check").select_option("")
    flat.locator(".filters").get_by_label("not met").uncheck()
    assert shown(flat) == [SECOND, THIRD]


def test_sorting_by_a_head_says_so_and_turns_round(flat):
    head = flat.locator("th[data-sort=left]")
    head.get_by_role("button").click()
    assert head.get_attribute("aria-sort") == "ascending"
    assert flat.locator("th[aria-sort]").count() == 1
    assert shown(flat) == [FIRST, SECOND, THIRD]
    head.get_by_role("button").click()
    assert head.get_attribute("aria-sort") == "descending"
    assert shown(flat) == [THIRD, SECOND, FIRST]
    flat.locator("th[data-sort=found]").get_by_role("button").click()
    assert shown(flat) == [FIRST, SECOND, THIRD]


def test_a_click_on_a_row_flies_to_its_finding_and_back(page):
    listen(page)
    row = page.locator("#f1")
    row.locator("td").nth(1).click()
    assert heard(page) == [1]
    assert row.get_attribute("aria-current") == "true"
    page.wait_for_function("!window.fitcheck3d.looking().flying")
    target = page.evaluate("window.fitcheck3d.looking().target")
    assert target == pytest.approx([105.0, 50.0, 50.0], abs=1.0)
    assert page.locator("#model canvas").is_visible()
    page.get_by_role("button", name="Back to where I was").click()
    assert page.evaluate("document.activeElement.dataset.finding") == "1"


def test_a_plate_flies_to_its_finding_too(page):
    listen(page)
    page.locator(".plate button.fly").first.click()
    assert heard(page) == [1]


def test_opening_the_facts_of_a_row_does_not_fly(flat):
    listen(flat)
    flat.locator("#f1 summary").click()
    assert "move m1 forward by 3 mm" in flat.locator("#f1 dl").inner_text()
    flat.keyboard.press("Escape")
    assert not flat.locator("#f1 dl").is_visible()
    assert heard(flat) == []


def test_a_part_chosen_in_3d_has_its_findings_listed(page):
    page.evaluate("document.dispatchEvent(new CustomEvent('fitcheck:part', { detail: 'm1' }))")
    assert "m1: 2 in the list of findings" in page.locator(".back").inner_text()
    page.get_by_role("button", name="List them").click()
    expect(page.locator("#shown")).to_have_text("1 of 4 rows")
    assert shown(page) == [FIRST]


def test_the_list_of_parts_leads_to_their_findings(page):
    page.get_by_text("The 4 parts by number").click()
    page.get_by_role("button", name="2 findings about column: list them").click()
    expect(page.locator("#shown")).to_have_text("2 of 4 rows")
    assert shown(page) == [FIRST, SECOND]


def test_keys_alone_sort_fly_and_come_back(page):
    listen(page)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#verdict"
    page.locator("th[data-sort=check] button").focus()
    page.keyboard.press("Enter")
    assert shown(page) == [SECOND, FIRST, THIRD]
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('button.fly')"):
            break
    page.keyboard.press("Enter")
    assert heard(page) == [2]
    assert page.evaluate("document.activeElement.tagName") == "CANVAS"
    page.get_by_role("button", name="Back to where I was").press("Enter")
    assert page.evaluate("document.activeElement.dataset.finding") == "2"


def test_the_focus_can_be_seen(flat):
    flat.keyboard.press("Tab")
    flat.keyboard.press("Tab")
    style = "getComputedStyle(document.activeElement)"
    assert flat.evaluate(f"[{style}.outlineStyle, parseFloat({style}.outlineWidth) >= 2]") == ["solid", True]


def test_a_hostile_name_is_text_everywhere(page):
    assert page.locator("img[onerror]").count() == 0
    page.get_by_label("Part name holds").fill(HOSTILE)
    assert shown(page) == [SECOND, THIRD]
    page.evaluate("(name) => document.dispatchEvent(new CustomEvent('fitcheck:part', { detail: name }))", HOSTILE)
    assert HOSTILE in page.locator(".back").inner_text()
    assert page.locator("img[src=x]").count() == 0


def test_a_link_opens_what_it_leads_to(flat):
    flat.locator("#f1 summary").click()
    flat.locator("#f1 dl a[href^='#rule-']").click()
    assert flat.locator("#rule-1").is_visible()
    flat.get_by_label("Part name holds").fill("nothing like it")
    flat.locator(".deciding a[href='#f1']").click()
    expect(flat.locator("#f1")).to_be_visible()
    assert flat.locator("#f1 dl").is_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_phone_shows_all_without_moving_sideways(open_page, page_file, scheme):
    opened = open_page(page_file, width=390, height=844, scheme=scheme, touch=True)
    page = opened.page
    page.eval_on_selector_all("details", "all => all.forEach((each) => (each.open = true))")
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.get_by_role("button", name="3D: gap between m1 and column", exact=True).click()
    assert page.locator(".back").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    assert opened.troubles == []


SEEN = """new Promise((done) => {
  const watch = new IntersectionObserver(([entry]) => {
    if (entry.isIntersecting) { watch.disconnect(); setTimeout(done, 50); }
  });
  watch.observe(document.getElementById('model'));
})"""
"""Wait until the browser itself says that the 3D section is on the screen."""


@pytest.mark.parametrize("width", [390, 1100])
def test_what_was_shown_is_told_below_the_picture_and_goes_by_itself(open_page, page_file, width):
    page = open_page(page_file, width=width, height=844).page
    told = page.locator(".back [role=status]")
    assert told.count() == 1, "the place is there before the words, so that they are read out"
    assert told.text_content() == ""
    page.locator(".plate button.fly").first.click()
    assert "Shown in 3D: gap between m1 and column" in told.inner_text()
    stage, bar = (page.locator(name).bounding_box() for name in ("#model .m3-stage", ".back"))
    assert bar["y"] >= stage["y"] + stage["height"], "nothing lies over the picture"
    assert page.locator(".back").evaluate("(bar) => getComputedStyle(bar).position") == "static"
    page.evaluate("document.getElementById('model').scrollIntoView()")
    page.evaluate(SEEN)
    page.evaluate("document.getElementById('cautions').scrollIntoView()")
    expect(told).to_have_text("")
    expect(page.get_by_role("button", name="Back to where I was")).to_have_count(0)


def test_each_button_to_the_3d_view_has_a_name_of_its_own(page):
    names = page.eval_on_selector_all("button.fly", "all => all.map((one) => one.getAttribute('aria-label'))")
    assert len(names) == len(set(names)) > 3
    texts = page.eval_on_selector_all(".plate button.fly", "all => all.map((one) => one.textContent)")
    assert all(name.startswith(text) for name, text in zip(names, texts, strict=False))
    assert names[0] == "See it in 3D: gap between m1 and column"


@pytest.mark.parametrize("width", [1030, 1100, 1280, 1400])
def test_a_status_never_breaks_however_long_the_names_are(open_page, tmp_path, width):
    long = "a_name_without_any_place_to_break_it_that_goes_on_and_on_as_far"
    parts = (long, f"{long}_2")
    found = tuple(
        finding("creepage", parts, 3.4, 4.0, status, 100.0, reason=str(status)) for status in Status
    )  # fmt: skip
    page = open_page(written(tmp_path, found, parts=()), width=width, height=800).page
    signs = page.locator(".findings tbody .sign b")
    assert signs.count() == len(Status)
    for at in range(signs.count()):
        assert len(signs.nth(at).evaluate("(one) => [...one.getClientRects()]")) == 1
        assert signs.nth(at).bounding_box()["height"] < 30
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_on_a_phone_what_slides_sideways_says_so(open_page, page_file):
    page = open_page(page_file, width=390, height=844, touch=True).page
    hint = "(one) => getComputedStyle(one, '::before').content"
    pan = page.locator(".pan").first
    assert pan.evaluate("(one) => one.scrollWidth > one.clientWidth + 100")
    assert "slide sideways" in pan.evaluate(hint)
    assert "gradient" in pan.evaluate("(one) => getComputedStyle(one).backgroundImage")
    page.set_viewport_size({"width": 1200, "height": 844})
    expect(pan).not_to_have_class(re.compile("slides"))
    assert pan.evaluate(hint) == "none"


def test_a_file_beside_the_page_is_one_click_away_and_not_asked_for_before(open_page, tmp_path):
    made = Made(name="pad", kind="part", how="cut flat", quantity=4, material="PC", stem="pad", for_parts=("pad",))
    files = ("cutting/pad.dxf", "what_to_make.txt")
    (tmp_path / "what_to_make.txt").write_text("one pad", encoding="utf-8")
    opened = open_page(written(tmp_path, FINDINGS, parts=(), made=(made,), files=files), width=1100, height=800)
    assert opened.requests == []
    link = opened.page.get_by_role("link", name="cut file DXF of pad")
    assert link.get_attribute("href") == "cutting/pad.dxf"
    opened.page.get_by_role("link", name="what_to_make.txt").click()
    opened.page.wait_for_url("**/what_to_make.txt")
    assert opened.page.locator("body").inner_text() == "one pad"
    assert opened.troubles == []


def test_light_and_dark_are_two_looks(open_page, flat_file):
    pages = [open_page(flat_file, width=1100, height=800, scheme=scheme).page for scheme in ("light", "dark")]
    grounds = [page.evaluate("getComputedStyle(document.body).backgroundColor") for page in pages]
    assert grounds == ["rgb(251, 250, 247)", "rgb(20, 25, 30)"]


def test_print_opens_what_is_folded_and_leaves_out_what_is_pressed(page):
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    assert page.locator("details.openprint:not([open])").count() == 0
    assert page.locator("button:visible").count() == 0
    assert page.locator(".elevation").first.is_visible()
    assert not page.locator(".filters").is_visible()
    page.emulate_media(media="screen")
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("details.openprint[open]").count() == 0


def test_it_prints(flat):
    assert flat.pdf(prefer_css_page_size=True).startswith(b"%PDF")


def test_without_scripts_it_is_a_document(chromium, page_file):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(page_file.as_uri())
    assert page.locator(".findings tbody tr").count() == 4
    assert page.locator(".findings tbody tr").first.is_visible()
    assert not page.locator(".filters").is_visible()
    assert page.locator("button:visible").count() == 0
    context.close()


def test_many_rows_come_in_helpings(open_page, tmp_path):
    many = tuple(replace(FINDINGS[0], parts=("m1", LONG), reason=f"number {at}") for at in range(700))
    page = open_page(written(tmp_path, many, parts=()), width=1100, height=800).page
    assert len(shown(page)) == 250
    assert page.locator("#shown").inner_text() == "700 of 700 rows, the first 250 shown"
    page.get_by_role("button", name="Show 250 more").click()
    assert len(shown(page)) == 500
