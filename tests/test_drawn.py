"""What a scene knows of electricity: what each part is, and below which width an opening counts as bridged."""

from __future__ import annotations

from pathlib import Path

from fitcheck.run import scene

DEMOS = Path(__file__).parents[1] / "demo_geometry"


def test_parts_say_what_they_are_to_electricity():
    drawn = scene(DEMOS / "09_live_terminals" / "layout.yaml", build="proposed")
    assert {part.name: part.conducts for part in drawn.parts} == {
        "case": "bonded", "strip": "insulation", "plus": "live", "minus": "live", "tap": "live", "clip": "floating",
    }  # fmt: skip
    assert drawn.bridged_mm == 1.0


def test_a_layout_without_potentials_says_nothing_of_it():
    drawn = scene(DEMOS / "07_taller_stack" / "layout.yaml", build="proposed")
    assert {part.conducts for part in drawn.parts} == {""}
    assert drawn.bridged_mm is None
