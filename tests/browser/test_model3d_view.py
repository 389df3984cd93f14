"""The 3D view in a real browser: it opens from a file, draws, and answers to mouse, keys and the page around it."""

from __future__ import annotations

import io
import math
import re

import numpy as np
import pytest
from matplotlib.image import imread

from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.report.model3d import fragment, model_of
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.section_view import plane_of
from fitcheck.sources import PRACTICE

HOSTILE = "<script>alert(1)</script>"
PAPER = (251, 250, 247)

QUADS = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
FACES = np.array([face for a, b, c, d in QUADS for face in ((a, b, c), (a, c, d))])


def box(name, role, change, low, high, status=None) -> DrawnPart:
    low, high = np.asarray(low, float), np.asarray(high, float)
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * (high - low) + low
    return DrawnPart(name=name, role=role, change=change, vertices=corners, faces=FACES, status=status)


def gap(parts, points, status, way=()) -> Finding:
    return Finding(
        check="gap", parts=parts, build="proposed", status=status, points=points, way=way, unit="mm", required=5.0,
        rule=Rule(name="every module – every column", text="room for a hand", source=PRACTICE),
        band=Band(value=4.0, low=3.0, high=5.5, rss_low=3.5, rss_high=5.0),
    )  # fmt: skip


COLUMN = box("column", "column", "retained", (460, 200, 0), (480, 220, 120), Status.NOT_MET)
LID = box("lid", "lid", "retained", (0, 0, 130), (900, 450, 132))
OLD = box("old", "module", "removed", (10, 10, 0), (880, 180, 100))
M1 = box("m1", "module", "new", (10, 100, 0), (456, 300, 110), Status.NOT_MET)
M2 = box(HOSTILE, "module", "new", (520, 100, 0), (880, 300, 110))
POINTS = ((456.0, 210.0, 60.0), (460.0, 210.0, 60.0))
FINDINGS = (
    gap(("m1", "column"), POINTS, Status.NOT_MET),
    gap(("column", HOSTILE), ((480.0, 210.0, 60.0), (520.0, 210.0, 60.0)), Status.MET,
        way=((480.0, 210.0, 60.0), (490.0, 210.0, 120.0), (520.0, 210.0, 60.0))),
)  # fmt: skip


def scene(build, *parts) -> Scene:
    return Scene(title="bay", build=build, axes=("rearward", "right", "up"), parts=parts)


PROPOSED = scene("proposed", COLUMN, LID, M1, M2)


@pytest.fixture(scope="module")
def page_file(tmp_path_factory):
    scenes = Scenes(original=scene("original", COLUMN, LID, OLD), proposed=PROPOSED)
    piece = fragment(model_of(scenes, FINDINGS))
    path = tmp_path_factory.mktemp("page") / "view.html"
    path.write_text(
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>view</title><style>{piece.style}</style></head>"
        f"<body>{piece.markup}<script>{piece.script}</script></body></html>",
        encoding="utf-8",
    )
    return path


@pytest.fixture
def view(open_page, page_file):
    opened = open_page(page_file)
    yield opened.page
    assert opened.troubles == []
    assert opened.requests == []


def looking(page):
    return page.evaluate("fitcheck3d.looking()")


def drawn(page) -> None:
    """Waits until what was asked for is on the screen."""
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def picture(page) -> np.ndarray:
    """The canvas as shown, (height, width, 3), 0 to 255."""
    drawn(page)
    shot = page.locator("#model .m3-stage").screenshot()
    return np.rint(imread(io.BytesIO(shot))[:, :, :3] * 255)


def drawn_share(page) -> float:
    """The share of the picture that is not bare paper."""
    return float((np.abs(picture(page) - PAPER).max(axis=2) > 12).mean())


def slide(page, selector, value):
    page.locator(selector).evaluate(
        "(input, value) => { input.value = value; input.dispatchEvent(new Event('input')); }", value
    )


def middle_of(page, point):
    """Where a point of the model lies in the window, by the camera's own figures (field of view 18 degrees)."""
    look, frame = looking(page), page.locator("#model canvas").bounding_box()
    eye, target = np.array(look["eye"]), np.array(look["target"])
    toward = (target - eye) / np.linalg.norm(target - eye)
    level = np.cross(toward, (0, 0, 1)) / np.linalg.norm(np.cross(toward, (0, 0, 1)))
    upright = np.cross(level, toward)
    way = np.array(point) - eye
    scale = frame["height"] / 2 / math.tan(math.radians(9)) / (way @ toward)
    x, y = (way @ level) * scale, (way @ upright) * scale
    return frame["x"] + frame["width"] / 2 + x, frame["y"] + frame["height"] / 2 - y


def test_it_opens_and_draws(view):
    assert view.locator("#model").get_attribute("data-state") == "on"
    assert looking(view)["build"] == "proposed"
    assert 0.1 < drawn_share(view) < 0.9
    view.get_by_role("button", name="hide all").click()
    assert drawn_share(view) < 0.03


def test_a_hostile_part_name_is_only_text(view):
    assert view.locator(f"#model button:text-is('{HOSTILE}')").count() == 1
    assert view.locator("#model li script").count() == 0
    view.evaluate("(name) => fitcheck3d.select(name)", HOSTILE)
    drawn(view)
    assert HOSTILE in view.locator("#model .m3-told").inner_text()
    assert HOSTILE in view.locator("#model .m3-over").text_content()


def test_a_finding_is_flown_to_and_its_line_is_drawn(view):
    before = looking(view)
    view.evaluate("document.dispatchEvent(new CustomEvent('fitcheck:finding', { detail: 0 }))")
    after = looking(view)
    assert math.dist(after["target"], (458, 210, 60)) < 1e-6
    assert math.dist(after["eye"], after["target"]) < 0.5 * math.dist(before["eye"], before["target"])
    # Seen square to the gap, so that the distance shows at its true length.
    sight = np.subtract(after["target"], after["eye"]) / math.dist(after["target"], after["eye"])
    assert abs(sight[0]) < 1e-6
    assert set(after["faded"]) == {"lid", HOSTILE}
    assert [after["colours"][name] for name in ("m1", "column", "lid")] == ["b5c9dd", "ead39f", "e4e2dc"]
    drawn(view)
    ends = view.locator("#model .m3-over .m3-line").get_attribute("points").split()
    for end, point in zip(ends, POINTS, strict=True):
        frame = view.locator("#model canvas").bounding_box()
        x, y = middle_of(view, point)
        assert math.dist(map(float, end.split(",")), (x - frame["x"], y - frame["y"])) < 1.5
    told = "not met: gap between m1 and column: 3.00 to 5.50 mm, asked for at least 5.00 mm"
    assert view.locator("#model .m3-told").inner_text() == told
    view.get_by_role("button", name="back to all parts").click()
    assert looking(view)["faded"] == ["lid"]


def test_the_eye_is_on_the_side_that_the_section_of_a_gap_is_seen_from(view):
    for number, finding in enumerate(FINDINGS):
        view.evaluate(
            "(number) => document.dispatchEvent(new CustomEvent('fitcheck:finding', { detail: number }))", number
        )
        plane = plane_of(PROPOSED, finding)
        toward_eye = np.subtract(looking(view)["eye"], looking(view)["target"])
        assert toward_eye @ plane.normal > 0.8 * np.linalg.norm(toward_eye)
        drawn(view)
        ends = view.locator("#model .m3-over .m3-line").get_attribute("points").split()
        seen = [float(ends[at].split(",")[0]) for at in (0, -1)]
        flat = [plane.flat(np.array(point))[0] for point in finding.points]
        assert (seen[0] < seen[1]) == (flat[0] < flat[1]), "what is at the left of the section is at the left here"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 840])
def test_both_parts_of_a_finding_bear_their_names_with_the_distance_between(open_page, page_file, scheme, width):
    page = open_page(page_file, width=width, scheme=scheme).page
    page.evaluate("document.dispatchEvent(new CustomEvent('fitcheck:finding', { detail: 0 }))")
    drawn(page)
    names = page.locator("#model .m3-name-of")
    assert names.all_inner_texts() == ["m1", "column"]
    left, right = (names.nth(at).bounding_box() for at in (0, 1))
    assert left["x"] + left["width"] < right["x"], "m1 lies before the column, which the view shows at the right"
    stage = page.locator("#model .m3-stage").bounding_box()
    words = page.locator("#model .m3-over .m3-label").bounding_box()
    for one in (left, right, words):
        assert one["x"] >= stage["x"]
        assert one["x"] + one["width"] <= stage["x"] + stage["width"]
    for one in (left, right):
        apart = one["y"] + one["height"] <= words["y"] + 4 or words["y"] + words["height"] <= one["y"] + 4
        assert apart or one["x"] + one["width"] <= words["x"] or words["x"] + words["width"] <= one["x"]
    assert page.locator("#model .m3-over .m3-label").text_content() == "4.00 mm as drawn"
    look = "(one) => [getComputedStyle(one).color, getComputedStyle(one).backgroundColor]"
    ink, paper = (sum(map(int, re.findall(r"\d+", told)[:3])) / 3 for told in names.first.evaluate(look))
    assert abs(ink - paper) > 120, "readable"
    # The name stays with its part when the eye moves, and goes with the finding.
    page.locator("#model canvas").press("ArrowRight")
    drawn(page)
    assert page.locator("#model .m3-name-of").first.bounding_box() != left
    page.get_by_role("button", name="back to all parts").click()
    drawn(page)
    assert page.locator("#model .m3-name-of").count() == 0


def test_a_cut_through_a_finding_is_its_section(view):
    view.evaluate("document.dispatchEvent(new CustomEvent('fitcheck:finding', { detail: 0 }))")
    before = looking(view)
    view.get_by_role("button", name="cut here").click()
    drawn(view)
    assert looking(view)["eye"] == before["eye"]
    assert view.locator("#model .m3-cut output").inner_text() == "210 mm from the left"
    assert view.locator("#model .m3-name-of").all_inner_texts() == ["m1", "column"]
    x, y = (round(value) for value in middle_of(view, (400, 210, 60)))
    frame = view.locator("#model .m3-stage").bounding_box()
    patch = picture(view)[y - int(frame["y"]) - 12 :, x - int(frame["x"]) - 12 :][:24, :24]
    fill = np.median(patch.reshape(-1, 3), axis=0)
    assert np.abs(fill - (0xB5, 0xC9, 0xDD)).max() < 4, "the cut face has the very colour that the section has"


def test_what_was_found_about_a_part_belongs_to_the_build_that_is_shown(view):
    view.evaluate("fitcheck3d.select('m1')")
    assert view.locator("#model .m3-found h3").inner_text() == "Found about m1 in the proposed build"
    view.locator("#model [value=original]").check(force=True)
    assert looking(view)["chosen"] is None
    assert view.locator("#model .m3-found").inner_text() == ""
    assert view.locator("#model .m3-told").inner_text() == ""
    assert view.locator("#model .m3-parts .m3-word-of:visible").count() == 0, "nothing was found in the original build"
    view.evaluate("fitcheck3d.select('column')")
    view.locator("#model [value=proposed]").check(force=True)
    assert view.locator("#model .m3-found h3").inner_text() == "Found about column in the proposed build"
    assert view.locator("#model .m3-found li").count() == 2
    assert "not met" in view.locator("#model .m3-parts li", has_text="column").inner_text()
    view.locator("#model [value=original]").check(force=True)
    assert view.locator("#model .m3-found h3").inner_text() == "Found about column in the original build"
    assert view.locator("#model .m3-found li").count() == 0


def test_a_path_is_drawn_corner_by_corner_and_the_page_can_fly_by_itself(view):
    view.evaluate("document.dispatchEvent(new CustomEvent('fitcheck:finding', { detail: 1 }))")
    drawn(view)
    assert len(view.locator("#model .m3-over .m3-line").get_attribute("points").split()) == 3
    view.evaluate("fitcheck3d.fly([[10, 100, 0], [30, 100, 0]], ['m1'])")
    assert math.dist(looking(view)["target"], (20, 100, 0)) < 1e-6


def test_a_click_picks_the_part_and_tells_the_page(view):
    view.evaluate("document.addEventListener('fitcheck:part', (event) => (window.heard = event.detail))")
    view.mouse.click(*middle_of(view, (230, 200, 110)))
    assert looking(view)["chosen"] == "m1"
    assert view.evaluate("window.heard") == "m1"
    assert view.locator("#model .m3-found h3").inner_text() == "Found about m1 in the proposed build"
    view.locator("#model .m3-found li button").first.click()
    assert math.dist(looking(view)["target"], (458, 210, 60)) < 1e-6


def test_the_section_takes_one_side_away_and_fills_the_cut(view):
    gone = middle_of(view, (100, 200, 110))
    whole = drawn_share(view)
    view.locator("#model .m3-cut select").select_option("0")
    slide(view, "#model .m3-cut input", 300)
    half = drawn_share(view)
    assert half < 0.7 * whole
    assert view.locator("#model .m3-cut output").inner_text() == "270 mm from the front"
    view.get_by_role("button", name="keep the other side").click()
    x, y = middle_of(view, (270, 200, 55))
    frame = view.locator("#model .m3-stage").bounding_box()
    patch = picture(view)[int(y - frame["y"]) - 12 : int(y - frame["y"]) + 12, int(x - frame["x"]) - 12 :][:, :24]
    view.mouse.click(*gone)
    assert looking(view)["chosen"] is None, "what is cut away cannot be picked"
    # Hatched: dark lines on the fill, both there, nothing of the paper behind.
    lightness = patch.mean(axis=2)
    assert lightness.min() < 110
    assert lightness.max() > 170
    assert np.abs(patch - PAPER).max(axis=2).min() > 12


def test_mouse_and_keys_turn_move_and_come_nearer(view):
    start = looking(view)
    view.mouse.move(300, 300)
    view.mouse.wheel(0, -200)
    assert looking(view)["eye"] == start["eye"], "until it is clicked, the wheel belongs to the page"
    view.mouse.down()
    view.mouse.move(360, 300, steps=3)
    view.mouse.up()
    dragged = looking(view)
    assert dragged["target"] == start["target"]
    assert dragged["chosen"] is None
    assert math.dist(dragged["eye"], start["eye"]) > 50
    view.mouse.wheel(0, -200)
    view.wait_for_function("(reach) => Math.hypot(...fitcheck3d.looking().eye.map((value, at) => "
                           "value - fitcheck3d.looking().target[at])) < 0.97 * reach",
                           arg=math.dist(start["eye"], start["target"]))  # fmt: skip
    view.keyboard.press("Home")
    view.keyboard.press("ArrowRight")
    turned = looking(view)
    assert turned["target"] == start["target"]
    assert math.dist(turned["eye"], start["eye"]) > 50
    view.keyboard.press("+")
    assert math.dist(*(looking(view)[end] for end in ("eye", "target"))) == pytest.approx(
        math.dist(turned["eye"], turned["target"]) / 1.2, rel=1e-6
    )
    view.keyboard.press("Shift+ArrowUp")
    assert looking(view)["target"][2] > start["target"][2]
    view.keyboard.press("Home")
    assert math.dist(looking(view)["eye"], start["eye"]) < 1e-3


def test_every_control_has_a_name_and_is_reached_by_tab(view):
    nameless = view.evaluate(
        "[...document.querySelectorAll('#model button, #model input, #model select')].filter((one) => !("
        "one.getAttribute('aria-label') || one.textContent || [...one.labels].map((each) => each.textContent).join('')"
        ").trim()).map((one) => one.outerHTML)"
    )
    assert nameless == []
    reached = set()
    for _ in range(60):
        view.keyboard.press("Tab")
        reached.add(view.evaluate("document.activeElement.closest('#model') ? document.activeElement.outerHTML : ''"))
    wanted = ('value="proposed"', "<canvas", 'data-look="above"', 'type="range"', "<select", 'type="search"', "show m1")
    assert [words for words in wanted if not any(words in each for each in reached)] == []


def test_parts_are_hidden_and_faded_by_their_row(view):
    view.get_by_label("show m1").uncheck()
    assert "m1" not in looking(view)["shown"]
    view.get_by_label("fade column").click()
    assert looking(view)["faded"] == ["column", "lid"]
    view.get_by_placeholder("name, role or change").fill("module")
    assert view.locator("#model .m3-parts li:visible").count() == 2


def test_builds_their_difference_and_the_steps_between(view):
    view.locator("#model [value=original]").check(force=True)
    assert looking(view)["shown"] == ["column", "lid", "old"]
    view.locator("#model [value=difference]").check(force=True)
    assert looking(view)["shown"] == ["column", "lid", "m1", HOSTILE, "old"]
    assert "removed: dash-dot line" in view.locator("#model .m3-key").inner_text()
    view.locator("#model [value=proposed]").check(force=True)
    slide(view, "#model .m3-steps input", 0)
    assert looking(view)["shown"] == ["column", "lid"]
    slide(view, "#model .m3-steps input", 1)
    assert looking(view)["shown"] == ["column", "lid", "m1"]
    assert view.locator("#model .m3-steps output").inner_text() == "1 of 2: m1"
    before = picture(view)
    slide(view, "#model .m3-apart input", 100)
    assert np.abs(picture(view) - before).max(axis=2).mean() > 5


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_phone_has_no_sideways_scroll(open_page, page_file, scheme):
    opened = open_page(page_file, width=390, height=844, scheme=scheme, touch=True)
    page = opened.page
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.touchscreen.tap(*middle_of(page, (230, 200, 110)))
    assert looking(page)["chosen"] == "m1"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert opened.troubles == []
    assert opened.requests == []
