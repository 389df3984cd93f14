from __future__ import annotations

import numpy as np
import pytest
from workshop_layouts import MADE, layout_of

from fitcheck.drawn import scene_of
from fitcheck.errors import NOWHERE
from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.makeable.contour import polygon_of
from fitcheck.makeable.gauges import MOST_GAUGES, gauges
from fitcheck.model.part import Build
from fitcheck.model.quantity import exact
from fitcheck.model.rules import Concession
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.run import check_study
from fitcheck.sources import PRACTICE
from fitcheck.study import Study

RULE = Rule(name="every module – every enclosure", text="weld beads", source=PRACTICE)
AGED = "end of life"


def gap(parts, low, value, high, required, status=Status.MET, state="beginning of life") -> Finding:
    band = Band(value=value, low=low, high=high, rss_low=low, rss_high=high)
    return Finding(
        check="gap", parts=parts, build="proposed", state=state, status=status, rule=RULE, band=band, unit="mm",
        required=required, points=((value, 50.0, 25.0), (0.0, 50.0, 25.0)),
    )  # fmt: skip


def box(name: str, low, high) -> DrawnPart:
    import trimesh

    mesh = trimesh.creation.box(bounds=[low, high])
    return DrawnPart(
        name=name, role="other", change="new", vertices=np.array(mesh.vertices), faces=np.array(mesh.faces)
    )


def made(findings, concessions=(), parts=(), away: float = 0.0):
    """Gauges where the second part of each finding is a wall at x = 0 and the first stands before it, beyond the end of
    the wall by `away` where that is not 0."""
    placed = []
    for finding in findings:
        if finding.state == AGED:
            continue
        one, other = finding.parts
        low = 50.0 if not away else 100.0 + away
        placed.append(box(one, (finding.band.value, low, 10.0), (finding.band.value + 30.0, low + 40.0, 40.0)))
        placed.append(box(other, (-5.0, 0.0, 0.0), (0.0, 100.0, 50.0)))
    scene = Scene(title="", build="proposed", axes=("rearward", "right", "up"), parts=tuple(placed))
    return gauges(findings, {part.name: part for part in parts}, scene, concessions)


def width_at(piece, x: float) -> float:
    """How wide the gauge is there."""
    from shapely import LineString

    low, high = -1.0, piece.size[1] + 1.0
    return polygon_of(piece.outline).intersection(LineString([(x, low), (x, high)])).length


def test_the_long_end_is_the_least_gap_asked_for_and_the_short_end_the_largest_that_any_build_has():
    (gauge,), skipped = made([gap(("m1", "case"), 4.5, 6.0, 7.5, 5.0)])
    assert width_at(gauge, 5.0) == pytest.approx(5.0, abs=1e-9)
    assert width_at(gauge, gauge.size[0] - 5.0) == pytest.approx(7.5, abs=1e-9)
    assert [label.text for label in gauge.labels][:2] == ["GO 5", "NO-GO 7.50"]
    assert gauge.is_metal is False
    assert not skipped


def test_the_tightest_come_first_and_equal_widths_share_a_gauge():
    findings = [
        gap(("a", "b"), 9.0, 9.5, 10.0, 4.0),
        gap(("c", "d"), 5.0, 5.5, 6.0, 5.0),
        gap(("e", "f"), 5.2, 5.6, 6.0, 5.0),
    ]
    first, second = made(findings)[0]
    assert first.of_parts == ("c – d", "e – f")
    assert second.of_parts == ("a – b",)


def test_no_more_than_a_handful():
    findings = [gap((f"m{n}", "case"), 6.0 + n, 7.0 + n, 8.0 + n, 5.0) for n in range(12)]
    assert len(made(findings)[0]) == MOST_GAUGES


def test_a_gap_that_no_build_keeps_has_no_gauge_and_that_is_said():
    found, skipped = made([gap(("m1", "case"), 2.0, 3.0, 4.0, 5.0, Status.NOT_MET)])
    assert found == ()
    assert skipped == ("m1 – case: no gauge, no build keeps the 5 mm",)


def test_a_conceded_gap_is_gauged_down_to_what_was_conceded():
    conceded = Concession(
        check="gap", parts=("column", "m6"), down_to=exact("x", 1.2), because="trimmed", signed="AB", date="2026-01-01",
        at=NOWHERE,
    )  # fmt: skip
    finding = gap(("m6", "column"), 1.5, 2.0, 2.5, 5.0, Status.UNDER_CONCESSION)
    (gauge,), _ = made([finding], [conceded])
    assert gauge.labels[0].text == "GO 1.2"
    assert any("breaks easily" in text for text in gauge.says)


@pytest.mark.parametrize(
    "finding",
    [
        gap(("m1", "case"), 4.5, 6.0, 7.5, 5.0, state=AGED),
        gap(("m1", "case"), 140.0, 150.0, 160.0, 5.0),
        gap(("m1", "case"), 4.5, 6.0, 7.5, 0.0),
    ],
    ids=["aged", "wide", "nothing asked"],
)
def test_what_is_not_gauged(finding):
    assert made([finding]) == ((), ())


def parts_of(text: str):
    return layout_of(text).parts


def test_a_part_with_play_is_pushed_toward_the_other_for_both_ends():
    findings = [gap(("pad_1", "pad_2"), 8.5, 9.0, 9.5, 8.0), gap(("m1", "case"), 6.5, 7.0, 7.5, 6.0)]
    parts = parts_of(MADE.replace("low_corner: [500, 20, 0]", "low_corner: [500, 20, 0]\n    play: {x: 3}", 1))
    loose, held = sorted(made(findings, parts=parts)[0], key=lambda piece: "m1" in piece.name)
    assert any(text.startswith("pad_1, pad_2 can move as held: push it toward") for text in loose.says)
    assert not any("push" in text for text in held.says)


GROWN = MADE.replace("    mass: 10\n", "    mass: 10\n    grows: {y: 1.5 %}\n")


def test_the_long_end_is_what_a_new_module_needs_to_keep_its_gap_as_it_grows():
    """Of 1 mm asked for, 1.7 is gone at the end of life; the tolerance of the size, 0.6, adds 1.5 % of itself."""
    findings = [gap(("m1", "case"), 1.5, 3.0, 6.1, 1.0), gap(("m1", "case"), -0.2, 1.3, 4.4, 1.0, state=AGED)]
    (gauge,), skipped = made(findings, parts=parts_of(GROWN))
    assert width_at(gauge, 5.0) == pytest.approx(2.71, abs=1e-9)
    assert width_at(gauge, gauge.size[0] - 5.0) == pytest.approx(6.1, abs=1e-9)
    assert not skipped
    text = " ".join(gauge.says)
    assert "long end 2.71, for new modules: 1 that is asked for or conceded, and 1.71 that growth takes" in text
    assert "the largest gap that any build within the stated tolerances has, all parts new" in text
    assert "NEW MODULES: GROWTH 1.71 IS IN GO" in [label.text for label in gauge.labels]


PACK = """\
fitcheck: 1
title: two modules
units: {length: mm, mass: kg}
axes: {x: rearward, y: right, z: up}
datum: corner
defaults: {known_by: drawing}
parts:
  m1: {role: module, change: new, mass: 10, grows: {y: 2 ± 0.4 %}, shape: {box: [400, 200 ± 1.5, 120]},
       low_corner: [0, 0, 0]}
  m2: {role: module, change: new, mass: 10, grows: {y: 1.5 %}, shape: {box: [400, 180 ± 2, 120]},
       place: {front: flush with m1, bottom: flush with m1, left: 9 ± 0.5 clear of m1 right}}
gaps: [{between: [every module, every module], at_least: 2}]
"""


def test_a_build_that_lets_the_long_end_in_when_new_keeps_what_is_asked_at_the_end_of_life():
    """Both keep their middles and grow to both sides: by hand, for the corners of all tolerances. Gaps as placed are
    8.5 to 9.5; smaller ones stand for a build that is out of tolerance, which is what a gauge is for."""
    layout = layout_of(PACK)
    study = Study(layout, lambda mesh: None)
    findings = check_study(study, Build.PROPOSED).findings
    scene = scene_of(study, Build.PROPOSED, ())
    (gauge,), _ = gauges(findings, {part.name: part for part in layout.parts}, scene)
    go = width_at(gauge, 5.0)
    aged = [
        go - (one * share + other * 0.015) / 2.0
        for one in (198.5, 201.5) for other in (178.0, 182.0) for share in (0.016, 0.024)
    ]  # fmt: skip
    assert min(aged) >= 2.0
    assert min(aged) < 2.0 + 0.15, "little more than is needed"


def test_a_gap_that_growth_closes_in_every_build_has_no_gauge_and_that_is_said():
    findings = [gap(("m1", "case"), 4.0, 5.0, 6.0, 5.0), gap(("m1", "case"), 2.0, 3.0, 4.0, 5.0, state=AGED)]
    found, skipped = made(findings, parts=parts_of(GROWN))
    assert found == ()
    assert skipped == (
        "m1 – case: no gauge, no build keeps the 5 mm after the 2.01 mm that growth takes by the end of life",
    )


def test_a_concession_at_the_end_of_life_goes_into_the_long_end():
    conceded = Concession(
        check="gap", parts=("m1", "case"), down_to=exact("x", 1.2), because="trimmed", signed="AB", date="2026-01-01",
        at=NOWHERE,
    )  # fmt: skip
    findings = [
        gap(("m1", "case"), 5.0, 6.0, 7.0, 4.0),
        gap(("m1", "case"), 2.0, 3.0, 4.0, 4.0, Status.UNDER_CONCESSION, state=AGED),
    ]
    (gauge,), _ = made(findings, [conceded], parts_of(GROWN))
    assert gauge.labels[0].text == "GO 4.21", "1.2 and 3.01 are more than the 4 of a new one"


def test_edges_without_faces_have_no_gauge_and_that_is_said():
    found, skipped = made([gap(("m1", "case"), 4.5, 6.0, 7.5, 5.0)], away=0.5)
    assert found == ()
    (text,) = skipped
    assert text.startswith("m1 – case: no gauge, no faces lie opposite each other")
    assert "at least 1 × 6 mm" in text
    assert "caliper" in text


def test_the_short_end_is_rounded_as_the_study_prints_its_band():
    (gauge,), _ = made([gap(("m1", "case"), 9.558, 12.7, 16.270255, 5.0)])
    assert gauge.labels[1].text == "NO-GO 16.28"
    assert width_at(gauge, gauge.size[0] - 5.0) == pytest.approx(16.28, abs=1e-9)


def test_a_gauge_says_across_which_gap_it_goes():
    (gauge,), _ = made([gap(("m1", "case"), 4.5, 6.0, 7.5, 5.0)])
    assert any("goes across the gap along x (rearward) for m1 – case" in text for text in gauge.says)


def test_very_many_pairs_are_named_in_part():
    findings = [gap((f"m{n}", "case"), 6.0, 7.0, 8.0, 5.0) for n in range(40)]
    (gauge,), _ = made(findings)
    assert len(gauge.of_parts) == 40
    assert all(len(text) < 500 for text in gauge.says)
    left = [gap((f"m{n}", "case"), 6.0 + n, 7.0 + n, 8.0 + n, 5.0) for n in range(40)]
    (text,) = made(left)[1]
    assert "and 22 more pairs: no gauge, more to spare than with the 6 kinds that are made" in text
