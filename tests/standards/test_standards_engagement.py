"""Thread engagement: the whole published span, refused where nothing was published."""

from __future__ import annotations

import pytest

from fitcheck.errors import OutsideTable
from fitcheck.standards.engagement import FAMILIES, ROWS, engagement
from fitcheck.standards.materials import MATERIALS
from fitcheck.standards.property_classes import CLASSES

BY_STRENGTH = tuple(row.name for row in sorted(CLASSES, key=lambda row: row.tensile))


@pytest.mark.parametrize(
    ("into", "class_name", "low", "high"),
    [
        ("steel", "8.8", 1.0, 1.5),
        ("S235", "12.9", 1.4, 2.1),
        ("steel of 500 MPa", "8.8", 0.9, 1.3),
        ("heat-treated steel", "10.9", 0.9, 1.1),
        ("aluminium", "8.8", 2.0, 3.0),
        ("aluminium 6061", "10.9", 2.0, 3.0),
        ("Aluminium with wire insert", "10.9", 1.5, 1.5),
        ("cast iron", "8.8", 1.0, 1.5),
        ("PA66-GF30", "4.6", 2.5, 2.5),
    ],
)
def test_both_ends_of_what_was_published(into, class_name, low, high):
    found = engagement(into, class_name)
    assert (found.low_x_d, found.high_x_d) == (low, high)
    assert all(row.source.verified for row in found.rows)


def test_a_class_without_a_row_takes_the_next_stronger_one():
    assert engagement("steel", "A2-70") == engagement("steel", "8.8")
    assert engagement("aluminium", "4.6") == engagement("aluminium", "6.8")


@pytest.mark.parametrize(
    ("into", "class_name"), [("PA66", "8.8"), ("aluminium", "12.9"), ("silicone foam", "4.6"), ("wood", "8.8")]
)
def test_what_nobody_published_is_refused(into, class_name):
    with pytest.raises(OutsideTable, match="no published engagement"):
        engagement(into, class_name)


def test_every_metal_of_the_materials_table_has_rows():
    assert all(engagement(row.name, "6.8").rows for row in MATERIALS if row.is_metal)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_stronger_screw_never_needs_less(family):
    known = {row.property_class for row in ROWS if row.family == family}
    strongest = max(known, key=BY_STRENGTH.index)
    asked = BY_STRENGTH[: BY_STRENGTH.index(strongest) + 1]
    cautious = [engagement(family, name).high_x_d for name in asked]
    assert cautious == sorted(cautious)
    assert all(engagement(family, name).low_x_d <= high for name, high in zip(asked, cautious, strict=True))
