"""The owner's page: what it says, in which words, that it is one page, and that texts of the layout stay texts."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import matplotlib as mpl
import pytest
from PIL import ImageFont
from vehicle_layouts import HEAD, cube, layout

from fitcheck.findings import Band
from fitcheck.report import owner_page_html, owner_page_pdf
from fitcheck.report.owner_page import NOT_AN_APPROVAL, OwnerPage, owner_page
from fitcheck.report.owner_page_drawing import Disc, Shape, Words, bar, most_of, plan, side
from fitcheck.report.owner_page_units import Units, kept_whole, kept_with_unit
from fitcheck.result import Result
from fitcheck.run import balance

DEMO = Path(__file__).parents[2] / "demo_geometry"
TUG = DEMO / "05_tow_tug" / "layout.yaml"
SWEEPER = DEMO / "06_street_sweeper" / "layout.yaml"


def page_of(path: Path, *, also_imperial: bool = False) -> OwnerPage:
    page = owner_page(balance(path), also_imperial=also_imperial)
    assert page is not None
    return page


def written(folder: Path, text: str) -> Path:
    path = folder / "layout.yaml"
    path.write_text(text, encoding="utf-8")
    return path


class Text(HTMLParser):
    """The words that a reader sees, and the tags that carry them."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[str] = []
        self.links: list[str] = []
        self._hidden = False
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self._hidden = tag == "style"
        self.links += [value for key, value in attrs if key in ("src", "href", "action", "onload", "onclick")]

    def handle_endtag(self, tag):
        self._hidden = False

    def handle_data(self, data):
        if not self._hidden:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def test_the_tug_in_plain_words():
    page = page_of(TUG)
    assert page.mood == "good"
    assert page.headline == f"The front axle, the rear axle and the whole vehicle stay {NOT_AN_APPROVAL}."
    assert "The vehicle is 114 kg lighter." in page.changes
    assert "The front axle is 7.7 kg lighter, the rear axle is 106 kg lighter." in page.changes
    assert any("30 mm toward the front, 2.2 mm to the right and 9.4 mm up" in text for text in page.changes)
    assert any("a little less firmly" in text and "0.962" in text and "0.977" in text for text in page.changes)
    assert page.out == ("lead-acid battery: 588.0 kg", "hold-down frame: 21.5 kg", "together 609.5 kg")
    assert page.kept == ("battery trough: 118.0 kg",)


def test_the_sweeper_says_first_what_is_wrong():
    page = page_of(SWEEPER)
    assert page.mood == "bad"
    assert page.headline.startswith("The rear axle would carry 46.9 kg more than its limit.")
    assert [one.margin for one in page.bars] == ["200.9 kg left", "46.9 kg over", "54.0 kg left"]
    assert [one.is_over for one in page.bars] == [False, True, False]
    assert any("proves nothing for the loaded vehicle" in text for text in page.sure)
    assert any("cannot be told" in text for text in page.changes)


@pytest.mark.parametrize("path", [TUG, SWEEPER])
def test_no_signs_no_jargon_no_claim(path):
    text = Text(owner_page_html.render(page_of(path))).text
    lower = text.casefold()
    for word in ("complian", "certif", "stability factor", "static", "moment", "tensor", "datum", "rss", "worst case"):
        assert word not in lower
    assert not re.search(r"[-−+]\d", text.replace("05_tow", "").replace("06_street", ""))
    assert NOT_AN_APPROVAL in text
    for place in ("name", "date", "signature", "scale slips", "chocks", "stands first", "On a lift the vehicle shifts"):
        assert place in text


def test_pounds_and_inches_only_where_wanted():
    plain, both = (Text(owner_page_html.render(page_of(TUG, also_imperial=on))).text for on in (False, True))
    assert " lb" not in plain
    assert "106 kg (234 lb) lighter" in both
    assert "30 mm (1.2 in) toward the front" in both


def test_html_stands_alone():
    found = Text(owner_page_html.render(page_of(TUG)))
    assert "script" not in found.tags
    assert found.links == []
    html = owner_page_html.render(page_of(TUG))
    assert "url(" not in html
    assert "@import" not in html
    assert "prefers-color-scheme: dark" in html
    assert "size: A4" in html
    assert found.tags.count("svg") == 5


ODD = """<script>alert(1)</script> & "so" on"""


def test_texts_of_the_layout_are_escaped(tmp_path):
    parts = cube("new", "new", "10", (0, 0, 0)).replace("  new:", '  "<img src=x onerror=alert(2)>":')
    text = layout(
        parts,
        "{wheelbase: 2000, weighed: {front: 900, rear: 900}, case_low: [900, 0, 0]}",
        head=HEAD.replace("Test vehicle", "'<script>alert(1)</script> & \"so\" on'"),
    )
    html = owner_page_html.render(page_of(written(tmp_path, text)))
    found = Text(html)
    assert "script" not in found.tags
    assert "img" not in found.tags
    assert ODD in found.text
    assert "<img src=x onerror=alert(2)>: 10.0 kg" in found.text


def test_a_missing_mass_is_said_and_nothing_is_called_good(tmp_path):
    parts = cube("old", "removed", "", (0, 0, 0)) + cube("new", "new", "10", (0, 0, 0))
    text = layout(
        parts,
        "{wheelbase: 2000, weighed: {front: 900, rear: 900}, case_low: [900, 0, 0], limits: {front: 1000}}",
    )
    page = page_of(written(tmp_path, text))
    assert page.mood == "open"
    assert "cannot be told" in page.headline
    assert page.out == ("old: mass not known",)
    assert any("old" in text for text in page.changes)
    assert page.bars[0].after is None
    assert page.bars[0].margin == "cannot be told"
    assert owner_page_pdf.render(page).startswith(b"%PDF")
    assert "mass not known" in owner_page_html.render(page)


def test_no_vehicle_no_page(tmp_path):
    result: Result = balance(written(tmp_path, f"{HEAD}parts:\n{cube('new', 'new', '10', (0, 0, 0))}"))
    assert owner_page(result) is None


def crowded(folder: Path) -> Path:
    """More and longer texts than a page likes."""
    name = "module of a very long name indeed, up to sixty letters, no "
    parts = "".join(cube(f'"{name}{n}"'[:62], "removed", "30 ± 1", (n, 0, 0)) for n in range(1, 10))
    parts += "".join(
        cube(f'"{name}{n}9"'[:63].replace("indeed,", "indeed"), "new", "31 ± 1", (n, 0, 0)) for n in range(1, 10)
    )
    return written(
        folder,
        layout(
            parts,
            "{wheelbase: 2000 ± 5, track: 1200, cg_height: 600 ± 20, weighed: {front: 900 ± 9, rear: 900 ± 9}, "
            "case_low: [900, 0, 0], limits: {front: 800, rear: 850, gross: 1700}, springs: "
            "{front: 50 N/mm, rear: 60 N/mm}}",
            head=HEAD.replace("Test vehicle", "A title that will not come to an end " * 20),
        ),
    )


def test_the_pdf_is_one_page_and_the_same_bytes_each_time(tmp_path):
    for page in (page_of(TUG), page_of(SWEEPER, also_imperial=True), page_of(crowded(tmp_path), also_imperial=True)):
        first, second = owner_page_pdf.render(page), owner_page_pdf.render(page)
        assert first == second
        assert len(re.findall(rb"/Type /Page\b[^s]", first)) == 1


def test_the_pdf_fits_its_sheet(tmp_path):
    for path in (TUG, SWEEPER, crowded(tmp_path)):
        assert owner_page_pdf.room_left_mm(page_of(path, also_imperial=True)) >= 0.0


def test_the_arrow_of_a_small_shift_is_drawn_longer_and_says_so():
    for view in (side, plan):
        drawing = view(page_of(TUG).vehicle)
        assert "drawn 20 times as long" in drawing.says


def test_a_shift_seen_from_above_goes_the_right_way():
    """Front is on the left and the right-hand side on top: forward is left on paper, to the right is up."""
    discs = [item for item in plan(page_of(TUG).vehicle).items if isinstance(item, Disc)]
    before, after = (next(disc for disc in discs if disc.fill == fill) for fill in ("paper", "ink"))
    assert after.centre[0] < before.centre[0]
    assert after.centre[1] < before.centre[1]


def test_bars_share_one_scale_and_show_the_limit_where_it_is():
    bars = page_of(SWEEPER).bars
    most = most_of(bars)
    for one in bars:
        drawing = bar(one, most)
        ends = [max(x for x, _ in item.points) for item in drawing.items if isinstance(item, Shape) and item.fill]
        limit = next(item for item in drawing.items if isinstance(item, Shape) and item.width == 0.7).points[0][0]
        assert one.after is not None
        assert one.limit is not None
        assert (ends[1] > limit) == (one.after > one.limit)
        assert (ends[1] - 1.0) / (limit - 1.0) == pytest.approx(one.after / one.limit, rel=1e-9)


def test_words_in_drawings_stay_on_their_sheet(tmp_path):
    """Measured with the letters of the PDF, 1 mm of tolerance."""
    letters = ImageFont.truetype(f"{mpl.get_data_path()}/fonts/ttf/DejaVuSans.ttf", 1000)
    for path in (TUG, SWEEPER, crowded(tmp_path)):
        page = page_of(path)
        for drawing in (side(page.vehicle), plan(page.vehicle)):
            for item in (item for item in drawing.items if isinstance(item, Words)):
                wide = letters.getlength(item.text) / 1000.0 * item.size
                left = item.at[0] - {"start": 0.0, "middle": wide / 2.0, "end": wide}[item.anchor]
                assert left >= -1.0
                assert left + wide <= drawing.width + 1.0


def test_drawings_stay_on_their_sheet(tmp_path):
    for path in (TUG, SWEEPER, crowded(tmp_path)):
        page = page_of(path)
        for drawing in (side(page.vehicle), plan(page.vehicle), *(bar(one, most_of(page.bars)) for one in page.bars)):
            for item in drawing.items:
                points = (
                    item.points if isinstance(item, Shape) else (item.at if isinstance(item, Words) else item.centre,)
                )
                for x, y in points:
                    assert -0.01 <= x <= drawing.width + 0.01
                    assert -0.01 <= y <= drawing.height + 0.01


def test_units_round_so_that_nothing_is_told_better():
    units = Units()
    assert units.mass_down(54.09) == "54.0 kg"
    assert units.heavier(-106.34) == "106 kg lighter"
    assert units.heavier(0.01) == "as heavy as before"
    assert units.between(Band(value=10, low=9.2, high=10.9, rss_low=9.5, rss_high=10.5)) == "9 to 11 kg"
    assert units.moved(-30.27, "back", "forward") == "30 mm forward"
    assert units.moved(0.0, "back", "forward") == ""


def test_the_headline_of_an_empty_vehicle_says_that_it_is_empty(tmp_path):
    swap = cube("old", "removed", "10", (0, 0, 0)) + cube("new", "new", "20", (0, 0, 0))
    section = "wheelbase: 2000, weighed: {front: 900, rear: 900}, case_low: [900, 0, 0], limits: {gross: 2000}"
    empty = page_of(written(tmp_path, layout(swap, f"{{{section}, weighed_as: kerb}}")))
    assert empty.headline == f"Weighed empty, the whole vehicle stays {NOT_AN_APPROVAL}. Loaded, it is not known."
    loaded = f"{{{section}, weighed_as: kerb, payload: [{{mass: 90, at: [500, 0, 900]}}]}}"
    assert page_of(written(tmp_path, layout(swap, loaded))).headline == f"The whole vehicle stays {NOT_AN_APPROVAL}."


def test_what_the_scale_shows_above_a_limit_is_never_told_as_room_left(tmp_path):
    swap = cube("old", "removed", "10", (0, 0, 0)) + cube("new", "new", "20", (0, 0, 0))
    section = (
        "{wheelbase: 2000, weighed: {front: 900, rear: 900}, case_low: [900, 0, 0], limits: {rear: 1000}, "
        "weighed_after: {front: 900, rear: 1050}}"
    )
    page = page_of(written(tmp_path, layout(swap, section)))
    assert page.mood == "bad"
    assert page.bars[1].margin == "50.0 kg over by the scale"


def test_a_name_from_right_to_left_does_not_turn_its_mass_around(tmp_path):
    swap = cube("new", "new", "20", (0, 0, 0)).replace("new:", '"بطارية":', 1)
    page = page_of(written(tmp_path, layout(swap, "{wheelbase: 2000, weighed: {front: 900, rear: 900}}")))
    assert page.came == ("\u2068بطارية\u2069: 20.0 kg",)
    assert "\u2068بطارية\u2069: 20.0\u00a0kg" in owner_page_html.render(page)
    assert owner_page_pdf.render(page).startswith(b"%PDF")


def test_numbers_are_not_broken_over_two_lines():
    assert kept_whole("2 779 to 12 817 kg, 3 bolts") == "2\u00a0779 to 12\u00a0817 kg, 3 bolts"
    assert kept_with_unit("1 452.5 kg (3 202 lb), 38 % at 5 inside") == (
        "1\u00a0452.5\u00a0kg (3\u00a0202\u00a0lb), 38\u00a0% at 5 inside"
    )


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            "springs: {front: 50 N/mm, rear: 50 N/mm}, ground_clearance: {measured: 150, at_least: 150}",
            "Too little stays free under the vehicle.",
        ),
        ("pack_weighed: {proposed: 40}", "The parts and the scale contradict each other."),
    ],
)
def test_the_headline_names_what_is_not_kept_beside_the_axles(tmp_path, more, said):
    swap = cube("old", "removed", "10", (0, 0, 0)) + cube("new", "new", "20", (0, 0, 0))
    section = f"{{wheelbase: 2000, weighed: {{front: 900, rear: 900}}, case_low: [900, 0, 0], {more}}}"
    page = page_of(written(tmp_path, layout(swap, section)))
    assert page.mood == "bad"
    assert page.headline == f"{said} Have it sorted out before the work goes on."


def test_the_load_aboard_counts_in_how_firmly_it_stands(tmp_path):
    swap = cube("new", "new", "50", (0, 0, 0))
    more = "cg_height: 600, case_low: [1000, 0, 497.56], payload: [{mass: 200, at: [1000, 0, 1600]}]"
    text = layout(swap, f"{{wheelbase: 2000, track: 1200, weighed: {{front: 1000, rear: 1000}}, {more}}}")
    said = " ".join(page_of(written(tmp_path, text)).changes)
    height = (2000 * 600 + 50 * 497.56 + 200 * 1600) / 2250
    assert f"it stands less firmly than without it: {600 / height:.3f}." in said
    assert "both without the stated load" in said
    page = page_of(written(tmp_path, text))
    for drawing in (side(page.vehicle), plan(page.vehicle)):
        (words,) = (item for item in drawing.items if isinstance(item, Words) and "stated load" in item.text)
        assert words.at[1] < drawing.height
    assert owner_page_pdf.room_left_mm(page) >= 0.0
    assert "With the stated load aboard the balance point goes on" in said
    assert "up." in said


LOADED = (
    "cg_height: 600, case_low: [1000, 0, 400], payload: [{mass: 200, at: [1500, 100, 1600]}], "
    "springs: {front: 50 N/mm, rear: 50 N/mm}, ground_clearance: {measured: 170 ± 2, at_least: 150}, "
    "limits: {front: 1200, rear: 1300, gross: 2500}"
)


def loaded(tmp_path: Path) -> OwnerPage:
    swap = cube("new", "new", "50", (0, 0, 0))
    text = layout(swap, f"{{wheelbase: 2000, track: 1200, weighed: {{front: 1000, rear: 1000}}, {LOADED}}}")
    return page_of(written(tmp_path, text))


def test_what_stays_free_under_the_vehicle_is_told(tmp_path):
    """175 kg more on the rear axle, 25 of them the pack's: 34.3 mm at 50 N/mm."""
    said = loaded(tmp_path).changes
    assert (
        "Free under the vehicle: 170 mm as measured before, 136 mm after with the stated load aboard (133 to 138 mm "
        "at the worst); at least 150 mm is asked for." in said
    )


def test_how_much_more_may_go_aboard_is_told(tmp_path):
    assert (
        "Room for more on top of the stated load, doubt taken off: 250.0 kg at the battery's place, or 125.0 kg over "
        "the front axle, or 125.0 kg over the rear axle." in loaded(tmp_path).look_after
    )


def test_the_balance_point_is_drawn_with_the_load_too(tmp_path):
    page = loaded(tmp_path)
    for drawing in (side(page.vehicle), plan(page.vehicle)):
        words = " ".join(item.text for item in drawing.items if isinstance(item, Words))
        assert "○ before, ● after, ◆ with the stated load" in words
        marks = [
            item for item in drawing.items if isinstance(item, Shape) and item.fill == "ink" and len(item.points) == 4
        ]
        assert len(marks) == 1
        assert all(0.0 < x < drawing.width and 0.0 < y < drawing.height for x, y in marks[0].points)
    assert page.bars[0].figures == "before 1 000 kg → after 1 025 kg → loaded 1 075 kg → limit 1 200 kg"
    assert "with the stated load aboard" in page.legend


def test_no_shift_is_drawn_below_the_road(tmp_path):
    """2 mm down and hardly any way along: drawn long enough to be seen, it would end under the wheels."""
    swap = cube("new", "new", "20", (0, 0, 0))
    text = layout(
        swap,
        "{wheelbase: 2000, track: 1200, weighed: {front: 1000, rear: 1000}, cg_height: 300, case_low: [1000, 0, 100]}",
    )
    drawing = side(page_of(written(tmp_path, text)).vehicle)
    road = max(y for item in drawing.items if isinstance(item, Shape) and not item.closed for _, y in item.points)
    (after,) = (item for item in drawing.items if isinstance(item, Disc) and item.fill == "ink")
    assert after.centre[1] + after.radius < road


def test_letters_from_right_to_left_are_drawn_in_their_order():
    """The first letter of the name stands rightmost, the mass stays where it was, Arabic letters are joined."""
    seen = owner_page_pdf._as_seen("\u2068אב\u2069: 20.0 kg")
    assert seen == "בא: 20.0 kg"
    owner_page_pdf._register_fonts()
    joined = owner_page_pdf._as_seen(owner_page_pdf._drawable("\u2068بطارية\u2069: 20.0 kg"))
    assert joined.endswith(": 20.0 kg")
    assert all("\ufb50" <= letter <= "\ufeff" for letter in joined.partition(":")[0])
    assert owner_page_pdf._as_seen("plain: 3 kg") == "plain: 3 kg"
