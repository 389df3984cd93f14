"""Fasteners, property classes and torque: look-ups refuse what the tables do not hold."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import OutsideTable
from fitcheck.standards.fasteners import HEADS, NUTS, THREADS, WASHERS, head, nut, thread, washer
from fitcheck.standards.property_classes import CLASSES, proof_load_n, property_class
from fitcheck.standards.torque import full_preload_n, full_torque_nm, preload_n, torque_nm

FRICTIONS = st.floats(0.04, 0.35)


def test_names_ignore_blanks_and_case():
    assert thread(" m8 ").name == "M8"
    assert head("iso4762", "m8") == head("ISO 4762", "M8")


@pytest.mark.parametrize("name", ["M7", "M2.5", "M14", "M8x1", "1/4-20", ""])
def test_other_threads_are_refused(name):
    with pytest.raises(OutsideTable, match="M3, M4"):
        thread(name)


@pytest.mark.parametrize(
    ("look_up", "standard", "name"),
    [(head, "ISO 7380", "M8"), (head, "DIN 933", "M8"), (nut, "DIN 934", "M4"), (washer, "ISO 7093", "M8")],
)
def test_parts_not_in_the_tables_are_refused(look_up, standard, name):
    with pytest.raises(OutsideTable, match=standard):
        look_up(standard, name)


def test_every_thread_has_heads_nut_and_washer_that_fit_it():
    for row in THREADS:
        for standard in ("ISO 4762", "ISO 4014", "ISO 4017"):
            assert head(standard, row.name).width > row.holes[1] > row.diameter
        assert nut("ISO 4032", row.name).height_min < nut("ISO 4032", row.name).height_max
        assert row.diameter < washer("ISO 7089", row.name).inside < washer("ISO 7089", row.name).outside


def test_only_screws_threaded_to_the_head_have_no_thread_length():
    assert {row.standard for row in HEADS if row.thread_length is None} == {"ISO 4017", "DIN 933"}


def test_the_older_hexagon_stands_beside_the_iso_one():
    assert [head(standard, "M10").key for standard in ("ISO 4014", "DIN 931")] == [16, 17]
    assert [nut(standard, "M12").height_max for standard in ("ISO 4032", "DIN 934")] == [10.8, 10.0]


def test_each_row_is_unique_and_says_how_it_was_checked():
    keys = [(type(row), row.standard, row.thread) for row in (*HEADS, *NUTS, *WASHERS)]
    assert len(keys) == len(set(keys))
    assert all(row.source.verified for row in (*THREADS, *HEADS, *NUTS, *WASHERS, *CLASSES))
    assert "from memory" in thread("M3").source.verified


@pytest.mark.parametrize("name", ["8", "8.9", "A4-70", ""])
def test_other_property_classes_are_refused(name):
    with pytest.raises(OutsideTable, match=r"12\.9"):
        property_class(name)


def test_classes_ascend_and_proof_is_below_yield_is_below_tensile():
    for row in CLASSES:
        assert row.proof <= row.yields < row.tensile
    assert [row.tensile for row in CLASSES] == sorted(row.tensile for row in CLASSES)


def test_proof_load_is_stress_times_area():
    assert proof_load_n(thread("M8"), "4.6") == pytest.approx(225 * 36.6, rel=1e-12)


@given(st.sampled_from(THREADS), st.floats(0.1, 200), FRICTIONS)
def test_torque_and_preload_are_inverse(row, torque, friction):
    assert torque_nm(row, preload_n(row, torque, friction), friction) == pytest.approx(torque, rel=1e-12)


@given(st.sampled_from(THREADS), st.floats(0.1, 200), FRICTIONS, FRICTIONS)
def test_more_friction_never_gives_more_preload(row, torque, one, other):
    slippery, rough = sorted((one, other))
    assert preload_n(row, torque, slippery) >= preload_n(row, torque, rough)
    assert full_preload_n(row, "8.8", slippery) >= full_preload_n(row, "8.8", rough)


@given(st.sampled_from(THREADS), st.sampled_from(CLASSES), FRICTIONS)
def test_full_preload_stays_below_the_yield_load(row, strength, friction):
    assert 0 < full_preload_n(row, strength.name, friction) < 0.9 * strength.yields * row.stress_area
    assert full_torque_nm(row, strength.name, friction) > 0


@pytest.mark.parametrize("friction", [0, 0.039, 0.36, -0.1, 12])
def test_odd_friction_is_refused(friction):
    with pytest.raises(OutsideTable, match="friction"):
        preload_n(thread("M8"), 20, friction)
    with pytest.raises(OutsideTable, match="friction"):
        full_preload_n(thread("M8"), "8.8", friction)
