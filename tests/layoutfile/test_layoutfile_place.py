"""Placing words in every sense of the axes, corners, circles."""

from __future__ import annotations

import pytest
from written import CASE, layout_text, only, place_of, problems, read

from fitcheck.layoutfile.faces import axes_problem
from fitcheck.model.part import Feature

BOX = "shape: {box: [100, 80, 60]}, mass: 5"
M1 = f"  m1: {{role: module, change: new, {BOX}, low_corner: [10, 20, 0]}}\n"


def placed(words: str, *, axes: str = "", others: str = M1, extra: str = ""):
    """The placings by axis of a part `p` with those entries under `place`."""
    text = layout_text(f"{others}  p: {{role: module, change: new, {BOX}{extra}, place: {{{words}}}}}\n", above=axes)
    return {placing.axis: placing for placing in read(text).by_name["p"].placings}


REST = ", left: flush with m1, bottom: flush with m1"


@pytest.mark.parametrize(
    ("words", "feature", "reference", "plane", "offset", "sign", "touching"),
    [
        ("front: 12 clear of case inside front", "low", "case", "inside low", 12, 1, False),
        ("front: 12 clear of case inside", "low", "case", "inside low", 12, 1, False),
        ("front: 4 clear of m1 rear", "low", "m1", "high", 4, 1, False),
        ("front: 4 clear of m1", "low", "m1", "high", 4, 1, False),
        ("front: 4 clear of m1 front", "low", "m1", "low", 4, -1, False),
        ("rear: 4 clear of m1 front", "high", "m1", "low", 4, -1, False),
        ("rear: 4 clear of m1", "high", "m1", "low", 4, -1, False),
        ("rear: 7 clear of case inside rear", "high", "case", "inside high", 7, -1, False),
        ("front: against m1 rear", "low", "m1", "high", None, 1, True),
        ("front: on m1", "low", "m1", "high", None, 1, True),
        ("rear: against m1", "high", "m1", "low", None, 1, True),
        ("front: against case inside", "low", "case", "inside low", None, 1, True),
        ("rear: against case inside rear", "high", "case", "inside high", None, 1, True),
        ("front: flush with m1", "low", "m1", "low", None, 1, False),
        ("front: flush with m1 rear", "low", "m1", "high", None, 1, False),
        ("rear: flush with case inside", "high", "case", "inside high", None, 1, False),
        ("front: 5 past m1", "low", "m1", "low", 5, -1, False),
        ("front: 5 short of m1", "low", "m1", "low", 5, 1, False),
        ("rear: 5 past m1", "high", "m1", "high", 5, 1, False),
        ("rear: 5 short of m1", "high", "m1", "high", 5, -1, False),
        ("centre: {x: m1}", "middle", "m1", "middle", None, 1, False),
        ("centre: {x: case inside}", "middle", "case", "inside middle", None, 1, False),
    ],
)
def test_words(words, feature, reference, plane, offset, sign, touching):
    placing = placed(words + REST)[0]
    assert placing.feature == Feature(feature)
    assert (placing.reference, placing.reference_feature) == (reference, Feature(plane))
    assert (placing.offset.nominal if placing.offset else None) == offset
    assert (placing.sign, placing.touching) == (sign, touching)


UPRIGHT = ", front: flush with m1, left: flush with m1"


@pytest.mark.parametrize(
    ("words", "feature", "reference", "plane", "sign", "touching"),
    [
        ("bottom: on case floor", "low", "case", "inside low", 1, True),
        ("bottom: 3 clear of case floor", "low", "case", "inside low", 1, False),
        ("bottom: on case rim", "low", "case", "high", 1, True),
        ("bottom: 3 clear of case rim", "low", "case", "high", 1, False),
        ("top: flush with case rim", "high", "case", "high", 1, False),
        ("top: 3 short of case", "high", "case", "high", -1, False),
        ("bottom: on m1", "low", "m1", "high", 1, True),
        ("top: against m1 bottom", "high", "m1", "low", 1, True),
    ],
)
def test_upright_words(words, feature, reference, plane, sign, touching):
    placing = placed(words + UPRIGHT)[2]
    assert (placing.feature, placing.reference) == (Feature(feature), reference)
    assert (placing.reference_feature, placing.sign, placing.touching) == (Feature(plane), sign, touching)


@pytest.mark.parametrize(
    ("axes", "face", "axis", "feature", "facing", "sign"),
    [
        ("{x: rearward, y: right, z: up}", "front", 0, "low", "high", 1),
        ("{x: forward, y: left, z: up}", "front", 0, "high", "low", -1),
        ("{x: forward, y: left, z: up}", "left", 1, "high", "low", -1),
        ("{x: forward, y: right, z: down}", "bottom", 2, "high", "low", -1),
        ("{x: forward, y: right, z: down}", "top", 2, "low", "high", 1),
        ("{x: right, y: forward, z: up}", "front", 1, "high", "low", -1),
        ("{x: left, y: rearward, z: up}", "left", 0, "high", "low", -1),
        ("{x: up, y: rearward, z: right}", "bottom", 0, "low", "high", 1),
        ("{x: right, y: up, z: rearward}", "rear", 2, "high", "low", -1),
    ],
)
def test_faces_follow_the_axes(axes, face, axis, feature, facing, sign):
    """`clear of` a part without a face means its facing side, whichever way the axes point."""
    centres = ", ".join(f"{letter}: m1" for number, letter in enumerate("xyz") if number != axis)
    words = f"{face}: 4 clear of m1, centre: {{{centres}}}"
    placing = placed(words, axes=f"axes: {axes}\n")[axis]
    assert (placing.feature, placing.reference_feature) == (Feature(feature), Feature(facing))
    assert placing.sign == sign


HANDED = [
    (("rearward", "right", "up"), True),
    (("forward", "left", "up"), True),
    (("forward", "right", "down"), True),
    (("rearward", "left", "down"), True),
    (("right", "forward", "up"), True),
    (("up", "rearward", "right"), True),
    (("rearward", "left", "up"), False),
    (("forward", "right", "up"), False),
    (("rearward", "right", "down"), False),
    (("right", "rearward", "up"), False),
    (("rearward", "forward", "up"), False),
    (("up", "right", "up"), False),
]


@pytest.mark.parametrize(("axes", "fine"), HANDED)
def test_handedness(axes, fine):
    assert (axes_problem(axes) is None) is fine


def test_tolerances_and_names_of_place_numbers():
    text = layout_text(
        M1 + f"  p: {{role: module, change: new, {BOX}, place: {{front: 12 ± 1 clear of m1 rear, left: 0.5 in past m1, "
        "bottom: 3 mm +0.2/-0.1 clear of case floor}}\n"
    )
    values = read(text).quantities
    front, left, bottom = (values[f"p.place.{face}"] for face in ("front", "left", "bottom"))
    assert (front.nominal, front.below, front.above, front.basis) == (12, 1, 1, "stated")
    assert (left.nominal, left.basis) == (12.7, "exact")
    assert (bottom.below, bottom.above) == (0.1, 0.2)
    assert (front.at.line, front.at.column) == place_of(text, "12 ± 1")


def test_corners():
    text = layout_text(
        M1 + f"  p: {{role: module, change: new, {BOX}, place: {{centre: {{x: 50, y: 60 ± 1, z: m1}}}}}}\n"
    )
    layout = read(text)
    case, m1, p = (layout.by_name[name] for name in ("case", "m1", "p"))
    assert [placing.feature for placing in case.placings] == [Feature.INSIDE_LOW] * 3
    assert [placing.feature for placing in m1.placings] == [Feature.LOW] * 3
    assert [placing.offset.nominal for placing in m1.placings] == [10, 20, 0]
    assert all(placing.reference is None for placing in (*case.placings, *m1.placings))
    assert (p.placings[0].reference, p.placings[0].offset.nominal) == (None, 50)
    assert layout.quantities["p.place.centre.y"].above == 1
    assert set(layout.quantities) >= {"case.inside_low_corner.x", "m1.low_corner.z"}


@pytest.mark.parametrize("quoted", ['"junction box (old)"', "'junction box (old)'"])
def test_names_in_quotes(quoted):
    others = M1.replace("m1:", "junction box (old):")
    words = f"front: 4 clear of {quoted} rear, left: flush with {quoted}, bottom: on {quoted}"
    assert {placing.reference for placing in placed(words, others=others).values()} == {"junction box (old)"}


def test_a_name_that_lacks_its_quotes():
    with_box = M1.replace("m1:", "junction box:")
    text = layout_text(
        with_box + f"  p: {{role: module, change: new, {BOX}, place: {{front: 4 clear of junction box rear, "
        "left: flush with case, bottom: on case floor}}\n"
    )
    problem = only(text)
    assert "'junction box' stands without quotes" in problem.what
    assert problem.mend == 'write "junction box" in quotes'


def test_a_name_that_begins_like_another():
    words = "front: 4 clear of m12 rear, left: flush with m1, bottom: on m1"
    problem = only(layout_text(M1 + f"  p: {{role: module, change: new, {BOX}, place: {{{words}}}}}\n"))
    assert (problem.what, problem.mend) == ("there is no part 'm12'", "did you mean 'm1'?")


TRAY = "shape: {tray: {inside: [100, 80, 60], wall: 2, floor: 2}}, mass: 5"


@pytest.mark.parametrize(
    ("turn", "fine"),
    [
        ("{z: 90}", True),
        ("{z: -180}", True),
        ("[{z: 90}, {z: 90}]", True),
        ("[{x: 90}, {x: -90}]", True),
        ("{z: 45}", False),
        ("{z: 90 ± 0.2}", False),
        ("{z: 1e-9}", False),
    ],
)
def test_the_inside_of_a_turned_tray(turn, fine):
    tray = f"  t: {{role: other, change: new, {TRAY}, turn: {turn}, low_corner: [300, 20, 0]}}\n"
    words = "front: 4 clear of t inside front, left: flush with t, bottom: on t floor"
    text = layout_text(tray + f"  p: {{role: module, change: new, {BOX}, place: {{{words}}}}}\n")
    if fine:
        assert read(text).by_name["p"].placings[0].reference_feature is Feature.INSIDE_LOW
    else:
        assert [problem.what.split(" is ")[1].split(",")[0] for problem in problems(text)] == [
            "turned by other than exact quarter turns"
        ] * 2


@pytest.mark.parametrize(
    ("turn", "words", "axis", "plane"),
    [
        ("{y: 90}", "front: against t floor", 0, "inside low"),  # the tray opens rearward
        ("{y: -90}", "rear: against t floor", 0, "inside high"),  # forward
        ("{x: -90}", "left: against t floor", 1, "inside low"),  # right
        ("[{x: -90}, {z: 90}]", "rear: against t floor", 0, "inside high"),  # right, then forward
        ("{x: 180}", "top: flush with t floor", 2, "inside high"),  # upside down
        ("{y: 90}", "front: 3 clear of t rim", 0, "high"),
    ],
)
def test_floor_and_rim_turn_with_the_tray(turn, words, axis, plane):
    tray = f"  t: {{role: other, change: new, {TRAY}, turn: {turn}, low_corner: [300, 20, 0]}}\n"
    centres = ", ".join(f"{letter}: t" for number, letter in enumerate("xyz") if number != axis)
    placing = placed(f"{words}, centre: {{{centres}}}", others=tray)[axis]
    assert placing.reference_feature is Feature(plane)


@pytest.mark.parametrize(
    ("words", "what", "mend"),
    [
        ("front: 4 clear of m1 left", "front lies across x, the left of m1 across y", "across x"),
        ("front: on case floor", "front lies across x, floor of case across z", "across x"),
        ("front: against m1 front", "look the same way and cannot touch", "flush with"),
        ("bottom: on case floor inside", "is no face", ""),
        ("front: 4 clear of m1 inside", "m1 is no tray and has no inside", "tray"),
        ("front: flush with m1 rim", "m1 is no tray and has no rim", "tray"),
        ("front: 4 clear of m2", "there is no part 'm2'", "write one of: case, m1, p"),
        ("front: 4 clear of m1 raer", "'raer' is no face of a part", "'rear'"),
        ("front: flush with p", "p is placed by itself", "another part"),
        ("front: -4 clear of m1", "a negative distance", "past or short of"),
        ("front: 4 kg clear of m1", "'4 kg' is a mass", "a length"),
        ("front: clear of m1", "needs a distance", "write 12 clear of m1"),
        ("front: 4 against m1", "'against' takes no distance", "against m1"),
        ("front: 4 flush with m1", "'flush with' takes no distance", "flush with m1"),
        ("front: 4 beyond m1", "is a number, not a place", "12 clear of m1 rear"),
        ("front: in front of m1", "does not say where the face stands", "12 clear of m1 rear"),
        ("front: agianst m1", "'agianst' means nothing", "'against'"),
        ("front: on (m1)", "no part is named", "in quotes"),
        ("centre: {x: m1 rear}", "a middle has no face 'rear'", "inside"),
        ("centre: {x: m1 inside}", "m1 is no tray", "tray"),
    ],
)
def test_words_that_are_refused(words, what, mend):
    axis_free = ", left: flush with m1, bottom: flush with m1"
    if words.startswith("bottom"):
        axis_free = UPRIGHT
    text = layout_text(f"{M1}  p: {{role: module, change: new, {BOX}, place: {{{words}{axis_free}}}}}\n")
    problem = only(text)
    assert what in problem.what
    assert mend in problem.mend
    value = words.split(": ", 1)[1].removeprefix("{x: ").removesuffix("}")
    assert (problem.at.line, problem.at.column) == place_of(text, value)


def test_inside_low_corner_is_for_trays():
    text = layout_text(M1.replace("low_corner", "inside_low_corner"))
    problem = only(text)
    assert problem.what == "m1 is no tray and has no inside_low_corner"
    assert (problem.at.line, problem.at.column)[0] == place_of(text, "  m1")[0]


def test_a_missing_axis_is_told_in_face_words():
    text = layout_text(f"{M1}  p: {{role: module, change: new, {BOX}, place: {{front: flush with m1}}}}\n")
    assert [(problem.what, problem.mend.split(" to ")[0]) for problem in problems(text)] == [
        ("p is not placed along y (right)", "add left or right"),
        ("p is not placed along z (up)", "add bottom or top"),
    ]


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("front: flush with m1, rear: flush with m1", "p is placed twice along x: by front and by rear"),
        ("left: flush with m1, centre: {y: m1}", "p is placed twice along y: by left and by centre"),
    ],
)
def test_twice_on_one_axis(words, what):
    text = layout_text(f"{M1}  p: {{role: module, change: new, {BOX}, place: {{{words}}}}}\n")
    assert what in [problem.what for problem in problems(text)]


def test_two_corners_are_twice_on_every_axis():
    text = layout_text(M1.replace("low_corner: [10, 20, 0]", "low_corner: [10, 20, 0], inside_low_corner: [0, 0, 0]"))
    found = problems(text)
    assert [problem.what for problem in found] == [
        f"m1 is placed twice along {axis}: by low_corner and by inside_low_corner" for axis in "xyz"
    ]
    assert {(problem.at.line, problem.at.column) for problem in found} == {
        (place_of(text, "  m1")[0], place_of(text, ", inside_low_corner")[1] + 2)
    }


def test_a_tray_that_stands_on_its_head_has_no_floor_to_stand_on():
    """With z down an unturned tray opens down; turned by 180 about x it opens up."""
    axes = "axes: {x: forward, y: right, z: down}\n"
    here = (
        f"  p: {{role: module, change: new, {BOX}, place: {{centre: {{x: case, y: case}}, bottom: on case floor}}}}\n"
    )
    problem = only(layout_text(here, above=axes))
    assert problem.what == "the floor of case looks the same way as my bottom and cannot touch it"
    assert "turn it so that it opens up" in problem.mend
    turned = layout_text(here, above=axes).replace("    mass: 11.5\n", "    mass: 11.5\n    turn: {x: 180}\n")
    placing = read(turned).by_name["p"].placings[2]
    assert (placing.feature, placing.reference_feature) == (Feature.HIGH, Feature.INSIDE_HIGH)


def test_circles_are_named_axis_by_axis():
    """Two parts may place each other, as long as it is along different axes."""
    here = f"role: module, change: new, {BOX}"
    a = f"  a: {{{here}, place: {{front: 4 clear of b, left: flush with case, bottom: on case floor}}}}\n"
    b = f"  b: {{{here}, place: {{front: flush with case, left: 4 clear of a, bottom: on case floor}}}}\n"
    read(layout_text(a + b))
    circle = only(layout_text(a + b.replace("front: flush with case", "front: 9 clear of a")))
    assert circle.what == "circular placing along x: a → b → a"


def test_a_part_that_hangs_on_a_circle_is_not_in_it():
    parts = "".join(
        f"  {name}: {{role: module, change: new, {BOX}, place: {{front: 4 clear of {by}, left: flush with case, "
        "bottom: on case floor}}\n"
        for name, by in (("tail", "a"), ("a", "b"), ("b", "c"), ("c", "a"))
    )
    assert only(layout_text(parts)).what == "circular placing along x: a → b → c → a"


def test_a_long_chain_is_read():
    parts = "  m0: {role: module, change: new, shape: {box: [1, 1, 1]}, low_corner: [0, 0, 0]}\n" + "".join(
        f"  m{n}: {{like: m{n - 1}, place: {{front: on m{n - 1}}}}}\n" for n in range(1, 1500)
    )
    layout = read(layout_text(parts))
    assert layout.by_name["m1499"].placings[0].reference == "m1498"
    assert layout.by_name["m1499"].placings[1].offset.name == "m1499.low_corner.y"


def test_the_case_text_stands_where_the_tests_think():
    assert layout_text("").splitlines()[1:3] == ["parts:", CASE.splitlines()[0]]
