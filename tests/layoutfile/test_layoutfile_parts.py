"""Parts: `like`, names, what a part needs, shapes."""

from __future__ import annotations

import pytest
from written import layout_text, only, place_of, problems, read

from fitcheck.model.part import Change
from fitcheck.model.shape import Box, Cylinder, Group, Prism, Tray, Tube

M1 = """\
  m1:
    role: module
    change: new
    shape: {box: [410 ± 0.5, 168, 126]}
    mass: 11.9 ± 0.1
    known_by: caliper
    material: steel
    grows: {y: 2 %}
    turn: {z: 90}
    potential: plus
    place: {front: 12 clear of case inside front, left: 10 clear of case inside left, bottom: on case floor}
"""
ELECTRICAL = "electrical: {potentials: {plus: 294 V, minus: 0 V}}\n"


def part_of(shape: str, extra: str = ""):
    text = layout_text(f"  p: {{role: other, change: new, shape: {shape}, mass: 1, low_corner: [1, 2, 3]{extra}}}\n")
    return read(text)


def test_like_takes_over_everything_not_said_again():
    layout = read(layout_text(M1 + "  m2: {like: m1, place: {front: 4 clear of m1 rear}}\n", below=ELECTRICAL))
    m1, m2 = layout.by_name["m1"], layout.by_name["m2"]
    for key in ("role", "change", "material", "known_by", "potential"):
        assert getattr(m2, key) == getattr(m1, key)
    assert m2.shape.size[0].nominal == 410
    assert m2.mass.name == "m2.mass"
    assert m2.mass.nominal == 11.9
    assert m2.grows[0][1].name == "m2.grows.y"
    assert m2.turns[0].angle.name == "m2.turn.z"
    assert m2.placings[0].reference == "m1"
    assert m2.placings[1].reference == "case"
    assert m2.placings[1].offset.name == "m2.place.left"
    assert m2.placings[2].touching


def test_like_over_several_links_and_against_file_order():
    parts = "  m3: {like: m2, mass: 12.5}\n  m2: {like: m1, change: removed}\n" + M1
    m3 = read(layout_text(parts, below=ELECTRICAL)).by_name["m3"]
    assert (m3.change, m3.mass.nominal, m3.role) == (Change.REMOVED, 12.5, "module")


def test_a_stated_axis_wins_over_a_corner_taken_over():
    parts = "  m1: {role: module, change: new, shape: {box: [9, 9, 9]}, low_corner: [1, 2, 3]}\n"
    parts += "  m2: {like: m1, place: {front: 4 clear of m1 rear}}\n  m3: {like: m2, low_corner: [5, 6, 7]}\n"
    layout = read(layout_text(parts))
    m2, m3 = layout.by_name["m2"], layout.by_name["m3"]
    assert [placing.reference for placing in m2.placings] == ["m1", None, None]
    assert [placing.offset.nominal for placing in m2.placings] == [4, 2, 3]
    assert [placing.offset.nominal for placing in m3.placings] == [5, 6, 7]


def test_like_in_a_circle():
    problem = only(layout_text("  a: {like: b}\n  b: {like: c}\n  c: {like: a}\n"))
    assert problem.what == "parts that are like each other in a circle: a → b → c → a"


def test_like_nothing():
    text = layout_text("  a: {like: csae}\n")
    problem = only(text)
    assert (problem.what, problem.mend) == ("there is no part 'csae' to be like", "did you mean 'case'?")
    assert (problem.at.line, problem.at.column) == place_of(text, "csae")


def test_what_a_part_needs():
    text = layout_text("  p: {mass: 3}\n")
    whats = {problem.what for problem in problems(text)}
    assert whats == {
        "'p' has no 'role'",
        "'p' has no 'change'",
        "'p' has no 'shape'",
        *(f"p is not placed along {axis}" for axis in ("x (rearward)", "y (right)", "z (up)")),
    }
    assert {(problem.at.line, problem.at.column) for problem in problems(text)} == {place_of(text, "p: {mass")}


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ('""', "an empty name"),
        ("x" * 61, "a name of 61 characters"),
        ('"a\\nb"', "more than one line"),
        ('" a"', "starts or ends with a space"),
        ("anything", "means a choice of parts"),
        ("every module", "means a choice of parts"),
    ],
)
def test_names_that_are_refused(name, what):
    text = layout_text(f"  {name}: {{role: other, change: new, shape: {{box: [1, 1, 1]}}, low_corner: [0, 0, 0]}}\n")
    problem = only(text)
    assert what in problem.what
    assert (problem.at.line, problem.at.column) == place_of(text, f"{name}: {{role")


@pytest.mark.parametrize("name", ["x" * 60, "<script>", "Ω-module №1", "it's", 'a "b"', "inside", "case floor"])
def test_names_that_are_fine(name):
    key = "'" + name.replace("'", "''") + "'"
    part = f"  {key}: {{role: other, change: new, shape: {{box: [1, 1, 1]}}, low_corner: [0, 0, 0]}}\n"
    assert read(layout_text(part)).parts[1].name == name


def test_a_material_by_any_spelling_has_the_name_of_the_table():
    layout = part_of("{box: [1, 1, 1]}", ", material: pa66_gf30")
    assert layout.by_name["p"].material == "PA66-GF30"


def test_an_unknown_material_serves_only_with_a_mass():
    assert part_of("{box: [1, 1, 1]}", ", material: unobtainium").by_name["p"].material == "unobtainium"
    text = layout_text(
        "  p: {role: other, change: new, shape: {box: [1, 1, 1]}, material: PA66-GF3O, low_corner: [1, 2, 3]}\n"
    )
    problem = only(text)
    assert "no material 'PA66-GF3O' in the table" in problem.what
    assert "'PA66-GF30'" in problem.mend
    assert (problem.at.line, problem.at.column) == place_of(text, "PA66-GF3O")


# --- shapes -----------------------------------------------------------------------------------------------------------


def names(layout) -> list[str]:
    return [name for name in layout.quantities if name.startswith("p.") and "corner" not in name and "mass" not in name]


def test_box_cylinder_tube():
    layout = part_of("{box: [1, 2, 3]}")
    assert isinstance(layout.by_name["p"].shape, Box)
    assert names(layout) == ["p.x", "p.y", "p.z"]
    layout = part_of("{cylinder: {diameter: 18, length: 150, along: z}}")
    assert layout.by_name["p"].shape == Cylinder(
        diameter=layout.quantities["p.diameter"], length=layout.quantities["p.length"], along=2
    )
    layout = part_of("{tube: {outside: 18, inside: 15, length: 150, along: y}}")
    assert isinstance(layout.by_name["p"].shape, Tube)
    assert names(layout) == ["p.outside", "p.inside", "p.length"]
    assert layout.by_name["p"].shape.along == 1


def test_tray():
    layout = part_of(
        "{tray: {inside: [90, 80, 70], wall: 2, floor: 3, lip: {width: 9, thickness: 2}, "
        "flange: {width: 8, thickness: 1}}}"
    )
    assert isinstance(layout.by_name["p"].shape, Tray)
    assert names(layout) == [
        "p.inside.x", "p.inside.y", "p.inside.z", "p.wall", "p.floor", "p.lip.width", "p.lip.thickness",
        "p.flange.width", "p.flange.thickness",
    ]  # fmt: skip


def test_prism():
    layout = part_of(
        "{prism: {outline: [[-5, 0], [20, 0 ± 0.2], [20, 8]], height: 30, along: y}}", ", known_by: caliper"
    )
    shape = layout.by_name["p"].shape
    assert isinstance(shape, Prism)
    assert names(layout) == ["p.outline.x", "p.outline.z", "p.height"]
    assert [extent.nominal for extent in shape.extent] == [25, 8]
    assert shape.outline == ((-5, 0), (20, 0), (20, 8))
    assert shape.surface_tolerance == 0.2
    assert shape.extent[0].basis == "default for caliper"


def test_a_prism_whose_corners_all_state_a_tolerance_has_exact_extents():
    shape = "{prism: {outline: [[0 ± 1, 0 ± 1], [20 ± 1, 0 ± 1], [20 ± 2, 8 ± 1]], height: 30, along: x}}"
    layout = part_of(shape, ", known_by: tape")
    assert layout.by_name["p"].shape.surface_tolerance == 2
    assert layout.quantities["p.outline.y"].is_exact
    assert not layout.quantities["p.height"].is_exact


def test_group_members_by_number_and_named_shapes():
    text = layout_text(
        "  p: {role: other, change: new, mass: 1, low_corner: [1, 2, 3], shape: {group: [\n"
        "      {shape: foot, low_corner: [0, 0, 0]},"
        " {shape: {group: [{shape: {cylinder: {diameter: 4, length: 9, along: x}}, low_corner: [1, 1, 1 ± 0.5]}]},"
        " low_corner: [5, 0, 0], turn: {z: 90}}]}}\n",
        above="shapes: {foot: {box: [10, 10, 4]}}\n",
    )
    layout = read(text)
    assert isinstance(layout.by_name["p"].shape, Group)
    assert [name for name in layout.quantities if name.startswith(("p.1", "p.2"))] == [
        "p.1.x", "p.1.y", "p.1.z", "p.1.low_corner.x", "p.1.low_corner.y", "p.1.low_corner.z",
        "p.2.1.diameter", "p.2.1.length", "p.2.1.low_corner.x", "p.2.1.low_corner.y", "p.2.1.low_corner.z",
        "p.2.low_corner.x", "p.2.low_corner.y", "p.2.low_corner.z", "p.2.turn.z",
    ]  # fmt: skip
    assert layout.quantities["p.2.1.low_corner.z"].above == 0.5


@pytest.mark.parametrize(
    ("shape", "what"),
    [
        ("{}", "a shape without a kind"),
        ("{box: [1, 1, 1], cylinder: {diameter: 1, length: 1, along: x}}", "a shape that is box and cylinder"),
        ("{tube: {outside: 10, inside: 10, length: 5, along: x}}", "as wide as the tube itself"),
        ("{cylinder: {diameter: 1, length: 1, along: w}}", "unknown word 'w'"),
        ("{cylinder: {diameter: 1, length: 1}}", "'cylinder' has no 'along'"),
        ("{prism: {outline: [[0, 0], [1, 0]], height: 1, along: x}}", "2 entries here; at least 3 needed"),
        ("{prism: {outline: [[0, 0], [1, 0], [2, 0]], height: 1, along: x}}", "the outline has no area"),
        ("{prism: {outline: [[0, 0], [9, 9], [9, 0], [0, 9]], height: 1, along: x}}", "the outline"),
        (
            "{prism: {outline: [[0, 0], [9, 0], [9, 9]], holes: [[[20, 0], [21, 0], [21, 1]]], height: 1, along: x}}",
            "a hole leaves the outline",
        ),
        ("{tray: {inside: [9, 9, 9], wall: 1, floor: 1, lip: {width: 5, thickness: 1}}}", "the lip closes the tray"),
        ("{tray: {inside: [9, 9, 9], wall: 1, floor: 1, flange: {width: 5, thickness: 9}}}", "as thick as the tray"),
        ("{group: []}", "at least 1 needed"),
        ("box", "there is no shape 'box'"),
        ("[1, 2, 3]", "a mapping is needed"),
    ],
)
def test_shapes_that_are_refused(shape, what):
    text = layout_text(f"  p: {{role: other, change: new, shape: {shape}, mass: 1, low_corner: [1, 2, 3]}}\n")
    assert what in only(text).what


def test_a_shape_that_holds_itself():
    text = layout_text(
        "  p: {role: other, change: new, shape: a, mass: 1, low_corner: [1, 2, 3]}\n",
        above="shapes:\n  a: {group: [{shape: b, low_corner: [0, 0, 0]}]}\n"
        "  b: {group: [{shape: a, low_corner: [0, 0, 0]}]}\n",
    )
    assert only(text).what == "a shape that holds itself: a → b → a"


def test_named_groups_do_not_unfold_without_end():
    levels = "  s0: {box: [1, 1, 1]}\n" + "".join(
        f"  s{n}: {{group: [{', '.join([f'{{shape: s{n - 1}, low_corner: [0, 0, 0]}}'] * 30)}]}}\n" for n in range(1, 6)
    )
    text = layout_text(
        "  p: {role: other, change: new, shape: s5, mass: 1, low_corner: [1, 2, 3]}\n", above=f"shapes:\n{levels}"
    )
    assert {problem.what for problem in problems(text)} == {"more than 20,000 group members"}
    deep = levels + "".join(f"  s{n}: {{group: [{{shape: s{n - 1}, low_corner: [0, 0, 0]}}]}}\n" for n in range(6, 12))
    text = layout_text(
        "  p: {role: other, change: new, shape: s11, mass: 1, low_corner: [1, 2, 3]}\n", above=f"shapes:\n{deep}"
    )
    assert "named shapes nested deeper than 8" in {problem.what for problem in problems(text)}


@pytest.mark.parametrize(
    ("turn", "expected"),
    [
        ("{z: 90}", [(2, 90, "p.turn.z")]),
        ("[{z: 90}, {x: 0.5 rad}]", [(2, 90, "p.turn.1.z"), (0, 28.64788975654116, "p.turn.2.x")]),
        ("[{z: 10}, {z: 20}]", [(2, 10, "p.turn.1.z"), (2, 20, "p.turn.2.z")]),
    ],
)
def test_turns(turn, expected):
    turns = part_of("{box: [1, 2, 3]}", f", turn: {turn}").by_name["p"].turns
    assert [(each.axis, each.angle.name) for each in turns] == [(axis, name) for axis, _, name in expected]
    assert [each.angle.nominal for each in turns] == pytest.approx([angle for _, angle, _ in expected], rel=1e-15)


def test_a_turn_about_two_axes_at_once_has_no_order():
    text = layout_text(
        "  p: {role: other, change: new, shape: {box: [1, 2, 3]}, turn: {x: 90, z: 90}, low_corner: [1, 2, 3]}\n"
    )
    problem = only(text)
    assert problem.what == "a turn about more than one axis"
    assert (problem.at.line, problem.at.column) == place_of(text, "turn:")


def test_mass_properties_of_a_part():
    part = part_of(
        "{box: [1, 2, 3]}", ", centre_of_mass: [0.5, 1 ± 0.1, 1.5], inertia: [0.1, 0.2, 0.25], hull: allowed"
    ).by_name["p"]
    assert part.centre_of_mass[1].name == "p.centre_of_mass.y"
    assert part.centre_of_mass[1].above == 0.1
    assert part.inertia == ((0.1, 0, 0), (0, 0.2, 0), (0, 0, 0.25))
    assert part.hull_allowed
    rows = "[[0.1, 0.01, 0], [0.01, 0.2, 0], [0, 0, 250000 kg·mm²]]"
    assert part_of("{box: [1, 2, 3]}", f", inertia: {rows}").by_name["p"].inertia[0] == (0.1, 0.01, 0.0)


@pytest.mark.parametrize(
    ("inertia", "what"),
    [
        ("[0.1, 0.2, 0.4]", "no body has such moments"),
        ("[-0.1, 0.2, 0.2]", "no body has such moments"),
        ("[[0.1, 0.01, 0], [0.02, 0.2, 0], [0, 0, 0.2]]", "not symmetric"),
        ("[0.1, [0, 0.2, 0], 0.2]", "numbers and rows mixed"),
        ("[0.1, 0.2]", "2 entries here; 3 needed"),
        ("[0.1, 0.2, 3 kg]", "is a mass"),
    ],
)
def test_inertia_that_is_refused(inertia, what):
    text = layout_text(
        f"  p: {{role: other, change: new, shape: {{box: [1, 2, 3]}}, low_corner: [1, 2, 3], inertia: {inertia}}}\n"
    )
    problem = only(text)
    assert what in problem.what
    assert problem.at.line == place_of(text, inertia)[0]


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ("mass: -1", "a negative mass"),
        ("mass: 1 ± 2", "as large as the mass itself"),
        ("mass: 1 lb ± 2 kg", "as large as the mass itself"),
        ("mass: 12 mm", "is a length"),
        ("grows: {y: 2}", "has no unit"),
        ("grows: {y: -2 %}", "a negative share"),
        ("hull: yes", "unknown word 'yes'"),
        ("potential: plus", "there is no potential 'plus'"),
        ("file_origin: [0, 0, 0]", "placed twice"),
        ("colour: red", "unknown key 'colour'"),
    ],
)
def test_entries_that_are_refused(entry, what):
    text = layout_text(
        f"  p: {{role: other, change: new, shape: {{box: [1, 2, 3]}}, low_corner: [1, 2, 3], {entry}}}\n"
    )
    assert any(what in problem.what for problem in problems(text))


def test_problems_of_every_pass_come_together():
    """A wrong word, a wrong number, a name of nothing and a missing axis are told in one go, in file order."""
    text = layout_text(
        "  a: {role: modul, change: new, shape: {box: [1, -2, 3]}, mass: 1, low_corner: [0, 0, 0]}\n"
        "  b: {role: module, change: new, shape: {box: [1, 2, 3]}, mass: 1, place: {front: on m9, left: on a}}\n",
        below="gaps:\n  - {between: [a, every modle], at_least: 5}\n",
    )
    found = problems(text)
    assert [problem.what for problem in found] == [
        "unknown word 'modul'",
        "a negative length, -2",
        "b is not placed along z (up)",
        "there is no part 'm9'",
        "there is no role 'modle'",
    ]
    assert [problem.at for problem in found] == sorted(problem.at for problem in found)
