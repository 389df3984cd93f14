"""IEC 60664-1:2020 tables F.1, F.2, F.5, F.8 and A.2 as quoted on public pages (a terminal-block maker, a magnetics
library, GOST translations), and the isolation limits of UN R100 5.1.3.

Vectors were worked out from the quoted tables by hand; the standard itself was not read.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import OutsideTable
from fitcheck.standards.clearance_table import ALTITUDE_ROWS, CLEARANCE_ROWS, IMPULSE_ROWS, PEAK_ROWS
from fitcheck.standards.creepage_table import CREEPAGE_ROWS
from fitcheck.standards.insulation import (
    GROOVE_MM,
    ISOLATION_COMBINED,
    ISOLATION_DC,
    altitude_factor,
    clearance,
    creepage,
    material_group,
    peak_clearance,
    rated_impulse,
    reinforced_impulse,
)


@pytest.mark.parametrize(
    ("volts", "degree", "group", "insulation", "mm"),
    [
        (400, 2, "IIIa", "basic", 4.0),
        (400, 2, "IIIa", "supplementary", 4.0),
        (400, 2, "IIIa", "reinforced", 8.0),
        (400, 3, "IIIa", "basic", 6.3),
        (400, 3, "IIIb", "basic", 6.3),
        (400, 3, "IIIa", "reinforced", 12.6),
        (360, 2, "IIIa", "basic", 3.6),
        (1000, 1, "I", "basic", 3.2),
        (1000, 1, "IIIb", "basic", 3.2),
        (10, 3, "II", "basic", 1.0),
        (10000, 3, "III", "basic", 160.0),
        (630, 3, "I", "basic", 8.0),
    ],
)
def test_creepage_f5(volts, degree, group, insulation, mm):
    assert creepage(volts, degree, group, insulation=insulation).mm == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    ("volts", "degree", "group", "between", "rounded"),
    [
        (450, 2, "I", 2.25, 2.3),
        (450, 3, "IIIa", 7.15, 7.2),
        (750, 3, "II", 9 + 2 * 120 / 170, 10.5),
        (360, 2, "IIIa", 3.6, 3.6),
        (11, 2, "I", 0.408, 0.42),  # 0.5 would be more than the next row asks for at 12.5 V
    ],
)
def test_creepage_between_rows_is_rounded_up(volts, degree, group, between, rounded):
    need = creepage(volts, degree, group)
    assert need.between_rows == pytest.approx(between, abs=1e-9)
    assert need.mm == pytest.approx(rounded, abs=1e-12)


def test_creepage_by_the_next_row_and_with_a_rib():
    assert creepage(360, 2, "IIIa", interpolate=False).mm == 4.0
    assert creepage(800, 3, "IIIa", with_rib=True).mm == 10.2
    assert creepage(1000, 3, "II", with_rib=True).mm == 11.2


def test_creepage_on_printed_wiring():
    assert creepage(400, 1, "IIIb", printed_wiring=True).mm == 1.0
    assert creepage(400, 2, "IIIa", printed_wiring=True).mm == 2.0
    with pytest.raises(OutsideTable):
        creepage(400, 2, "IIIb", printed_wiring=True)


def test_creepage_is_never_below_its_clearance():
    need = creepage(100, 2, "I", clearance_mm=3.0)
    assert need.mm == 3.0
    assert "the clearance of the same way asks for more" in need.text
    assert creepage(400, 2, "IIIa", clearance_mm=3.0).mm == 4.0


@pytest.mark.parametrize(
    ("volts", "degree", "group", "more"),
    [
        (10001, 2, "I", {}),
        (0, 2, "I", {}),
        (-5, 2, "I", {}),
        (400, 4, "I", {}),
        (400, 5, "I", {}),
        (400, 2, "IV", {}),
        (1250, 2, "I", {"printed_wiring": True}),
        (800, 2, "I", {"with_rib": True}),
        (400, 3, "I", {"with_rib": True}),
        (400, 2, "I", {"insulation": "double basic"}),
    ],
)
def test_creepage_refuses_outside_the_table(volts, degree, group, more):
    with pytest.raises(OutsideTable):
        creepage(volts, degree, group, **more)


@pytest.mark.parametrize(
    ("cti", "group"),
    [(600, "I"), (599, "II"), (400, "II"), (399, "IIIa"), (175, "IIIa"), (174, "IIIb"), (100, "IIIb")],
)
def test_material_group_by_tracking_index(cti, group):
    assert material_group(cti) == group


@pytest.mark.parametrize(
    ("volts", "degree", "group", "doubted"),
    [
        (630, 3, "IIIb", False),
        (631, 3, "IIIb", True),
        (1000, 3, "IIIb", True),
        (1000, 3, "IIIa", False),
        (1000, 2, "IIIb", False),
        (1000, 3, "III", False),
    ],
)
def test_group_iiib_in_dirt_above_630_v_comes_with_a_doubt(volts, degree, group, doubted):
    """IEC 61439-1 table 2, as a switchgear catalogue reprints it: not recommended there."""
    need = creepage(volts, degree, group)
    assert bool(need.doubt) is doubted
    assert ("IEC 61439-1, table 2" in need.doubt) is doubted
    assert need.mm == creepage(volts, degree, "IIIa").mm


@pytest.mark.parametrize(
    ("volts", "insulation", "altitude", "mm"),
    [(400, "basic", 0, 0.02), (2500, "basic", 0, 1.8), (2500, "basic", 3000, 2.052), (2500, "reinforced", 0, 3.8)],
)
def test_clearance_f8_by_the_peak_alone(volts, insulation, altitude, mm):
    """Table F.8, case A: rows 0.4, 2.5 and 4 kV; table A.2: 1.14 at 3000 m; reinforced at 1.6 times the peak."""
    assert peak_clearance(volts, insulation=insulation, altitude_m=altitude) == pytest.approx(mm, abs=1e-12)


def test_no_group_below_100():
    with pytest.raises(OutsideTable):
        material_group(99)


@pytest.mark.parametrize(
    ("kv", "degree", "altitude", "mm"),
    [
        (2.5, 2, 0, 1.5),
        (2.5, 2, 3000, 1.71),
        (4.0, 3, 2500, 3.21),
        (1.5, 3, 0, 0.8),
        (3.5, 2, 0, 2.5),
        (0.5, 1, 0, 0.04),
        (0.5, 2, 0, 0.2),
        (0.5, 4, 0, 1.6),
        (6.0, 4, 2000, 5.5),
        (100, 1, 0, 170.0),
    ],
)
def test_clearance_f2_case_a(kv, degree, altitude, mm):
    assert clearance(kv, degree, altitude_m=altitude).mm == pytest.approx(mm, abs=1e-9)


def test_clearance_case_b():
    assert clearance(2.5, 2, homogeneous=True).mm == 0.6
    assert clearance(8, 3, homogeneous=True).mm == 3.0


@pytest.mark.parametrize(
    ("supply", "category", "insulation", "kv", "mm"),
    [(300, "II", "reinforced", 4.0, 3.0), (600, "II", "basic", 4.0, 3.0)],
)
def test_clearance_from_supply_and_category(supply, category, insulation, kv, mm):
    basic = rated_impulse(supply, category).kv
    assert (reinforced_impulse(basic) if insulation == "reinforced" else basic) == kv
    assert clearance(basic, 2, insulation=insulation).mm == mm


@pytest.mark.parametrize(
    ("volts", "category", "kv"),
    [
        (50, "I", 0.33), (51, "I", 0.5), (150, "III", 2.5), (151, "III", 4.0), (300, "IV", 6.0), (1000, "I", 4.0),
        (1001, "IV", 12.0), (1500, "I", 6.0), (1500, "IV", 15.0),
    ],
)  # fmt: skip
def test_impulse_f1_goes_in_steps(volts, category, kv):
    assert rated_impulse(volts, category).kv == kv


@pytest.mark.parametrize(("volts", "category"), [(1501, "I"), (0, "I"), (300, "V")])
def test_impulse_f1_refuses(volts, category):
    with pytest.raises(OutsideTable):
        rated_impulse(volts, category)


@pytest.mark.parametrize(("basic", "reinforced"), [(0.33, 0.5), (2.5, 4.0), (8.0, 12.0), (12.0, 19.2), (3.0, 4.8)])
def test_reinforced_takes_the_next_preferred_impulse_or_1_6_times(basic, reinforced):
    assert reinforced_impulse(basic) == pytest.approx(reinforced, abs=1e-12)


@pytest.mark.parametrize(
    ("altitude", "factor"),
    [(-100, 1), (0, 1), (2000, 1), (2500, 1.07), (3000, 1.14), (5000, 1.48), (12500, 4.845), (20000, 14.5)],
)
def test_altitude_a2(altitude, factor):
    assert altitude_factor(altitude) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize("wrong", [{"impulse_kv": 100.1}, {"impulse_kv": 0.0}, {"altitude_m": 20001.0}])
def test_clearance_refuses_outside_the_tables(wrong):
    with pytest.raises(OutsideTable):
        clearance(**{"impulse_kv": 2.5, "pollution_degree": 2, **wrong})


def test_a_lasting_peak_may_ask_for_more_than_the_impulse():
    """Table F.8: 0.76 mm at 1.5 kV, where an impulse of 0.5 kV asks for 0.2 mm; reinforced at 1.6 times the peak."""
    assert clearance(0.5, 2, peak_v=1500).mm == pytest.approx(0.76, abs=1e-12)
    assert clearance(2.5, 2, peak_v=400).mm == 1.5
    assert clearance(0.5, 2, peak_v=1250, insulation="reinforced").mm == pytest.approx(1.27, abs=1e-12)


@given(st.floats(10, 9999), st.floats(0, 1), st.sampled_from((1, 2, 3)), st.sampled_from(("I", "II", "IIIa", "IIIb")))
def test_more_voltage_never_asks_for_less_creepage(volts, share, degree, group):
    more = volts + share * (10000 - volts)
    assert creepage(volts, degree, group).mm <= creepage(more, degree, group).mm + 1e-12


@given(st.floats(0.33, 99), st.floats(0, 1), st.sampled_from((1, 2, 3, 4)))
def test_more_impulse_never_asks_for_less_clearance(kv, share, degree):
    assert clearance(kv, degree).mm <= clearance(kv + share * (100 - kv), degree).mm + 1e-12


def test_rows_ascend_and_name_where_they_were_read():
    for rows, key in (
        (CREEPAGE_ROWS, lambda row: row.voltage_v),
        (CLEARANCE_ROWS, lambda row: row.impulse_kv),
        (PEAK_ROWS, lambda row: row.peak_kv),
        (IMPULSE_ROWS, lambda row: row.up_to_v),
        (ALTITUDE_ROWS, lambda row: row.altitude_m),
    ):
        keys = [key(row) for row in rows]
        assert keys == sorted(set(keys))
        assert all("table" in row.source.clause and "read" in row.source.verified for row in rows)
    assert [len(rows) for rows in (CREEPAGE_ROWS, CLEARANCE_ROWS, PEAK_ROWS)] == [31, 26, 30]


def test_worse_groups_and_dirt_never_ask_for_less():
    for row in CREEPAGE_ROWS:
        for degree in (1, 2, 3):
            assert row.groups[degree, "I"] <= row.groups[degree, "II"] <= row.groups[degree, "III"]
        for group in ("I", "II", "III"):
            assert row.groups[1, group] <= row.groups[2, group] <= row.groups[3, group]


def test_grooves_by_pollution_degree():
    assert GROOVE_MM == {1: 0.25, 2: 1.0, 3: 1.5, 4: 2.5}


def test_isolation_un_r100():
    """5.1.3: 400 V needs 40 000 ohm on a dc bus, 200 000 ohm on one joined to ac."""
    assert ISOLATION_DC.ohm_per_volt * 400 == 40_000
    assert ISOLATION_COMBINED.ohm_per_volt * 400 == 200_000
