from __future__ import annotations

from dataclasses import replace

import pytest
from engine_layouts import layout

from fitcheck.errors import LayoutErrors
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


def test_a_number_shared_by_an_alias_is_refused():
    text = PAD.replace("8 ± 0.1", "&high 8").replace("20, 8]", "20, *high]")
    with pytest.raises(LayoutErrors, match=r"bay\.yaml:4:\d+: pad\.z is written here together with other\.z"):
        written(text, pad=(12.0, 0.1, 0.1))
