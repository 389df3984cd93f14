"""What the 3D view is given: bodies kept once, edges as a draughtsman draws them, findings in words, nothing unsafe."""

from __future__ import annotations

import base64
import json
import re

import numpy as np
import pytest
from made_up import CANNOT, MET_END, NOT_MET, UNCHECKED, box, joined, scene, tray
from made_up_paths import EVERY, NARROW_GROOVE, OVER_THE_CLIP, STRAIGHT, board

from fitcheck.findings import Status
from fitcheck.report.model3d import fragment, model_of
from fitcheck.report.model3d.body import body, welded
from fitcheck.report.model3d.thin import most_each, thinned
from fitcheck.report.path_legs import path_of
from fitcheck.report.path_plane import path_plane
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.section_view import plane_of


def one(*parts, build="proposed", axes=("rearward", "right", "up"), aged=None) -> Scene:
    return Scene(title="bay", build=build, axes=axes, parts=parts, aged=aged)


def both(*parts, **more) -> Scenes:
    return Scenes(original=one(build="original"), proposed=one(*parts, **more))


def body_of(part: DrawnPart):
    corners, faces, size = welded(part.vertices - part.vertices.min(axis=0), part.faces)
    return body(corners, faces, size, len(faces))


def cube(name, at, change="new", side=10.0):
    return box(name, "module", change, at, np.add(at, side))


def ball(count: int, radius=50.0) -> DrawnPart:
    """A closed sphere of about `count` triangles."""
    rings = int((count / 2) ** 0.5)
    around = np.linspace(0, 2 * np.pi, rings, endpoint=False)
    down = np.linspace(0, np.pi, rings + 1)
    a, d = np.meshgrid(around, down)
    points = radius * np.stack([np.cos(a) * np.sin(d), np.sin(a) * np.sin(d), np.cos(d)], axis=-1)
    here = np.arange(rings)[:, None] * rings + np.arange(rings)
    beside = np.arange(rings)[:, None] * rings + (np.arange(rings) + 1) % rings
    faces = np.vstack(
        [
            np.stack([here, here + rings, beside], axis=-1).reshape(-1, 3),
            np.stack([beside, here + rings, beside + rings], axis=-1).reshape(-1, 3),
        ]
    )
    return DrawnPart(name="ball", role="module", change="new", vertices=points.reshape(-1, 3), faces=faces)


def data_of(markup: str):
    return json.loads(re.search(r'<script type="application/json" id="model-data">(.*?)</script>', markup, re.S)[1])


def test_a_box_has_its_twelve_edges_and_an_inside():
    made = body_of(box("a", "module", "new", (0, 0, 0), (10, 20, 30)))
    assert len(made.corners) == 8
    assert len(made.edges) == 12
    assert made.closed
    ends = made.corners[made.edges].astype(int)
    assert (np.count_nonzero(ends[:, 0] - ends[:, 1], axis=1) == 1).all()


def test_corners_lie_within_half_a_step_of_where_they_were():
    points = np.random.default_rng(3).uniform(0, (1300, 800, 160), (500, 3))
    points[0] = 0
    faces = np.arange(498).reshape(-1, 3)
    corners, _, size = welded(points, faces)
    back = corners * (size / 65534)
    nearest = np.abs(back[None] - points[:498, None]).max(axis=2).min(axis=1)
    assert nearest.max() <= 1300 / 65534 / 2 + 1e-9


def test_a_round_surface_has_no_edges_and_one_with_a_hole_is_not_closed():
    whole = ball(5000)
    assert len(body_of(whole).edges) == 0
    assert body_of(whole).closed
    holed = DrawnPart(name="h", role="module", change="new", vertices=whole.vertices, faces=whole.faces[300:])
    made = body_of(holed)
    assert not made.closed
    assert len(made.edges) > 0


def test_joined_pieces_are_closed():
    assert body_of(tray("case", (900, 450, 160), 2, 2.5, 12)).closed


def test_parts_that_look_alike_share_a_body_wherever_they_stand():
    model = model_of(
        both(cube("a", (0.1, 0.2, 0.3)), cube("b", (700.1, 33.3, 0.3)), cube("c", (0, 50, 0), side=11.0)), ()
    )
    assert len(model.bodies) == 2
    places = model.builds[1].places
    assert [place.body for place in places] == [0, 0, 1]
    assert places[1].low == (700.1, 33.3, 0.3)


def test_thinning_is_even_said_and_repeatable():
    scenes = both(*(DrawnPart(name=f"p{n}", role="module", change="new", vertices=ball(c).vertices, faces=ball(c).faces)
                    for n, c in enumerate((400, 8000, 20000))))  # fmt: skip
    full = model_of(scenes, ())
    assert not any("fewer triangles" in words for words in full.says)
    model = model_of(scenes, (), most_triangles=10_000)
    assert model.triangles <= 10_100
    assert len(model.bodies[0].faces) == len(full.bodies[0].faces)
    assert [len(each.faces) for each in model.bodies[1:]] == pytest.approx([4800, 4800], abs=60)
    assert any(words.startswith("For display, 2 parts drawn with fewer triangles (9 9") for words in model.says)
    assert fragment(model) == fragment(model_of(scenes, (), most_triangles=10_000))


def test_a_thinned_ball_stays_a_ball():
    part = ball(8000)
    points, faces = thinned(part.vertices, part.faces, 800)
    assert len(faces) <= 800
    assert np.linalg.norm(points, axis=1) == pytest.approx(50, abs=0.6)


@pytest.mark.parametrize(
    ("counts", "uses", "most", "each"),
    [
        ([10, 20], [1, 1], 30, None),
        ([1000, 1000], [1, 3], 2000, 500),
        ([100, 9000], [2, 1], 5000, 4800),
        ([900], [9], 90, 200),
    ],
)
def test_the_share_of_each_body(counts, uses, most, each):
    assert most_each(counts, uses, most) == each


def test_the_order_of_assembly_is_told():
    case = box("case", "enclosure", "retained", (-1, -1, -1), (99, 99, 30))
    scenes = both(case, cube("m1", (0, 0, 0)), cube("m2", (20, 0, 0)), cube("m3", (40, 0, 0)))
    names = [part.name for part in model_of(scenes, ()).parts]
    plain = model_of(scenes, ())
    assert [names[step] for step in plain.steps] == ["m1", "m2", "m3"]
    assert "Steps: the new parts in the order of the layout, which states no assembly sequence." in plain.says
    stated = model_of(scenes, (), steps=("m2", "m1", "elsewhere"))
    assert [names[step] for step in stated.steps] == ["m2", "m1", "m3"]
    assert "Steps: the assembly sequence of the layout, then the new parts that it does not name." in stated.says


def test_findings_keep_their_numbers_and_say_it_in_words():
    findings = (UNCHECKED, NOT_MET, CANNOT, MET_END)
    told = model_of(Scenes(original=scene(), proposed=scene()), findings, of_solved={2}).told
    assert [one.number for one in told] == [1, 2, 3]
    assert told[0].word == "not met"
    assert told[0].sign == "✕"
    assert told[0].text == "gap between m1 and case: 3.70 to 4.70 mm, asked for at least 5.00 mm (beginning of life)"
    assert told[0].value == "4.20 mm as drawn"
    assert [one.builds for one in told] == [("proposed",), ("solved",), ("proposed",)]
    assert told[2].aged


def test_what_stays_and_comes_is_listed_before_what_goes():
    gone, kept = cube("gone", (0, 0, 0), "removed"), cube("kept", (50, 0, 0), "retained")
    came = box("came", "lid", "new", (0, 0, 20), (90, 90, 22), status=Status.NOT_MET)
    model = model_of(Scenes(original=one(gone, kept, build="original"), proposed=one(kept, came)), ())
    assert [part.name for part in model.parts] == ["kept", "came", "gone"]
    assert model.parts[1].see_through
    assert (model.parts[1].sign, model.parts[1].word) == ("✕", "not met")


def test_directions_follow_the_axes():
    model = model_of(both(cube("a", (0, 0, 0)), axes=("up", "left", "rearward")), ())
    assert dict(model.directions) == {"rearward": (0, 0, 1), "right": (0, -1, 0), "up": (1, 0, 0)}
    assert model.faces == (("bottom", "top"), ("right", "left"), ("front", "rear"))


def test_the_end_of_life_has_its_own_places():
    grown = one(cube("a", (0, 0, 0), side=10.4))
    model = model_of(both(cube("a", (0, 0, 0)), aged=grown), ())
    assert [place.body for place in model.builds[1].aged] == [1]


def test_hostile_text_cannot_leave_the_data():
    name = "</script><script>alert(1)</script><!-- & \u2028"
    piece = fragment(model_of(both(cube(name, (0, 0, 0))), ()))
    assert piece.markup.count("</script") == 1
    assert "<!--" not in piece.markup
    assert "\u2028" not in piece.markup
    assert data_of(piece.markup)["parts"][0]["name"] == name


def test_bodies_come_back_out_of_the_page_as_they_went_in():
    model = model_of(both(joined(cube("a", (0, 0, 0)), cube("a", (30, 0, 0), side=5))), ())
    packed = data_of(fragment(model).markup)["bodies"][0]
    assert not packed["wide"]
    for field, kind in (("corners", "<u2"), ("faces", "<u2"), ("edges", "<u2")):
        back = np.frombuffer(base64.b64decode(packed[field]), kind)
        assert (back == getattr(model.bodies[0], field).reshape(-1)).all()


def test_nothing_is_fetched_and_the_library_comes_with_its_licence():
    piece = fragment(model_of(both(cube("a", (0, 0, 0))), ()))
    assert "three.js authors" in piece.script
    assert "Permission is hereby granted" in piece.script
    assert not re.search(r"""(?:src|href)=["'](?!data:)""", piece.markup)
    assert not re.search(r"@import|url\(", piece.style)
    assert not re.search(r"\b(?:fetch\(|import\(|sendBeacon|WebSocket)", piece.script.rpartition("'use strict';")[2])


def test_a_finding_is_seen_from_where_its_section_is():
    whole = scene()
    told = model_of(Scenes(original=scene(), proposed=whole), (NOT_MET, CANNOT, UNCHECKED)).told
    for one, finding in zip(told, (NOT_MET, CANNOT), strict=True):
        assert one.eye == pytest.approx(plane_of(whole, finding).normal)
    without = model_of(both(cube("m1", (0, 0, 0))), (NOT_MET,)).told
    assert without[0].eye is None, "one of its parts is not drawn"


def test_a_finding_of_both_layouts_belongs_to_both_builds():
    told = model_of(Scenes(original=scene(), proposed=scene()), (NOT_MET, CANNOT), of_both={1}).told
    assert [one.builds for one in told] == [("proposed",), ("proposed", "solved")]


def test_a_path_is_told_leg_by_leg_with_all_that_it_touches():
    whole = board()
    model = model_of(Scenes(original=board(), proposed=whole), EVERY)
    names = [part.name for part in model.parts]
    by_finding = dict(zip(EVERY, model.told, strict=True))
    clip = by_finding[OVER_THE_CLIP]
    assert [leg.line for leg in clip.legs] == ["surface", "through", "surface"]
    assert [names[part] for part in clip.over] == ["board", "clip"]
    assert [None if leg.part is None else names[leg.part] for leg in clip.legs] == ["board", "clip", "board"]
    assert clip.legs[1].figure == "b 0"
    assert clip.legs[1].words == "b 4.47 mm across clip, metal without a potential: counts nothing"
    narrow = by_finding[NARROW_GROOVE]
    assert [leg.line for leg in narrow.legs] == ["surface", "bridged", "surface"]
    assert [leg.figure for leg in narrow.legs] == ["a 1.60", "b 0.80", "c 1.60"]
    assert narrow.eye == pytest.approx(path_plane(whole, NARROW_GROOVE, path_of(NARROW_GROOVE, whole)).plane.normal)
    assert by_finding[STRAIGHT].legs == (), "a straight way is one line"
