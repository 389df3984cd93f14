"""The promise of the weights' bands: no build within tolerance has a figure outside its worst case.

Each layout is built many times over, every toleranced value drawn from its band and then exact, and weighed afresh:
masses, densities, sizes, places, turns, the readings of the scale, the vehicle's sizes and its stated inertia.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from random import Random
from typing import Any

import numpy as np
import pytest
from engine_layouts import built, draws, layout, study

from fitcheck.findings import Band
from fitcheck.model.layout import Layout
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import with_sizes
from fitcheck.result import Balance, MassSummary, MomentRow
from fitcheck.standards.materials import find
from fitcheck.vehicle.balance import weighed
from fitcheck.weights.bodies import KG_PER_MM3
from fitcheck.weights.ledger import balance_of
from fitcheck.weights.shape_solids import solid_of

SLACK = 1e-7
BUILDS = 60

PARTS = """
    parts:
      case:
        {role: enclosure, change: retained, material: steel, inside_low_corner: [0 ± 1, 0, 0],
         shape: {tray: {inside: [1300 ± 3, 820 ± 2, 160 ± 1], wall: 2 ± 0.2, floor: 2.5 ± 0.4,
                        lip: {width: 12 ± 1, thickness: 2 ± 0.2}}}}
      old:
        {role: module, change: removed, mass: 230 ± 3, shape: {box: [1200 ± 4, 700 ± 4, 140 ± 2]},
         low_corner: [40 ± 6, 50 ± 6, 3 ± 1]}
      m1:
        {role: module, change: new, mass: 92 ± 1, turn: {z: 0 ± 0.4}, shape: {box: [410 ± 1, 700 ± 2, 126 ± 1]},
         place: {front: 12 ± 4 clear of case inside front, left: 50 ± 3 clear of case inside left,
                 bottom: on case floor}}
      m2: {like: m1, place: {front: 8 ± 2 clear of m1 rear}}
      bracket:
        {role: bracket, change: new, material: aluminium, turn: {z: 90 ± 1}, low_corner: [1100 ± 3, 40 ± 3, 10],
         shape: {prism: {outline: [[0, 0], [160, 0], [160, 10], [10, 10], [10, 90], [0, 90]], height: 120 ± 2,
                         along: z}}}
      rack:
        {role: frame, change: new, mass: 14 ± 0.5, low_corner: [900, 100 ± 2, 20],
         shape: {group: [{shape: {box: [300 ± 2, 40 ± 1, 40 ± 1]}, low_corner: [0, 0, 0]},
                         {shape: {box: [40 ± 1, 260 ± 3, 40 ± 1]}, low_corner: [0, 44, 0]}]}}
      pipe:
        {role: column, change: new, mass: 3 ± 0.2, low_corner: [1000, 500, 60 ± 2], turn: {y: 30 ± 0.5},
         shape: {tube: {outside: 60 ± 1, inside: 50 ± 1, length: 400 ± 3, along: x}},
         inertia: [0.002, 0.04 ± 0.01, 0.04]}
"""

AXLES = """
    vehicle:
      wheelbase: 2600 ± 5
      track: 1500 ± 5
      weighed: {front: 900 ± 8, rear: 800 ± 6}
      cg_height: 600 ± 20
      case_low: [700 ± 8, -400 ± 5, 300 ± 5]
      limits: {front: 1100 ± 2, rear: 1000, gross: 1900}
      payload: [{mass: 160 ± 10, at: [1200 ± 80, -300 ± 40, 800 ± 50]}]
      springs: {front: 60 N/mm ± 3 %, rear: 55 N/mm ± 3 %}
      ground_clearance: {measured: 170 ± 3, at_least: 100}
      inertia: [[400 ± 20, 4 ± 3, 30 ± 6], [4 ± 3, 1500 ± 60, 0], [30 ± 6, 0, 1700 ± 60]]
      category: N1
"""

CORNERS = """
    axes: {x: forward, y: left, z: up}
    vehicle:
      wheelbase: 2200 ± 4
      track: 1400 ± 6
      weighed: {front left: 500 ± 4, front right: 480 ± 4, rear left: 610 ± 5, rear right: 640 ± 5}
      weighed_after: {front left: 500 ± 4, front right: 480 ± 4, rear left: 580 ± 5, rear right: 610 ± 5}
      raised_axle: {raised: front, lift: 500 ± 3, other_axle: 1330 ± 5, wheel_radius: 300 ± 3}
      case_low: [3400 ± 8, 400 ± 5, 300 ± 5]
      limits: {front: 1100, rear: 1400, gross: 2400}
"""

SIDES = """
    axes: {x: rearward, y: right, z: up}
    vehicle:
      wheelbase: 2400 ± 4
      track: 1400 ± 6
      weighed: {front: 700 ± 5, rear: 900 ± 5, left: 790 ± 5, right: 810 ± 5}
      cg_height: 700 ± 30
      case_low: [2000 ± 8, -400 ± 5, 300 ± 5]
      limits: {front: 1100, rear: 1400}
"""

LAYOUTS = {"axles": PARTS + AXLES, "corners": PARTS + CORNERS, "sides": PARTS + SIDES}


def balanced(written: Layout) -> Balance:
    placed = study(written)
    parts = balance_of(placed)
    vehicle = weighed(placed, parts)
    assert vehicle is not None
    return replace(parts, vehicle=vehicle.summary)


def values_of(written: Layout) -> list[Quantity]:
    """Every value with a band, those of the vehicle too. What the scale shows after the job stays what it shows."""
    found = {value.name: value for value in written.quantities.values()}

    def note(value: Quantity) -> Quantity:
        found[value.name] = value
        return value

    with_sizes(written.sections.vehicle, note)  # type: ignore[type-var]
    return [value for value in found.values() if not value.is_exact and ".weighed_after" not in value.name]


def one_build(written: Layout, values: Mapping[str, float], chance: Random) -> Layout:
    """Every value as drawn; densities and the entries of stated tensors are drawn here."""

    def as_drawn(value: Quantity) -> Quantity:
        if ".weighed_after" in value.name:
            return value
        return replace(value, nominal=values.get(value.name, value.nominal), below=0.0, above=0.0, basis="exact")

    whole = built(written, values)
    parts = []
    for part in whole.parts:
        if part.mass is None and part.material is not None:
            density = find(part.material).density
            kg = (
                solid_of(part.shape, study(whole).meshes).volume
                * KG_PER_MM3
                * chance.uniform(density.low, density.high)
            )
            part = replace(part, mass=Quantity(name=f"{part.name}.mass", nominal=kg, unit="kg"))
        parts.append(replace(part, inertia=_drawn(part.inertia, part.inertia_half, chance), inertia_half=None))
    vehicle = with_sizes(whole.sections.vehicle, as_drawn)  # type: ignore[type-var]
    vehicle = replace(vehicle, inertia=_drawn(vehicle.inertia, vehicle.inertia_half, chance), inertia_half=None)
    return replace(whole, parts=tuple(parts), sections=replace(whole.sections, vehicle=vehicle))


def _drawn(tensor: Any, half: Any, chance: Random) -> Any:
    if tensor is None or half is None:
        return tensor
    drawn = [[0.0] * 3 for _ in range(3)]
    for i in range(3):
        for j in range(i, 3):
            drawn[i][j] = drawn[j][i] = tensor[i][j] + chance.choice([-1.0, 1.0, chance.uniform(-1, 1)]) * half[i][j]
    return tuple(tuple(row) for row in drawn)


def figures(wide: Any, one: Any, at: str) -> Iterator[tuple[str, float, float, float]]:
    """(what, low, high, figure of the build) for everything that carries a band."""
    if isinstance(wide, Band):
        yield at, wide.low, wide.high, one.value
    elif isinstance(wide, MassSummary):
        yield from _halves(wide.mass_kg, wide.mass_worst, one.mass_kg, f"{at}.mass")
        yield from _halves(wide.cg_mm, wide.cg_worst, one.cg_mm, f"{at}.cg")
        yield from _halves(wide.inertia_kg_m2, wide.inertia_worst, one.inertia_kg_m2, f"{at}.inertia")
    elif isinstance(wide, MomentRow):
        yield from _halves(wide.mass_kg, wide.mass_half_kg, one.mass_kg, f"{at}.mass")
        yield from _halves(wide.arm_mm, wide.arm_half_mm, one.arm_mm, f"{at}.arm")
        yield from _halves(wide.moment_kg_m, wide.moment_half_kg_m, one.moment_kg_m, f"{at}.moment")
    elif is_dataclass(wide):
        if getattr(wide, "inertia_worst", None) is not None:
            yield from _halves(wide.inertia_kg_m2, wide.inertia_worst, one.inertia_kg_m2, f"{at}.inertia")
        for field in fields(wide):
            if not isinstance(getattr(wide, field.name), Quantity):
                yield from figures(getattr(wide, field.name), getattr(one, field.name), f"{at}.{field.name}")
    elif isinstance(wide, tuple):
        for number, (first, second) in enumerate(zip(wide, one, strict=False)):
            yield from figures(first, second, f"{at}.{number}")


def _halves(nominal: Any, half: Any, one: Any, at: str) -> Iterator[tuple[str, float, float, float]]:
    assert nominal is not None, at
    rows = zip(np.ravel(nominal), np.ravel(half), np.ravel(one), strict=True)
    for number, (value, width, figure) in enumerate(rows):
        yield f"{at}.{number}", value - width, value + width, figure


@pytest.mark.parametrize("name", LAYOUTS)
def test_no_build_lies_outside_the_worst_case(name: str) -> None:
    written = layout(LAYOUTS[name])
    wide = balanced(written)
    chance, seen = Random(11), set()  # noqa: S311 (no secret)
    for values in draws(values_of(written), BUILDS, seed=7):
        for what, low, high, figure in figures(wide, balanced(one_build(written, values, chance)), name):
            slack = SLACK * max(1.0, abs(figure))
            assert low - slack <= figure <= high + slack, (what, low, high, figure, values)
            seen.add(what)
    assert len(seen) >= 100


def rss_of(wide: Balance) -> dict[str, tuple[float, float]]:
    """Some root-sum-square half-widths by name: (nominal, half)."""
    found: dict[str, tuple[float, float]] = {}
    for build in ("original", "proposed", "change"):
        summary = getattr(wide, build)
        for axis in range(3):
            found[f"{build} cg {axis}"] = (summary.cg_mm[axis], summary.cg_rss[axis])
            found[f"{build} inertia {axis}"] = (summary.inertia_kg_m2[axis][axis], summary.inertia_rss[axis][axis])
    for time in ("before", "after", "laden", "change"):
        state = getattr(wide.vehicle, time)
        if state is None:
            continue
        bands = {"front": state.front, "rear": state.rear, "total": state.total, "share": state.front_share}
        bands |= {f"cg {axis}": band for axis, band in enumerate(state.cg)}
        for what, band in bands.items():
            found[f"{time} {what}"] = (band.value, max(band.rss_high - band.value, band.value - band.rss_low))
    return found


def alone(written: Layout) -> dict[str, float]:
    """The same worked out by building the layout again for each value at each of its ends."""
    nominal = rss_of(balanced(written))
    squares = dict.fromkeys(nominal, 0.0)
    for value in values_of(written):
        ends = [_with(written, value.name, end) for end in (value.low, value.high)]
        told = [rss_of(balanced(end)) for end in ends]
        for what in squares:
            squares[what] += max(abs(each[what][0] - nominal[what][0]) for each in told) ** 2
    return {what: square**0.5 for what, square in squares.items()}


def _with(written: Layout, name: str, end: float) -> Layout:
    def moved(value: Quantity) -> Quantity:
        return replace(value, nominal=end, below=0.0, above=0.0) if value.name == name else value

    parts: Sequence[Any] = [with_sizes(part, moved) for part in written.parts]  # type: ignore[type-var]
    vehicle = with_sizes(written.sections.vehicle, moved)  # type: ignore[type-var]
    quantities = {known: moved(value) for known, value in written.quantities.items()}
    sections = replace(written.sections, vehicle=vehicle)
    return replace(written, parts=tuple(parts), sections=sections, quantities=quantities)


PLAIN = """
    parts:
      case:
        {role: enclosure, change: retained, mass: 40 ± 1, inside_low_corner: [0 ± 2, 0 ± 1, 0],
         shape: {tray: {inside: [1300, 820, 160], wall: 2, floor: 2}}}
      old:
        {role: module, change: removed, mass: 230 ± 3, shape: {box: [1200 ± 4, 700 ± 4, 140 ± 2]},
         place: {front: 40 ± 6 clear of case inside front, left: 50 ± 3 clear of case inside left,
                 bottom: on case floor}}
      m1:
        {role: module, change: new, mass: 92 ± 1, shape: {box: [410 ± 1, 700 ± 2, 126 ± 1]},
         place: {front: 12 ± 4 clear of case inside front, left: 50 ± 3 clear of case inside left,
                 bottom: on case floor}}
      m2: {like: m1, place: {front: 8 ± 2 clear of m1 rear}}
      m3: {like: m1, place: {front: 8 ± 2 clear of m2 rear}}
"""


def test_root_sum_square_is_that_of_each_value_alone() -> None:
    """One placing value carries three modules, and what both builds share cancels in the change."""
    written = layout(PLAIN + AXLES.replace("± 3 %", ""))
    found, expected = rss_of(balanced(written)), alone(written)
    for what, (_, half) in found.items():
        assert half == pytest.approx(expected[what], rel=0.03, abs=1e-3), what
