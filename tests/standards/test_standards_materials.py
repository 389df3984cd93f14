"""Materials: found by any of their names, figures inside their ranges, groups on the cautious side."""

from __future__ import annotations

import pytest

from fitcheck.standards.materials import MATERIALS, find, names

LEAST_CTI = {"I": 600, "II": 400, "IIIa": 175, "IIIb": 100}


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("PA66-GF30", "PA66-GF30"),
        ("pa66_gf30", "PA66-GF30"),
        ("PA 66 GF 30", "PA66-GF30"),
        ("aluminium", "aluminium"),
        ("Aluminum", "aluminium"),
        ("aluminium_6061", "aluminium 6061"),
        ("steel", "mild steel"),
        ("Stainless-Steel", "stainless steel 304"),
        ("stainless", "stainless steel 304"),
        ("FR-4", "FR4"),
        ("COPPER", "copper"),
        ("polycarbonate", "PC"),
    ],
)
def test_names_ignore_case_hyphen_underscore_and_blanks(written, name):
    assert find(written).name == name


@pytest.mark.parametrize("written", ["", "unobtainium", "PA", "steel wool", "66"])
def test_an_unknown_name_finds_nothing(written):
    assert find(written) is None


def test_every_name_finds_its_own_material():
    assert [find(name) for name in names()] == list(MATERIALS)


@pytest.mark.parametrize("material", MATERIALS, ids=names())
def test_typical_figures_lie_in_their_range_and_say_how_they_were_checked(material):
    figures = [material.density, material.stiffness, material.expansion, *([material.cti] if material.cti else [])]
    for figure in figures:
        assert 0 < figure.low <= figure.typical <= figure.high
        assert figure.source.verified


@pytest.mark.parametrize("material", MATERIALS, ids=names())
def test_metal_has_no_tracking_and_the_group_of_an_insulator_follows_its_lowest_index(material):
    assert material.is_insulator is not material.is_metal
    if material.is_metal:
        assert material.cti is None
        assert material.material_group is None
    elif material.cti is None:
        assert material.material_group == "IIIb"
    else:
        allowed = [group for group, least in LEAST_CTI.items() if material.cti.low >= least]
        assert material.material_group == allowed[0]


@pytest.mark.parametrize(
    ("name", "low", "typical", "high"),
    [("steel", 7840, 7850, 7870), ("aluminium 5052", 2670, 2680, 2690), ("PA66-GF30", 1350, 1370, 1400)],
)
def test_densities_in_kg_per_cubic_metre(name, low, typical, high):
    density = find(name).density
    assert (density.low, density.typical, density.high) == (low, typical, high)


def test_aluminium_without_an_alloy_spans_the_alloys():
    either = find("aluminium")
    for alloy in (find("5052"), find("6061")):
        assert either.density.low <= alloy.density.low <= alloy.density.high <= either.density.high
        assert either.stiffness.low <= alloy.stiffness.low <= alloy.stiffness.high <= either.stiffness.high
        assert either.expansion.low <= alloy.expansion.low <= alloy.expansion.high <= either.expansion.high
