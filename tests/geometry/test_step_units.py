"""Units of length in STEP files, as another program writes them and as the text format allows them to be written.

Every size is compared with that of the box that was drawn: the unit that is said and the size that is delivered come
from two readers, and must agree.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from occt_files import UNITS_MM, occt_assembly, occt_box
from supplier_files import Part, block, step

from fitcheck.errors import MeshFileError
from fitcheck.geometry.meshfile import read_mesh
from fitcheck.geometry.step_text import step_text
from fitcheck.geometry.step_units import NAMES, NoUnit, in_plain_units, units_of

BOX = (50.8, 25.4, 12.7)


@pytest.mark.parametrize(("word", "mm"), UNITS_MM.items())
def test_a_box_by_another_program_in_each_of_its_units(tmp_path, capfd, word, mm):
    model = read_mesh(occt_box(tmp_path / "box.step", word), None)
    assert (model.file_unit, model.unit_mm) == (NAMES[mm], mm)
    assert model.health.extents_mm == pytest.approx(BOX, abs=max(model.off_mm, 1e-6))
    assert model.off_mm < 1e-4
    assert model.health.triangles == 12


@pytest.mark.parametrize("word", ["MM", "INCH", "FT", "M"])
def test_an_assembly_by_another_program(tmp_path, capfd, word):
    model = read_mesh(occt_assembly(tmp_path / "frame.step", word), None)
    assert model.unit_mm == UNITS_MM[word]
    boxes = []
    for faces in np.split(model.faces, np.cumsum([piece.faces for piece in model.pieces])[:-1]):
        corners = model.vertices[faces.ravel()]
        boxes.append([*corners.min(axis=0), *corners.max(axis=0)])
    upright = [
        [0, 0, 0, 254, 25.4, 12.7],
        [38.1, 0, 12.7, 63.5, 25.4, 63.5],
        [139.7, 0, 12.7, 165.1, 25.4, 63.5],
    ]
    turned = [[-y2, 300 + x1, z1, -y1, 300 + x2, z2] for x1, y1, z1, x2, y2, z2 in upright]
    assert np.array(boxes) == pytest.approx(np.array(upright + turned), abs=model.off_mm)


def cube(unit, measure="", *more):
    """A box of 2 x 1 x 0.5 of the file's own units; the records of its unit as given."""
    text = step([Part(name="cube", solid=block((2, 1, 0.5)), unit="inch")])
    size = re.search(r"#(\d+)=LENGTH_MEASURE_WITH_UNIT\(LENGTH_MEASURE\(0\.0254\),#(\d+)\);", text)
    whole = re.search(r"\(CONVERSION_BASED_UNIT\('INCH',#\d+\) LENGTH_UNIT\(\) NAMED_UNIT\(#(\d+)\)\)", text)
    known = {"size": size[1], "metre": size[2], "exponents": whole[1]}
    text = text.replace(whole[0], unit % known)
    if measure:
        text = text.replace(size[0], f"#{size[1]}={measure % known};")
    return text.replace("ENDSEC;\nEND-ISO", "".join(f"{row % known};\n" for row in more) + "ENDSEC;\nEND-ISO")


INCH = "(CONVERSION_BASED_UNIT('INCH',#%(size)s) LENGTH_UNIT() NAMED_UNIT(#%(exponents)s))"
MILLI = "#901=(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))"
INCH_OF_25 = (
    "#902=(CONVERSION_BASED_UNIT('in',#903) LENGTH_UNIT() NAMED_UNIT(#%(exponents)s))",
    "#903=LENGTH_MEASURE_WITH_UNIT(25.4,#901)",
    MILLI,
)
WRITTEN = {
    "bare": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(25.4,#901)", MILLI),
    "bare, in metres": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(0.0254,#%(metre)s)"),
    "positive": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(POSITIVE_LENGTH_MEASURE(25.4),#901)", MILLI),
    "general": cube(INCH, "MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#901)", MILLI),
    "two kinds": cube(INCH, "(LENGTH_MEASURE_WITH_UNIT() MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#901))", MILLI),
    "blanks": cube(INCH, "\n LENGTH_MEASURE_WITH_UNIT\t(\r\n LENGTH_MEASURE ( 25.4 )\n , #901\n)", MILLI),
    "remarks": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(/* it's ; 1 */LENGTH_MEASURE(/**/25.4),/* mm */#901)", MILLI),
    "small e": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(2.54e1),#901)", MILLI),
    "capital E": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(+2.54E+001),#901)", MILLI),
    "in": cube(INCH.replace("INCH", "in")),
    "Inch; 'IN'": cube(INCH.replace("INCH", "Inch; ''IN'' (#1)")),
    "other order": cube("(LENGTH_UNIT()NAMED_UNIT(#%(exponents)s)CONVERSION_BASED_UNIT('inch',#%(size)s))"),
    "nested": cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.),#902)", *INCH_OF_25),
}


@pytest.mark.parametrize("way", WRITTEN)
def test_an_inch_however_it_is_written_is_said_and_measured_as_one(tmp_path, way):
    path = tmp_path / "box.step"
    path.write_text(WRITTEN[way], encoding="utf-8")
    model = read_mesh(path, None)
    assert (model.file_unit, model.unit_mm, model.off_mm) == ("inch", 25.4, 0.0)
    assert model.health.extents_mm == pytest.approx(BOX, abs=1e-9)


def test_a_foot_of_twelve_inches(tmp_path):
    path = tmp_path / "box.step"
    path.write_text(cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(12.),#902)", *INCH_OF_25), encoding="utf-8")
    model = read_mesh(path, None)
    assert model.file_unit == "foot"
    assert model.health.extents_mm == pytest.approx((609.6, 304.8, 152.4), abs=1e-9)


def test_a_space_that_names_its_kinds_in_another_order(tmp_path):
    text = step([Part(name="cube", solid=block((2, 1, 0.5)), unit="inch")])
    space = re.search(r"\((GEOMETRIC\w+\(3\)) (GLOBAL_UNC\w+\(\(#\d+\)\)) (GLOBAL_UNIT.*\)\)) (REPRESE.*)\);", text)
    path = tmp_path / "box.step"
    path.write_text(text.replace(space[0], f"({space[4]}{space[3]}{space[2]}{space[1]});"), encoding="utf-8")
    assert read_mesh(path, None).health.extents_mm == pytest.approx(BOX, abs=1e-9)


@pytest.mark.parametrize("way", sorted(WRITTEN))
def test_units_are_handed_on_in_one_plain_way(way):
    text = step_text(WRITTEN[way].encode())
    plain = step_text(in_plain_units(text, units_of(text)))
    handed = units_of(plain)
    (number,) = handed.records
    kinds = plain.entity(number)
    assert handed.used == (("inch", 25.4),)
    assert list(kinds) == [b"CONVERSION_BASED_UNIT", b"LENGTH_UNIT", b"NAMED_UNIT"]
    measure = plain.entity(int(kinds[b"CONVERSION_BASED_UNIT"][1][1:]))
    assert measure[b"LENGTH_MEASURE_WITH_UNIT"][0] == b"LENGTH_MEASURE(25.4)"
    assert units_of(step_text(in_plain_units(plain, handed))).used == handed.used


def test_metric_text_is_handed_on_as_it_is():
    data = step([Part(name="cube", solid=block((2, 1, 0.5)))]).encode()
    text = step_text(data)
    assert in_plain_units(text, units_of(text)) == data


@pytest.mark.parametrize(
    "text",
    [
        cube("(CONVERSION_BASED_UNIT('INCH',#%(size)s) NAMED_UNIT(#%(exponents)s) PLANE_ANGLE_UNIT())"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.),#%(metre)s)"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(-1.),#%(metre)s)"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(one),#%(metre)s)"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT($,#%(metre)s)"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT(1.,#99999)"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT(1.,#%(size)s)"),
        cube(INCH, "LENGTH_MEASURE_WITH_UNIT(1.,#904)", "#904=(CONVERSION_BASED_UNIT('a',#%(size)s) LENGTH_UNIT())"),
        cube("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MEDIUM.,.METRE.))"),
        cube("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.GRAM.))"),
        cube("(CONVERSION_BASED_UNIT() LENGTH_UNIT() NAMED_UNIT(*))"),
        cube("NO_UNIT('it is none')"),
    ],
)
def test_a_unit_that_cannot_be_made_out_is_refused(tmp_path, text):
    path = tmp_path / "box.step"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(MeshFileError, match="it does not say which unit its lengths are in") as raised:
        read_mesh(path, None)
    assert "export it again" in raised.value.mend


def test_a_space_with_two_units_of_length_is_refused():
    text = cube(INCH, "", MILLI)
    angle = re.search(r"GLOBAL_UNIT_ASSIGNED_CONTEXT\(\(#\d+,(#\d+)", text)[1]
    with pytest.raises(NoUnit):
        units_of(step_text(text.replace(f",{angle},", ",#901,").encode()))
