"""3MF packages made by hand: units, placements, components, and what is refused."""

from __future__ import annotations

import zipfile

import pytest
from mesh_writers import CORE, brick, mesh_xml, model_xml, write_3mf

from fitcheck.errors import MeshFileError
from fitcheck.geometry.meshfile import describe, read_mesh

MESH = mesh_xml(*brick((4.0, 3.0, 2.0)))
OBJECT = f'<object id="1" type="model">{MESH}</object>'
ITEM = '<item objectid="1"/>'


def read(folder, objects=OBJECT, build=ITEM, head='unit="inch"', unit=None, **others):
    models = {"3D/model.model": model_xml(objects, build, head), **others}
    return read_mesh(write_3mf(folder / "part.3MF", models), unit)


@pytest.mark.parametrize(
    ("unit", "mm"),
    [("micron", 0.001), ("millimeter", 1), ("centimeter", 10), ("inch", 25.4), ("foot", 304.8), ("meter", 1000)],
)
def test_every_unit_of_the_format(tmp_path, unit, mm):
    model = read(tmp_path, head=f'unit="{unit}"')
    assert (model.file_unit, model.unit_mm) == (unit, mm)
    assert model.health.extents_mm == pytest.approx((4 * mm, 3 * mm, 2 * mm), rel=1e-12)
    assert model.health.volume_mm3 == pytest.approx(24 * mm**3, rel=1e-12)


def test_no_unit_written_is_millimetres(tmp_path):
    model = read(tmp_path, head="")
    assert (model.file_unit, model.unit_mm) == ("millimeter", 1.0)
    assert describe(model)[0] == "4.000 x 3.000 x 2.000 mm (the file says no unit; 3MF then means millimetre)."
    assert describe(read(tmp_path))[0] == "101.600 x 76.200 x 50.800 mm (the file says inch)."
    with pytest.raises(MeshFileError, match=r"the file itself is in millimeter \(1 mm\): the file says no unit; 3MF"):
        read(tmp_path, head="", unit=25.4)


def test_the_same_unit_may_be_stated_and_another_not(tmp_path):
    assert read(tmp_path, unit=25.4).unit_mm == 25.4
    with pytest.raises(MeshFileError, match=r"a unit of 1 mm, the file itself is in inch \(25\.4 mm\)"):
        read(tmp_path, unit=1.0)


def test_transforms_of_items_and_components_are_chained(tmp_path):
    # The component turns the brick by 90 degrees about z (x to y), the item then shifts it.
    parts = OBJECT + (
        '<object id="2"><components>'
        '<component objectid="1" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/></components></object>'
    )
    model = read(tmp_path, parts, '<item objectid="2" transform="1 0 0 0 1 0 0 0 1 10 20 30"/>', 'unit="millimeter"')
    assert model.vertices.min(axis=0) == pytest.approx([7.0, 20.0, 30.0], abs=1e-12)
    assert model.vertices.max(axis=0) == pytest.approx([10.0, 24.0, 32.0], abs=1e-12)
    assert not model.health.mirrored


def test_mirrored_component_is_outward_again_and_said(tmp_path):
    parts = OBJECT + (
        '<object id="2"><components>'
        '<component objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components></object>'
    )
    model = read(tmp_path, parts, '<item objectid="2"/>', 'unit="centimeter"')
    assert model.health.mirrored
    assert not model.health.inverted
    assert model.vertices.min(axis=0) == pytest.approx([-40.0, 0.0, 0.0], abs=1e-12)
    assert model.health.volume_mm3 == pytest.approx(24000.0, rel=1e-12)
    assert "The file places a mesh mirrored; it was measured mirrored." in describe(model)


def test_only_what_the_build_places_is_there(tmp_path):
    spare = f'<object id="7">{mesh_xml(*brick((90.0, 90.0, 90.0)))}</object>'
    assert read(tmp_path, OBJECT + spare, head="").health.extents_mm == pytest.approx((4.0, 3.0, 2.0))


def test_one_object_placed_twice(tmp_path):
    twice = ITEM + '<item objectid="1" transform="1 0 0 0 1 0 0 0 1 50 0 0"/>'
    health = read(tmp_path, build=twice, head="").health
    assert (health.bodies, health.triangles) == (2, 24)
    assert health.extents_mm == pytest.approx((54.0, 3.0, 2.0))


def test_component_in_another_model_of_the_package(tmp_path):
    main = '<object id="2"><components><component objectid="1" p:path="/3D/other.model"/></components></object>'
    other = model_xml(OBJECT, "", 'unit="inch"')
    model = read(
        tmp_path, main, '<item objectid="2"/>', 'unit="inch" requiredextensions="p"', **{"3D/other.model": other}
    )
    assert model.health.extents_mm == pytest.approx((101.6, 76.2, 50.8))


def test_support_structures_are_mentioned(tmp_path):
    model = read(tmp_path, OBJECT.replace('type="model"', 'type="support"'))
    assert any("support structures" in line for line in describe(model))


def test_document_types_and_their_entities_are_refused(tmp_path):
    text = model_xml(OBJECT, ITEM).replace("<model", '<!DOCTYPE model [<!ENTITY a "1">]><model', 1)
    path = write_3mf(tmp_path / "a.3mf", {"3D/m.model": text.replace('x="0.0"', 'x="&a;"', 1)})
    with pytest.raises(MeshFileError, match="declares a document type"):
        read_mesh(path, None)


@pytest.mark.parametrize(
    ("objects", "build", "head", "words"),
    [
        (OBJECT, "", "", "places no part"),
        (OBJECT, '<item objectid="9"/>', "", "names the object 9"),
        (OBJECT, ITEM, 'unit="cubit"', '"cubit" is no unit of 3MF'),
        (OBJECT, ITEM.replace("/>", ' transform="1 0 0"/>'), "", "not a transform of twelve numbers"),
        (OBJECT.replace('v1="0"', 'v1="80"', 1), ITEM, "", "corner that does not exist"),
        (OBJECT.replace('x="0.0"', 'x="wide"', 1), ITEM, "", "a number is missing or wrong in its vertices"),
        (OBJECT.replace('x="0.0"', 'x="nan"', 1), ITEM, "", "not a number"),
        (
            '<object id="1"><components><component objectid="1"/></components></object>',
            ITEM,
            "",
            "in a circle",
        ),
        (
            OBJECT,
            ITEM,
            'xmlns:b="http://example.org/lattice" requiredextensions="b"',
            "example.org/lattice, which is not",
        ),
        (OBJECT + "<oops>", ITEM, "", "cannot be read"),
    ],
)
def test_refusals(tmp_path, objects, build, head, words):
    with pytest.raises(MeshFileError, match=words) as caught:
        read(tmp_path, objects, build, head)
    assert "\n    mend: " in str(caught.value)


def test_models_in_two_units_are_refused(tmp_path):
    main = '<object id="2"><components><component objectid="1" p:path="/3D/other.model"/></components></object>'
    with pytest.raises(MeshFileError, match="mixes inch and millimeter"):
        read(tmp_path, main, '<item objectid="2"/>', **{"3D/other.model": model_xml(OBJECT, "")})


def test_a_package_without_a_model_is_refused(tmp_path):
    path = write_3mf(tmp_path / "a.3mf", {"3D/m.model": f'<model xmlns="{CORE}"/>'})
    with pytest.raises(MeshFileError, match="places no part"):
        read_mesh(path, None)


@pytest.mark.parametrize("packing", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_model_damaged_in_any_packing_is_refused(tmp_path, packing):
    """One byte of the packed data turned over, at many places; a head and an end that no reader uses are left out."""
    path = write_3mf(tmp_path / "part.3mf", {"3D/model.model": model_xml(OBJECT, ITEM, 'unit="inch"')})
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(path, "w", packing) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        held = archive.getinfo("3D/model.model")
        start = held.header_offset + 30 + len(held.filename)
        end = start + held.compress_size
    whole = path.read_bytes()
    assert read_mesh(path, None).health.extents_mm == pytest.approx((101.6, 76.2, 50.8))
    for at in range(start + 9, end - 16, max(1, (end - start) // 40)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :])
        with pytest.raises(MeshFileError, match="damaged"):
            read_mesh(path, None)


def test_an_archive_that_is_cut_short_or_lacks_its_model_is_refused(tmp_path):
    path = write_3mf(tmp_path / "part.3mf", {"3D/model.model": model_xml(OBJECT, ITEM, "")})
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(MeshFileError, match="not a 3MF file, or it is damaged"):
        read_mesh(path, None)
    with pytest.raises(MeshFileError, match="damaged"):
        read(tmp_path, build='<item p:path="/3D/gone.model" objectid="1"/>')
