"""ISO 898-1, ISO 273, ISO 4762, ISO 4014, ISO 4032 and ISO 7089 figures quoted on public dimension pages."""

from __future__ import annotations

import math

import pytest

from fitcheck.standards.fasteners import THREADS, head, nut, thread, washer
from fitcheck.standards.property_classes import proof_load_n, property_class

# ISO 898-1, coarse thread: proof load in N of 8.8 and 10.9, least tensile load of 8.8 and 10.9.
LOADS = {
    "M4": (5100, 7290, 7020, 9130),
    "M5": (8230, 11800, 11350, 14800),
    "M6": (11600, 16700, 16100, 20900),
    "M8": (21200, 30400, 29200, 38100),
    "M10": (33700, 48100, 46400, 60300),
    "M12": (48900, 70000, 67400, 87700),
}
# ISO 4014, least width across corners.
CORNERS = {"M4": 7.66, "M5": 8.79, "M6": 11.05, "M8": 14.38, "M10": 17.77, "M12": 20.03}


@pytest.mark.parametrize("row", THREADS, ids=lambda row: row.name)
def test_stress_area_follows_iso_898_1(row):
    """ISO 898-1: area of the mean of pitch and minor diameter, rounded to three figures in the table."""
    computed = math.pi / 4 * (row.diameter - 0.9382 * row.pitch) ** 2
    assert float(f"{computed:.3g}") == pytest.approx(row.stress_area, abs=1e-9)


@pytest.mark.parametrize("name", LOADS)
def test_loads_of_iso_898_1(name):
    """Tabulated loads are stress times area, rounded to three figures; a few are rounded up from the last digit."""
    row = thread(name)
    proof_88, proof_109, tensile_88, tensile_109 = LOADS[name]
    assert proof_load_n(row, "8.8") == pytest.approx(proof_88, rel=0.005)
    assert proof_load_n(row, "10.9") == pytest.approx(proof_109, rel=0.005)
    assert property_class("8.8").tensile * row.stress_area == pytest.approx(tensile_88, rel=0.005)
    assert property_class("10.9").tensile * row.stress_area == pytest.approx(tensile_109, rel=0.005)


@pytest.mark.parametrize(
    ("name", "proof", "yields", "tensile"),
    [
        ("4.6", 225, 240, 400),
        ("4.8", 310, 340, 420),
        ("5.6", 280, 300, 500),
        ("5.8", 380, 420, 520),
        ("6.8", 440, 480, 600),
        ("8.8", 580, 640, 800),
        ("9.8", 650, 720, 900),
        ("10.9", 830, 940, 1040),
        ("12.9", 970, 1100, 1220),
    ],
)
def test_stresses_of_iso_898_1(name, proof, yields, tensile):
    """A fastener supplier's reprint of the table of mechanical properties, threads up to M16."""
    row = property_class(name)
    assert (row.proof, row.yields, row.tensile) == (proof, yields, tensile)


@pytest.mark.parametrize(
    ("name", "holes"),
    [
        ("M3", (3.2, 3.4, 3.6)),
        ("M4", (4.3, 4.5, 4.8)),
        ("M5", (5.3, 5.5, 5.8)),
        ("M6", (6.4, 6.6, 7.0)),
        ("M8", (8.4, 9.0, 10.0)),
        ("M10", (10.5, 11.0, 12.0)),
        ("M12", (13.0, 13.5, 14.5)),
    ],
)
def test_clearance_holes_of_iso_273(name, holes):
    assert thread(name).holes == holes


@pytest.mark.parametrize("name", CORNERS)
def test_sharp_corners_are_the_safe_side_of_iso_4014(name):
    """The least width across corners that the standard allows is up to 6 % below sharp corners."""
    width = head("ISO 4014", name).width
    assert 0.94 * width < CORNERS[name] < width


def test_m8_of_every_standard():
    """ISO 4762, 4014, 4032 and 7089 at M8, read on two or more dimension pages."""
    socket, hexagon = head("ISO 4762", "M8"), head("ISO 4014", "M8")
    assert (socket.width, socket.height, socket.key, socket.socket_depth, socket.thread_length) == (13, 8, 6, 4, 28)
    assert (hexagon.key, hexagon.thread_length) == (13, 22)
    assert (nut("ISO 4032", "M8").height_max, nut("ISO 4032", "M8").height_min) == (6.8, 6.44)
    flat = washer("ISO 7089", "M8")
    assert (flat.inside, flat.outside, flat.thickness) == (8.4, 16, 1.6)


@pytest.mark.parametrize("row", THREADS, ids=lambda row: row.name)
def test_thread_length_of_iso_4762_and_iso_4014(row):
    """Both standards for screws up to 125 mm: 2 d + 12 mm for socket heads, 2 d + 6 mm for hexagons."""
    assert head("ISO 4762", row.name).thread_length == 2 * row.diameter + 12
    assert head("ISO 4014", row.name).thread_length == 2 * row.diameter + 6
