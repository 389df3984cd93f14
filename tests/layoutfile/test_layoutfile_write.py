from __future__ import annotations

from dataclasses import replace

import pytest
from engine_layouts import layout

from fitcheck.layoutfile.write import rewritten

HEAD = "fitcheck: 1\n"


def written(text: str, **sizes: tuple[float, float, float]) -> str:
    """The text with new z sizes: part -> (nominal, below, above)."""
    read = layout(text)
    new = {}
    for part, (nominal, below, above) in sizes.items():
        name = f"{part}.z"
        new[name] = replace(read.quantities[name], nominal=nominal, below=below, above=above)
    return rewritten(HEAD + text, read, new)[len(HEAD) :]


PAD = """\
# what stands above
parts:   # odd   spacing is kept
  pad: {role: spacer, change: new, shape: {box: [10, 20, 8 ± 0.1]}, low_corner: [0, 0, 0]}   # the pad
  other: {role: spacer, change: new, shape: {box: [10, 20, 8]}, low_corner: [50, 0, 0]}
# what stands below
"""


def test_only_the_value_changes():
    assert written(PAD, pad=(13.0, 0.2, 0.2)) == PAD.replace("8 ± 0.1", "13 ± 0.2")


def test_both_sides_of_a_tolerance_are_written():
    assert written(PAD, pad=(13.5, 0.1, 0.3)) == PAD.replace("8 ± 0.1", "13.5 +0.3/-0.1")


def test_an_exact_height_is_a_plain_number():
    assert written(PAD, pad=(13.0, 0.0, 0.0)) == PAD.replace("8 ± 0.1", "13")


def test_a_layout_in_inches_gets_the_unit_along():
    inches = "units: {length: in}\n" + PAD
    assert written(inches, pad=(25.4, 0.2, 0.2)) == inches.replace("8 ± 0.1", "25.4 ± 0.2 mm")
    assert layout(written(inches, pad=(25.4, 0.2, 0.2))).quantities["pad.z"].nominal == pytest.approx(25.4)


def test_a_value_in_full_keeps_its_form():
    full = PAD.replace("8 ± 0.1", "{value: 8, known_by: caliper}")
    changed = written(full, pad=(13.0, 0.2, 0.2))
    assert changed == full.replace("value: 8", "value: 13, tolerance: 0.2")
    assert layout(changed).quantities["pad.z"].above == pytest.approx(0.2)


def test_a_shared_shape_changes_for_all_that_shall_change():
    shared = "shapes:\n  pad: {box: [10, 20, 8]}   # both\n" + PAD.replace("{box: [10, 20, 8 ± 0.1]}", "pad").replace(
        "{box: [10, 20, 8]}, low_corner: [50", "pad, low_corner: [50"
    )
    new = {"pad": (12.0, 0.1, 0.1), "other": (12.0, 0.1, 0.1)}
    assert written(shared, **new) == shared.replace("20, 8]}", "20, 12 ± 0.1]}")
    one = written(shared, pad=(12.0, 0.1, 0.1))
    assert one == shared.replace("shape: pad, low_corner: [0,", "shape: {box: [10, 20, 12 ± 0.1]}, low_corner: [0,")


def heights_in(text: str) -> list[float]:
    read = layout(text)
    return [read.quantities[f"{part}.z"].nominal for part in ("pad", "other", "third")]


LIKE = """parts:
  pad: {role: spacer, change: new, shape: {box: [10, 20, {value: 8, known_by: caliper}]}, low_corner: [0, 0, 0]}
  other:   # in lines
    like: pad   # the same
    low_corner: [50, 0, 0]
  third: {low_corner: [90, 0, 0], "like": other}
"""


@pytest.mark.parametrize(
    "sizes",
    [
        {"pad": 12.0},
        {"other": 12.0},
        {"third": 12.0},
        {"pad": 12.0, "third": 12.0},
        {"pad": 12.0, "other": 13.0, "third": 14.0},
        {"other": 13.0, "third": 13.0},
    ],
    ids=str,
)
def test_what_is_alike_gets_a_shape_of_its_own_where_it_differs(sizes):
    text = written(LIKE, **{part: (nominal, 0.1, 0.1) for part, nominal in sizes.items()})
    assert heights_in(text) == [sizes.get(part, 8.0) for part in ("pad", "other", "third")]
    assert "  other:   # in lines\n" in text
    assert "    like: pad   # the same\n" in text


def test_an_own_shape_stands_before_the_like():
    text = written(LIKE, other=(12.0, 0.1, 0.1), third=(12.0, 0.1, 0.1))
    assert text == LIKE.replace("    like: pad", "    shape: {box: [10, 20, 12 ± 0.1]}\n    like: pad")


ALIASED = {
    "number": (
        PAD.replace("8 ± 0.1", "&high 8 ± 0.1").replace("20, 8]", "20, *high]"),
        "shape: {box: [10, 20, 8 ± 0.1]}, low_corner: [50",
    ),
    "value in full": (
        PAD.replace("8 ± 0.1", "&high {value: 8, known_by: caliper}").replace("20, 8]", "20, *high]"),
        "shape: {box: [10, 20, {value: 8, known_by: caliper}]}, low_corner: [50",
    ),
    "sizes": (
        PAD.replace("[10, 20, 8 ± 0.1]", "&sizes [10, 20, 8 ± 0.1]").replace("[10, 20, 8]", "*sizes"),
        "shape: {box: [10, 20, 8 ± 0.1]}, low_corner: [50",
    ),
    "shape": (
        PAD.replace("{box: [10, 20, 8 ± 0.1]}", "&pad {box: [10, 20, 8 ± 0.1]}").replace("{box: [10, 20, 8]}", "*pad"),
        "shape: {box: [10, 20, 8 ± 0.1]}, low_corner: [50",
    ),
    "only the number of a value in full": (
        PAD.replace("8 ± 0.1", "&high 8").replace("20, 8]", "20, {value: *high, tolerance: 0.1}]"),
        "shape: {box: [10, 20, {value: 8, tolerance: 0.1}]}, low_corner: [50",
    ),
}


@pytest.mark.parametrize("kind", ALIASED)
@pytest.mark.parametrize(
    "sizes",
    [{"pad": 12.0}, {"other": 12.0}, {"pad": 12.0, "other": 12.0}, {"pad": 12.0, "other": 13.0}],
    ids=str,
)
def test_an_alias_is_written_out_where_the_two_differ(kind, sizes):
    """Whatever is to change changes, nothing else does, and the anchor stays."""
    text, _ = ALIASED[kind]
    changed = written(text, **{part: (nominal, 0.1, 0.1) for part, nominal in sizes.items()})
    before, after = layout(text).quantities, layout(changed).quantities
    wanted = {f"{part}.z": nominal for part, nominal in sizes.items()}
    assert {name: value.nominal for name, value in after.items()} == {
        name: wanted.get(name, value.nominal) for name, value in before.items()
    }
    assert "&" in changed
    assert [line.partition("#")[2] for line in changed.splitlines()] == [
        line.partition("#")[2] for line in text.splitlines()
    ]


@pytest.mark.parametrize("kind", ["number", "value in full", "sizes", "shape"])
def test_an_alias_stays_where_both_become_the_same(kind):
    text, _ = ALIASED[kind]
    assert "*" in written(text, pad=(12.0, 0.1, 0.1), other=(12.0, 0.1, 0.1))


@pytest.mark.parametrize("kind", ALIASED)
def test_only_the_alias_and_the_value_change(kind):
    """The part with the anchor changes; the other is written out as it was."""
    text, other = ALIASED[kind]
    changed = written(text, pad=(12.0, 0.1, 0.1))
    assert other in changed
    differ = [
        number
        for number, lines in enumerate(zip(changed.splitlines(), text.splitlines(), strict=True))
        if len(set(lines)) > 1
    ]
    assert differ == [2, 3]


def test_one_alias_of_three_is_written_out():
    third = "  third: {role: spacer, change: new, shape: {box: [10, 20, *high]}, low_corner: [90, 0, 0]}\n"
    text = PAD.replace("8 ± 0.1", "&high 8").replace("20, 8]", "20, *high]").replace("# what stands below\n", third)
    changed = written(text, pad=(12.0, 0.1, 0.1), third=(12.0, 0.1, 0.1))
    assert heights_in(changed) == [12.0, 8.0, 12.0]
    assert "third: {role: spacer, change: new, shape: {box: [10, 20, *high]}" in changed


def test_a_number_shared_by_two_sizes_of_one_part_is_told_apart():
    text = PAD.replace("[10, 20, 8 ± 0.1]", "[&side 8, 20, *side]")
    changed = written(text, pad=(12.0, 0.1, 0.1))
    assert "[&side 8, 20, 12 ± 0.1]" in changed
    text = PAD.replace("[10, 20, 8 ± 0.1]", "[20, *side, &side 8]").replace(
        "20, *side, &side 8", "&side 8, *side, *side"
    )
    changed = written(text, pad=(12.0, 0.1, 0.1))
    assert "[&side 8, *side, 12 ± 0.1]" in changed


def test_a_value_behind_an_alias_on_its_own_line_stands_in_the_right_place():
    text = """parts:
  pad:
    role: spacer
    change: new
    shape: {box: [10, 20, &high 8]}   # the anchor
    low_corner: [0, 0, 0]
  other:
    role: spacer
    change: new
    shape:
      cylinder:
        diameter: 10
        length: *high      # kept
        along: z
    low_corner: [50, 0, 0]
"""
    read = layout(text)
    new = {"other.length": replace(read.quantities["other.length"], nominal=13.0, below=0.2, above=0.2)}
    assert rewritten(HEAD + text, read, new) == HEAD + text.replace("*high ", "13 ± 0.2 ")


@pytest.mark.parametrize(
    ("where", "told"),
    [
        ("low_corner: [50, 0, *high]}", "low_corner: [50, 0, 8]}"),
        ("low_corner: [50, 0, 0], mass: *high}", "low_corner: [50, 0, 0], mass: 8}"),
        ("low_corner: [*high, *high, *high]}", "low_corner: [8, 8, 8]}"),
    ],
)
def test_an_alias_that_stands_for_something_else_is_written_out(where, told):
    text = PAD.replace("8 ± 0.1", "&high 8").replace("low_corner: [50, 0, 0]}", where)
    changed = written(text, pad=(12.0, 0.1, 0.1))
    assert told in changed
    assert "&high 12 ± 0.1]" in changed


def test_one_number_for_the_height_and_the_corner_of_another_part():
    text = PAD.replace("8 ± 0.1", "&high 8").replace(
        "20, 8]}, low_corner: [50, 0, 0]}", "20, *high]}, low_corner: [50, 0, *high]}"
    )
    changed = written(text, other=(12.0, 0.1, 0.1))
    assert "box: [10, 20, &high 8]" in changed
    assert "box: [10, 20, 12 ± 0.1]}, low_corner: [50, 0, *high]" in changed
