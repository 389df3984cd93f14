"""A made-up board of insulation with two grooves, a wall, a loose clip and terminals, and paths over it."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from made_up import box, joined

from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.report.scene import Scene
from fitcheck.sources import PRACTICE

RULE = Rule(name="creepage for 400 V, basic insulation", text="between plus and minus", source=PRACTICE)


def _is(part, conducts):
    return replace(part, conducts=conducts)


def terminal(name, low, high):
    return _is(box(name, "terminal", "new", low, high), "live")


def board() -> Scene:
    """Its top at z = 0: a groove 2 wide and 6 deep at x = 18, one 0.8 wide and 5 deep at x = 45.6."""

    def piece(low, high):
        return box("board", "insulator", "retained", low, high)

    whole = joined(
        piece((0, 0, -12), (120, 60, -6)), piece((0, 0, -6), (18, 60, 0)), piece((20, 0, -6), (45.6, 60, 0)),
        piece((45.6, 0, -6), (46.4, 60, -5)), piece((46.4, 0, -6), (120, 60, 0)),
    )  # fmt: skip
    return Scene(
        title="Board", build="proposed", axes=("rearward", "right", "up"), bridged_mm=1.0,
        parts=(
            _is(whole, "insulation"),
            _is(box("wall", "insulator", "new", (90, 10, 0), (92, 40, 10)), "insulation"),
            _is(box("clip", "bracket", "new", (62, 25, 0), (66, 35, 4)), "floating"),
            terminal("a_plus", (5, 25, 0), (15, 35, 6)), terminal("a_minus", (22, 25, 0), (32, 35, 6)),
            terminal("b_minus", (34, 25, 0), (44, 35, 6)), terminal("b_plus", (48, 25, 0), (58, 35, 6)),
            terminal("c_minus", (66.7, 25, 0), (74, 35, 6)),
            terminal("d_plus", (80, 25, 0), (86, 35, 6)), terminal("d_minus", (92, 22, 8), (98, 36, 9)),
        ),
    )  # fmt: skip


def path(parts, *corners, value=None, required=4.0, status=Status.NOT_MET, check="creepage", bends=True) -> Finding:
    """A finding along these corners; its value is their whole length unless said."""
    value = sum(math.dist(*pair) for pair in pairwise(corners)) if value is None else value
    return Finding(
        check=check, parts=parts, build="proposed", status=status, rule=RULE, unit="mm", required=required,
        band=Band(value=value, low=value, high=value, rss_low=value, rss_high=value),
        points=(corners[0], corners[-1]), way=corners if bends else (),
    )  # fmt: skip


WIDE_GROOVE = path(
    ("a_plus", "a_minus"), (15.0, 30.0, 0.0), (18.0, 30.0, 0.0), (18.0, 30.0, -6.0), (20.0, 30.0, -6.0),
    (20.0, 30.0, 0.0), (22.0, 30.0, 0.0), status=Status.MET,
)  # fmt: skip
NARROW_GROOVE = path(
    ("b_minus", "b_plus"), (44.0, 30.0, 0.0), (45.6, 30.0, 0.0), (46.4, 30.0, 0.0), (48.0, 30.0, 0.0), required=5.0
)
OVER_THE_CLIP = path(
    ("b_plus", "c_minus"), (58.0, 30.0, 0.0), (62.0, 30.0, 0.0), (66.0, 32.0, 0.0), (66.7, 32.0, 0.0), value=4.0,
    status=Status.CANNOT_TELL, required=4.5,
)  # fmt: skip
ROUND_THE_WALL = path(
    ("d_plus", "d_minus"), (86.0, 30.0, 0.0), (90.0, 38.0, 0.0), (90.0, 40.0, 3.0), (92.0, 40.0, 5.0),
    (92.0, 36.0, 8.0), required=21.0,
)  # fmt: skip
STRAIGHT = path(
    ("b_minus", "b_plus"), (44.0, 30.0, 3.0), (48.0, 30.0, 3.0), check="clearance", required=1.5, bends=False,
    status=Status.MET,
)  # fmt: skip
EVERY = (WIDE_GROOVE, NARROW_GROOVE, OVER_THE_CLIP, ROUND_THE_WALL, STRAIGHT)


def _at(x, z):
    return (x, 30.0, z)


CROWDED = {
    "ten legs within a millimetre": path(
        ("b_minus", "b_plus"), *(_at(44.0 + 0.1 * step, -0.08 * (step % 2)) for step in range(11))
    ),
    "ten legs up a post": path(
        ("a_plus", "a_minus"), *(_at(15.0 + 0.3 * (step % 2), 0.6 * step) for step in range(11))
    ),
    "to and fro": path(
        ("a_plus", "a_minus"), *(_at(x, z) for x, z in [
            (15, 0), (18, 0), (18, -0.3), (15.2, -0.3), (15.2, -0.6), (18, -0.6), (18, -0.9), (15, -0.9)
        ])
    ),
    "sixty legs over a wave": path(
        ("a_plus", "a_minus"), *(_at(15.0 + 7.0 * step / 60.0, 1.2 * math.sin(step / 4.0)) for step in range(61))
    ),
    "a deep narrow groove": path(
        ("a_plus", "a_minus"),
        *(_at(x, z) for x, z in [(15, 0), (16.1, 0), (16.1, -9), (16.6, -9), (16.6, 0), (17.8, 0)])
    ),
    "four grooves": path(
        ("a_plus", "a_minus"), *(_at(15.0 + x, z) for groove in range(4) for x, z in [
            (2.0 * groove, 0), (2.0 * groove + 0.5, 0), (2.0 * groove + 0.5, -3), (2.0 * groove + 1.7, -3),
            (2.0 * groove + 1.7, 0),
        ])
    ),
}  # fmt: skip
"""Paths with more to write than there is room beside their legs."""
