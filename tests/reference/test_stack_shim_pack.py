"""Shim packs and screws on risers, by hand and by search.

Sizes: a pack of 7.3 from 5, 2, 1, 0.5, 0.3, 0.2 and 0.1 is 5 + 2 + 0.3 (own figures; no two pieces do). Screw
vectors: own figures from grip, riser, washer and engagement, lengths ISO 888. Standards' figures: ISO 898-1 proof loads
(8.8: M8 21 200 N, M6 11 600 N; 10.9: M8 30 400 N) and stress areas, each read on two public pages.
"""

from __future__ import annotations

from itertools import combinations_with_replacement

import pytest
from engine_layouts import study

from fitcheck.stack.lengths import fit_of
from fitcheck.stack.solve import solve
from fitcheck.standards.fasteners import thread
from fitcheck.standards.property_classes import proof_load_n

SIZES = (5.0, 2.0, 1.0, 0.5, 0.3, 0.2, 0.1)

PACK = """
    parts:
      floor: {role: enclosure, change: retained, shape: {box: [50, 50, 5]}, low_corner: [0, 0, -5]}
      pack:
        {role: spacer, change: new, shape: {box: [20, 20, 1]},
         place: {front: flush with floor, left: flush with floor, bottom: on floor top}}
      foot:
        {role: bracket, change: new, shape: {box: [20, 20, 10]},
         place: {front: flush with floor, left: flush with floor, bottom: on pack}}
      seat: {role: other, change: retained, shape: {box: [20, 20, 10]}, low_corner: [100, 0, 7.3]}
    heights:
      find: {pack: {stock: [5, 2, 1, 0.5, 0.3, 0.2, 0.1]}}
      so_that: [{level: [foot top, seat top], within: 0}]
      prefer: PREFER
"""


@pytest.mark.parametrize("prefer", ["least height", "fewest pieces"])
def test_the_pack_of_seven_point_three(prefer):
    assert solve(study(PACK.replace("PREFER", prefer))).picks["pack"].pieces == (5.0, 2.0, 0.3)
    assert not [two for two in combinations_with_replacement(SIZES, 2) if sum(two) == pytest.approx(7.3)]


SCREW = """
    parts:
      boss: {{role: enclosure, change: retained, shape: {{box: [60, 60, 30]}}, low_corner: [0, 0, -30]}}
      riser: {{role: riser, change: new, shape: {{box: [30, 30, {riser}]}}, low_corner: [0, 0, 0]}}
    screws:
      s:
        thread: {thread}
        head: ISO 4762
        direction: down
        clamps: [washer ISO 7089, {grip}, riser]
        into: {{material: {material}, usable_depth: {depth}}}
        engagement: {rule} d
"""


@pytest.mark.parametrize(
    ("name", "grip", "riser", "rule", "material", "needed", "length"),
    [
        ("M8", 40.0, 12.0, 2, "aluminium", 69.6, 70.0),
        ("M6", 18.0, 7.5, 1, "steel", 33.1, 35.0),
    ],
)
def test_screws_on_risers(name, grip, riser, rule, material, needed, length):
    """Grip 40, riser 12, washer 1.6 and 2 d in aluminium ask for 69.6: an M8 x 70; 18 + 7.5 + 1.6 + 1 d: an M6 x 35."""
    depth = length - needed + rule * int(name[1:]) + 0.5
    text = SCREW.format(riser=riser, thread=name, grip=grip, material=material, depth=depth, rule=rule)
    placed = study(text)
    fit = fit_of(placed, placed.layout.sections.screws[0])
    assert fit.window.low == pytest.approx(needed, abs=1e-9)
    assert fit.length == length


@pytest.mark.parametrize(
    ("name", "strength", "load"), [("M8", "8.8", 21200.0), ("M6", "8.8", 11600.0), ("M8", "10.9", 30400.0)]
)
def test_proof_loads_are_those_of_the_standard(name, strength, load):
    """Tabulated loads are rounded: half a per cent."""
    assert proof_load_n(thread(name), strength) == pytest.approx(load, rel=0.005)
