"""Plates of electrical paths in a real browser: legs and figures are seen, and the 3D view follows the path."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.image import imread

from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.study_page import study_page
from fitcheck.result import Result, verdict
from fitcheck.result_study import StudyResult
from fitcheck.sources import PRACTICE

PAPER = (251, 250, 247)
QUADS = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
FACES = np.array([face for a, b, c, d in QUADS for face in ((a, b, c), (a, c, d))])
RULE = Rule(name="creepage for 400 V, basic insulation", text="between plus and minus", source=PRACTICE)


def box(name, role, conducts, low, high) -> DrawnPart:
    low, high = np.asarray(low, float), np.asarray(high, float)
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * (high - low) + low
    return DrawnPart(name=name, role=role, change="new", vertices=corners, faces=FACES, conducts=conducts)


PARTS = (
    box("left block", "insulator", "insulation", (0, 0, -12), (24, 60, 0)),
    box("right block", "insulator", "insulation", (24.8, 0, -12), (60, 60, 0)),
    box("rib", "insulator", "insulation", (30, 0, 0), (31, 60, 4)),
    box("plus", "terminal", "live", (10, 25, 0), (20, 35, 6)),
    box("minus", "terminal", "live", (34, 25, 0), (44, 35, 6)),
    box("shelf", "insulator", "insulation", (100, 0, -12), (160, 60, 0)),
    box("loose plate", "bracket", "floating", (112, 27, 0), (120, 33, 0.4)),
    box("high", "terminal", "live", (104, 25, 0), (110, 35, 6)),
    box("low", "terminal", "live", (122, 25, 0), (128, 35, 6)),
)
WAY = (
    (20.0, 30.0, 0.0), (24.0, 30.0, 0.0), (24.8, 30.0, 0.0), (30.0, 30.0, 0.0), (30.0, 30.0, 4.0), (31.0, 30.0, 4.0),
    (31.0, 30.0, 0.0), (34.0, 30.0, 0.0),
)  # fmt: skip
ACROSS = ((110.0, 30.0, 0.0), (112.0, 30.0, 0.0), (120.0, 30.0, 0.0), (122.0, 30.0, 0.0))
LENGTHS = ["a 4.00", "b 0.80", "c 5.20", "d 4.00", "e 1.00", "f 4.00", "g 3.00"]


def found(parts, way, value, required) -> Finding:
    return Finding(
        check="creepage", parts=parts, build="proposed", status=Status.NOT_MET, rule=RULE, unit="mm",
        required=required, band=Band(value=value, low=value, high=value, rss_low=value, rss_high=value),
        points=(way[0], way[-1]), way=way,
    )  # fmt: skip


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    findings = (
        found(("plus", "minus"), WAY, 22.0, 25.0),
        found(("high", "low"), ACROSS, 4.0, 5.0),
    )
    scene = Scene(title="Block", build="proposed", axes=("rearward", "right", "up"), parts=PARTS, bridged_mm=1.0)
    whole = Result(
        verb="check", file="block.yaml", title="Block", sha256="ab" * 32, judge_by="worst case",
        verdict=verdict(findings), findings=findings, not_covered=(), taken_as_exact=(), guesses=(),
    )  # fmt: skip
    study = StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()))
    scenes = Scenes(original=replace(scene, build="original"), proposed=scene)
    path = tmp_path_factory.mktemp("paths") / "study.html"
    path.write_text(study_page(study, scenes, made_on="2026-03-02", version="1"), encoding="utf-8")
    return path


@pytest.fixture
def page(open_page, page_file):
    opened = open_page(page_file, width=1200, height=800)
    yield opened.page
    assert opened.troubles == []
    assert opened.requests == []


def test_every_leg_has_its_figure_and_none_lies_on_another(page):
    figures = page.locator("#plate-1 .detail text.leg")
    assert sorted(figures.all_text_contents()) == LENGTHS
    boxes = [figures.nth(at).bounding_box() for at in range(figures.count())]
    for at, one in enumerate(boxes):
        for other in boxes[at + 1 :]:
            level = abs(one["y"] - other["y"]) < 13  # the letters are 12 high, their boxes hold a halo as well
            beside = one["x"] + one["width"] <= other["x"] + 9 or other["x"] + other["width"] <= one["x"] + 9
            assert beside or not level, (one, other)


def test_a_bridge_is_told_by_its_line_as_well_as_by_words(page):
    bridge = page.locator("#plate-1 .detail path.leg.bridged:not(.under)")
    dashes = bridge.evaluate("(line) => getComputedStyle(line).strokeDasharray")
    assert len(re.findall(r"[0-9.]+", dashes)) == 4, "a dash-dot line"
    over = page.locator("#plate-1 .detail path.leg.surface:not(.under)").first
    assert over.evaluate("(line) => getComputedStyle(line).strokeDasharray") == "none"
    said = page.locator("#plate-1 .legs").inner_text()
    assert "bridged: narrower than X = 1.0 mm" in said
    assert "over left block" in said
    assert page.locator("#plate-1 .sum").inner_text() == (
        "4.00 + 0.80 + 5.20 + 4.00 + 1.00 + 4.00 + 3.00 = 22.00 mm as drawn; straight across 14.00 mm"
    )


def test_metal_and_insulation_are_filled_with_different_hatches(page):
    fills = {
        kind: page.locator(f"#plate-1 .detail path.{kind}").first.evaluate("(shape) => getComputedStyle(shape).fill")
        for kind in ("metal", "insulating")
    }
    assert fills == {"metal": 'url("#hatch-metal")', "insulating": 'url("#hatch-insulating")'}


def test_the_3d_view_draws_the_path_corner_by_corner_with_both_lengths(page):
    page.locator("#plate-1 button.fly").click()
    page.wait_for_function("!window.fitcheck3d.looking().flying")
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    legs = page.locator("#model .m3-over .m3-leg")
    assert legs.count() == len(WAY) - 1
    said = page.locator("#model .m3-over").text_content()
    for figure in LENGTHS:
        assert figure in said
    assert "22.00 mm over surfaces as drawn" in said
    assert "straight across 14.00 mm" in said
    dashes = page.locator("#model .m3-over .m3-bridged").evaluate("(line) => getComputedStyle(line).strokeDasharray")
    assert len(re.findall(r"[0-9.]+", dashes)) == 4, "the bridge is a dash-dot line"
    assert page.locator("#model .m3-legs li").all_inner_texts()[:2] == [
        "a 4.00 mm over left block", "b 0.80 mm bridged: narrower than X = 1.0 mm",
    ]  # fmt: skip
    key = page.locator("#model .m3-key").inner_text()
    assert "over a surface" in key
    assert "bridged" in key
    assert "across metal" not in key, "only the lines that are there"


def looking_at(page, plate):
    page.locator(f"#plate-{plate} button.fly").click()
    page.wait_for_function("!window.fitcheck3d.looking().flying")
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return page.evaluate("window.fitcheck3d.looking()")


def test_in_3d_nothing_that_a_path_runs_over_or_across_is_faded_and_all_of_it_is_named(page):
    look = looking_at(page, 1)
    assert look["faded"] == ["shelf", "loose plate", "high", "low"]
    assert page.locator("#model .m3-name-of").all_inner_texts() == ["plus", "minus", "left block", "right block", "rib"]
    look = looking_at(page, 2)
    assert look["faded"] == ["left block", "right block", "rib", "plus", "minus"]
    assert page.locator("#model .m3-name-of").all_inner_texts() == ["high", "low", "shelf", "loose plate"]
    across = page.locator("#model .m3-over .m3-through")
    assert across.count() == 1
    assert "across metal, counts nothing" in page.locator("#model .m3-key").inner_text()
    start, end = (float(end.split(",")[0]) for end in across.get_attribute("points").split())
    assert abs(end - start) > 40, "the leg can be seen"


def test_the_3d_view_of_a_path_is_from_the_side_of_its_section(page):
    assert "seen from the left" in page.locator("#plate-1").inner_text()
    look = looking_at(page, 1)
    assert look["eye"][1] < look["target"][1] - 10
    assert look["colours"]["plus"] == "b5c9dd"
    assert look["colours"]["minus"] == "ead39f"


def test_metal_that_a_path_crosses_has_its_number_on_the_plate(page):
    key = page.locator("#plate-2 .key").inner_text()
    assert "loose plate" in key
    number = re.search(r"(\d+) loose plate", key)[1]
    assert number in page.locator("#plate-2 .detail text.number").all_text_contents()


def test_pulled_apart_all_parts_stay_in_the_picture(page):
    page.locator("#model .m3-apart input").evaluate(
        "(input) => { input.value = 100; input.dispatchEvent(new Event('input')); }"
    )
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    picture = np.rint(imread(io.BytesIO(page.locator("#model canvas").screenshot()))[:, :, :3] * 255)
    inked = np.abs(picture - PAPER).max(axis=2) > 12
    rim = np.ones_like(inked)
    rim[12:-12, 12:-12] = False
    rim[:4], rim[-4:], rim[:, :4], rim[:, -4:] = False, False, False, False  # the frame of the picture
    assert not inked[rim].any()
    assert inked.mean() > 0.05
