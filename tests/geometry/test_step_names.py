"""Names of parts in STEP assemblies of several programs: with names at each use, without, and with marks instead."""

from __future__ import annotations

import re

import pytest
from occt_files import occt_assembly
from supplier_files import Part, Place, block, step

from fitcheck.geometry.meshfile import read_mesh
from fitcheck.geometry.step_names import StepNames
from fitcheck.geometry.step_text import step_text

FRAME = [
    ("Frame", 'Rail "left" <x>', "Bar Träger"),
    ("Frame", 'Rail "left" <x>', "Stud it's"),
    ("Frame", 'Rail "left" <x>', "Stud it's"),
]


def names_in(path):
    return [piece.names for piece in read_mesh(path, None).pieces]


def test_marks_of_another_program_give_way_to_the_names_of_products(tmp_path, capfd):
    path = occt_assembly(tmp_path / "frame.step", "INCH")
    assert re.search(r"'=>\[[0-9:]+\]'", path.read_text(encoding="utf-8"))
    assert names_in(path) == FRAME * 2
    assert [piece.colour for piece in read_mesh(path, None).pieces] == [None, "#ff0000", "#ff0000"] * 2


@pytest.mark.parametrize("use", ["'NAUO\\1',''", "'\\1',' '", "'',''", "'\\1',$"])
def test_uses_without_a_name_get_that_of_their_product(tmp_path, capfd, use):
    path = occt_assembly(tmp_path / "frame.step", "MM")
    text = re.sub(r"'(\d)','=>\[[0-9:]+\]'", use, path.read_text(encoding="utf-8"))
    path.write_text(text, encoding="utf-8")
    assert names_in(path) == FRAME * 2


TRESTLE = step(
    [
        Part(name="foot", solid=block((40, 20, 10)), places=[Place(), Place(at=(200, 0, 0))]),
        Part(name="rail", solid=block((10, 10, 300)), places=[Place(at=(0, 100, 0))]),
    ],
    assembly="trestle",
)
USE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE('%s','%s'"


def test_a_use_with_a_name_of_its_own_keeps_it(tmp_path):
    path = tmp_path / "trestle.step"
    text = TRESTLE.replace(USE % (1, "foot"), USE % (1, "front foot")).replace(USE % (2, "foot"), USE % (2, "=>[]"))
    path.write_text(text, encoding="utf-8")
    assert names_in(path) == [("trestle", "front foot"), ("trestle", "foot"), ("trestle", "rail")]


def test_the_products_name_is_its_number_where_it_has_no_other(tmp_path):
    path = tmp_path / "trestle.step"
    text = TRESTLE.replace(USE % (3, "rail"), USE % (3, "=>[]")).replace("PRODUCT('rail','rail'", "PRODUCT('R-7',''")
    path.write_text(text, encoding="utf-8")
    assert names_in(path)[2] == ("trestle", "R-7")


def test_one_mark_for_uses_of_two_products_stays(tmp_path):
    text = TRESTLE.replace(USE % (1, "foot"), USE % (1, "=>[]")).replace(USE % (3, "rail"), USE % (3, "=>[]"))
    names = StepNames(step_text(text.encode()))
    assert names.of(("trestle", "=>[]")) == ("trestle", "=>[]")
    assert names.of(("trestle", "foot")) == ("trestle", "foot")
    assert names.of(("trestle", "other", "deeper")) == ("trestle", "other", "deeper")
    assert names.of(()) == ()


def without_a_solid(text, kept):
    """The solids after the first few made points."""
    solids = re.findall(r"MANIFOLD_SOLID_BREP\(.*?\);", text)
    for solid in solids[kept:]:
        text = text.replace(solid, "GEOMETRIC_SET('',());")
    return text


def test_a_part_without_a_solid_is_told(tmp_path):
    path = tmp_path / "trestle.step"
    path.write_text(without_a_solid(TRESTLE, 1), encoding="utf-8")
    model = read_mesh(path, None)
    assert [piece.names for piece in model.pieces] == [("trestle", "foot")] * 2
    assert model.health.notes == ("1 part of the file holds no solid: rail.",)
    path.write_text(TRESTLE, encoding="utf-8")
    assert not any("no solid" in note for note in read_mesh(path, None).health.notes)


def test_many_parts_without_a_solid_are_counted(tmp_path):
    parts = [Part(name=f"p{number}", solid=block((10, 10, 10))) for number in range(9)]
    path = tmp_path / "many.step"
    path.write_text(without_a_solid(step(parts, assembly="many"), 1), encoding="utf-8")
    assert read_mesh(path, None).health.notes == ("8 parts of the file hold no solid: p1, p2, p3, p4, p5 and 3 more.",)


def test_what_the_file_hides_is_read_and_told(tmp_path):
    solid = re.search(r"#(\d+)=MANIFOLD_SOLID_BREP", TRESTLE)[1]
    style = "PRESENTATION_STYLE_ASSIGNMENT((NULL_STYLE(.NULL.)))"
    hidden = f"#9001=STYLED_ITEM('',(#9002),#{solid});#9002={style};#9003=INVISIBILITY((#9001));\nENDSEC;\nEND-ISO"
    path = tmp_path / "trestle.step"
    path.write_text(TRESTLE.replace("ENDSEC;\nEND-ISO", hidden), encoding="utf-8")
    model = read_mesh(path, None)
    assert len(model.pieces) == 3
    assert "The file hides some of what it holds; solids that it hides were read like the others." in model.health.notes


def test_records_that_say_too_little_are_passed_over():
    text = "#1=PRODUCT();#2=PRODUCT_DEFINITION_FORMATION('','',#1);#3=PRODUCT_DEFINITION('','',#2,$);"
    text += "#4=PRODUCT_DEFINITION('');#5=NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','','',#3,$);"
    assert StepNames(step_text(text.encode())).of(("a", "b")) == ("a", "b")
