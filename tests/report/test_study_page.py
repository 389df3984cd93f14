"""The study page as a document: what stands where, nothing of a layout's text becomes markup, no colour too faint."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from importlib import resources

import pytest
from made_up import CANNOT, CONCEDED, GAP, MET, NOT_MET, UNCHECKED, box, gap, result, scene

from fitcheck.findings import Status
from fitcheck.makeable.piece import CutRemark
from fitcheck.model.quantity import exact
from fitcheck.report.scene import Scene, Scenes
from fitcheck.report.study_page import study_page
from fitcheck.report.workshop.made import Made
from fitcheck.result_study import StudyResult
from fitcheck.sources import PRACTICE

ORDER = [
    "verdict", "places", "findings", "model", "views", "made", "balance", "assembly", "not-covered", "rules", "basis",
    "study", "cautions",
]  # fmt: skip

HOSTILE = "<script>alert(1)</script>\" onmouseover='x'"

PAGES = {
    "gap": "Gap: near enough?\n\nWhat it checks\n    Every `gap`, and\n    <no> more.\n\nSource\n    None.\n",
    "level": "no",
}


class Read(HTMLParser):
    """Elements with their attributes, and the text in them, in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_data(self, data):
        self.texts.append(data)

    def having(self, name: str) -> list[str]:
        return [attributes[name] for _, attributes in self.elements if name in attributes]


def page(*findings, drawn: Scene | None = None, **more) -> str:
    whole = result(*findings)
    shown = drawn or scene()
    study = StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()))
    scenes = Scenes(original=replace(shown, build="original"), proposed=shown)
    return study_page(study, scenes, made_on="2026-03-02", version="1.2.3", **more)


@pytest.fixture(scope="module")
def text() -> str:
    return page(pages=PAGES, steps=("pad_1", "m1"))


@pytest.fixture(scope="module")
def read(text) -> Read:
    return Read(text)


def test_the_sections_stand_in_their_order(read):
    ids = [attributes["id"] for tag, attributes in read.elements if tag == "section"]
    assert ids == ORDER


def test_every_link_of_the_page_leads_somewhere_in_it(read):
    ids = read.having("id")
    assert len(ids) == len(set(ids))
    links = read.having("href")
    assert links
    assert {link[1:] for link in links if link.startswith("#")} <= set(ids)


def test_nothing_is_fetched(read, text):
    addresses = [*read.having("src"), *(link for link in read.having("href") if not link.startswith("#"))]
    assert addresses == ["data:,"]
    assert "@import" not in text
    assert re.findall(r"url\((?!#|data:)", text) == []
    policy = next(value for value in read.having("content") if "default-src" in value)
    assert policy.startswith("default-src 'none'")


def test_equal_inputs_give_equal_text(text):
    assert page(pages=PAGES, steps=("pad_1", "m1")) == text


def test_the_rows_stand_worst_first_and_carry_sign_and_word(read):
    ranks = [int(value) for value in read.having("data-rank")]
    assert ranks == sorted(ranks)
    assert set(read.having("data-key")) == {"not-met", "cannot-tell", "under-concession", "not-checked", "met"}
    words = "".join(read.texts)
    for status in Status:
        assert status.value in words


def test_one_finding_is_one_row_with_what_it_carries(text):
    table = text[text.index("<tbody>", text.index('<section id="findings"')) : text.index('<section id="model"')]
    row = next(line for line in table.split("<tr ") if "m1\ncase" in line)
    assert table.count("move m1 rear by 1.3 mm") == row.count("move m1 rear by 1.3 mm") == 1
    words = " ".join("".join(Read(row).texts).split())
    for told in ("not met", "gap", "m1 – case", "3.70 to 4.70 mm", "at least 5.00 mm", "−1.30 mm", "4.20 mm", GAP.name):
        assert told in words


def test_what_to_do_stands_beside_the_verdict(text):
    top = text[text.index('<section id="verdict"') : text.index('<section id="places"')]
    assert "does not fit" in top
    assert "Measure the inside width (y) of case to ± 0.5 mm <small>(in the layout: case.inside.y)</small>" in top
    assert "Move m1 rear by 1.3 mm" in top
    assert "not an approval" in top


def test_file_fingerprint_date_and_version_are_told(read):
    words = "".join(read.texts)
    for told in ("shuttle.yaml", "ab" * 32, "2026-03-02", "1.2.3"):
        assert told in words


def test_values_taken_as_exact_and_guesses_are_named(read):
    words = "".join(read.texts)
    for told in ("lid.x", "lid.y", "duct.mass", "never called met"):
        assert told in words


def test_the_order_of_assembly_is_as_stated(text):
    stated = text[text.index('<section id="assembly"') :]
    assert stated.index("<li>pad_1</li>") < stated.index("<li>m1</li>")


def test_only_the_pages_of_checks_that_ran_are_shown(text):
    assert "Gap: near enough?" in text
    assert "Every <code>gap</code>, and &lt;no&gt; more." in text
    assert text.count('<details class="openprint page">') == 1


def test_a_hostile_name_stays_text():
    parts = (
        box(HOSTILE, "module", "new", (0, 0, 0), (10, 10, 10)),
        box("case", "enclosure", "retained", (14, 0, 0), (20, 9, 9)),
    )
    drawn = Scene(title=HOSTILE, build="proposed", axes=("rearward", "right", "up"), parts=parts)
    finding = gap((HOSTILE, "case"), 3.0, 4.0, 5.0, 6.0, Status.NOT_MET, points=((10, 5, 5), (14, 5, 5)),
                  mend=HOSTILE, reason=HOSTILE, settle_by=HOSTILE)  # fmt: skip
    whole = replace(result(finding), title=HOSTILE, file=HOSTILE, not_covered=(HOSTILE,), notes=(HOSTILE,))
    study = StudyResult(check=whole, balance=replace(whole, verb="balance"))
    text = study_page(study, Scenes(original=drawn, proposed=drawn), made_on=HOSTILE, version="1", steps=(HOSTILE,))
    read = Read(text)
    kinds = [attributes.get("type", "") for tag, attributes in read.elements if tag == "script"]
    assert kinds == ["", "application/json", "", ""]
    assert [name for _, attributes in read.elements for name in attributes if name.startswith("on")] == []
    assert "alert(1)" in "".join(read.texts)
    assert "<script>alert" not in text


def test_a_study_without_parts_or_findings_is_still_a_page():
    empty = Scene(title="", build="proposed", axes=("rearward", "right", "up"), parts=())
    whole = replace(result(MET), findings=(), balance=None, room=(), title="")
    study = StudyResult(check=whole, balance=replace(whole, verb="balance"))
    text = study_page(study, Scenes(original=empty, proposed=empty), made_on="today", version="1")
    expected = [name for name in ORDER if name != "assembly"]
    assert [attributes["id"] for tag, attributes in Read(text).elements if tag == "section"] == expected
    assert "no parts to draw" in text


def test_what_is_not_stated_is_neither_in_the_menu_nor_a_heading(read, text):
    linked = [attributes["href"] for tag, attributes in read.elements if tag == "a" and attributes.get("href")]
    assert not {"#heights", "#screws"} & set(linked)
    assert "#assembly" in linked
    assert "The layout states no heights to be found or screws;" in text


def test_what_the_workshop_makes_stands_there_with_what_is_open():
    made = (
        Made(name=HOSTILE, kind="part", how="cut flat", quantity=3, material="steel", stem="pad__qty3",
             for_parts=("a", "b"), third=exact("t", 8.0), size=(60.0, 40.0),
             settle=(CutRemark(text="H1 is narrow", source=PRACTICE),)),
        Made(name="cap", kind="part", how="by its drawing", quantity=1, material="", stem="cap", for_parts=("cap",),
             says=("a tray is folded or welded",)),
    )  # fmt: skip
    words = " ".join(Read(page(made=made)).texts)
    for said in ("What is to be made", HOSTILE, "a, b", "pad__qty3", "60 × 40 × 8",
                 "pad__qty3: H1 is narrow. Source: common practice (no source)",
                 "NOT STATED: settle before cutting", "cap: a tray is folded or welded"):  # fmt: skip
        assert said in words, said
    assert "Nothing in the layout is made" in page(made=())
    assert "Not worked out on this page" in page()


def test_it_says_how_many_places_are_drawn():
    parts = [box(f"p{at}", f"role {at}", "new", (20 * at, 0, 0), (20 * at + 10, 9, 9)) for at in range(20)]
    drawn = Scene(title="row", build="proposed", axes=("rearward", "right", "up"), parts=tuple(parts))
    findings = [
        gap((f"p{at}", f"p{at + 1}"), 9, 10, 11, 2, Status.MET, points=((20 * at + 10, 4, 4), (20 * at + 20, 4, 4)))
        for at in range(19)
    ]
    text = page(*findings, drawn=drawn)
    assert "12 of 19 places" in text
    assert len(re.findall('<figure class="plate', text)) == 12


def test_all_statuses_can_head_the_page():
    for findings, word in (((MET,), "fits"), ((MET, CONCEDED), "fits under concession"), ((CANNOT,), "cannot tell"),
                           ((UNCHECKED,), "cannot tell"), ((NOT_MET,), "does not fit")):  # fmt: skip
        heading = page(*findings).split('<h2 id="verdict-title">')[1].split("</h2>")[0]
        assert f"<b>{word}</b>" in heading


# ---- colours


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def palettes() -> dict[str, dict[str, str]]:
    """The colours of each of the three looks; "#fff" is spelt out."""
    style = (resources.files("fitcheck.report.study_page") / "page.css").read_text(encoding="utf-8")
    blocks = re.findall(r":root \{([^}]*)\}", style)
    found = {}
    for name, block in zip(("light", "dark", "print"), blocks, strict=True):
        colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})", block))
        found[name] = {
            key: value if len(value) == 7 else "#" + "".join(2 * digit for digit in value[1:])
            for key, value in colours.items()
        }
    return found


def test_the_contrast_formula_knows_black_on_white():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0, abs=1e-9)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.478, abs=5e-4)


@pytest.mark.parametrize("look", ["light", "dark", "print"])
@pytest.mark.parametrize("ground", ["paper", "card", "shade"])
def test_text_can_be_read(look, ground):
    colours = palettes()[look]
    words = ["ink", "quiet", "accent", *(status.value.replace(" ", "-") for status in Status)]
    faint = {word: round(contrast(colours[word], colours[ground]), 2) for word in words}
    assert {word: ratio for word, ratio in faint.items() if ratio < 4.5} == {}


@pytest.mark.parametrize("look", ["light", "dark", "print"])
def test_lines_can_be_seen_on_what_they_are_drawn(look):
    colours = palettes()[look]
    for ground in ("one", "two", "rest", "link", "card", "paper"):
        assert contrast(colours["line"], colours[ground]) >= 4.5, ground
    for ground in ("card", "paper"):
        assert contrast(colours["wrong"], colours[ground]) >= 3.0, ground


@pytest.mark.parametrize("look", ["light", "dark", "print"])
def test_the_two_parts_of_a_pair_differ_to_every_eye(look):
    """Their fills are told apart by blue against yellow, which red-green colour blindness leaves alone."""
    colours = palettes()[look]

    def yellowness(colour: str) -> int:
        red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
        return (red + green) // 2 - blue

    assert yellowness(colours["two"]) - yellowness(colours["one"]) >= 60
