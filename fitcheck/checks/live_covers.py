"""A cover over one of two live parts: walls on the side of the other and on both flanks, a roof, open to the far side.

The open side is where a cable leaves. How far the cover must reach past the part there is what is searched.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from fitcheck.checks.directions import way
from fitcheck.checks.live_pieces import Corner, in_axes, may_stand, standing, told, with_new
from fitcheck.checks.live_sites import OFF_MM, Site, sites
from fitcheck.checks.live_trials import Bench, Trial
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity, exact
from fitcheck.model.shape import Box, Group, Member, Triple

THICK_MM = (2.0, 1.25)
AIR_MM = 0.5
"""Walls and the air beside the part, common practice, no source; less air where there is less."""
GRAIN_MM = 0.125
"""Sizes of a cover are whole multiples of this: its plates then meet exactly, in binary numbers too."""
FARTHEST_MM = 12.0

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """A cover over `part` standing on a face; it looks to `toward` (+1 or -1) on the axis of the stretch, where the
    other part stands, and reaches `past` mm beyond the part on the open side.
    """

    site: Site
    part: Part
    box: tuple[Span, Span, Span]
    toward: int
    thick: float
    air: float
    past: float = 0.0

    @property
    def name(self) -> str:
        return f"cover over {self.part.name} {self.thick:.10g} {self.air:.10g} {self.past:.10g} {self.toward}"

    @property
    def size(self) -> tuple[float, float, float]:
        """Outside, along the stretch, across it, and out of the face."""
        run, across, normal = (self.box[axis][1] - self.box[axis][0] for axis in self._axes)
        more = self.air + self.thick
        return _grains(run) + self.past + more, _grains(across) + 2.0 * more, _grains(normal) + more

    @property
    def low(self) -> tuple[float, float, float]:
        """The low corner in the same order."""
        site, more, (run, across, normal) = self.site, self.air + self.thick, self.size
        sides = [self.box[axis] for axis in self._axes]
        return (
            sides[0][1] + more - run if self.toward > 0 else sides[0][0] - more,
            (sides[1][0] + sides[1][1] - across) / 2.0,
            site.plane if site.sign > 0 else site.plane - normal,
        )

    @property
    def _axes(self) -> tuple[int, int, int]:
        return self.site.run, self.site.across, self.site.normal

    @property
    def corner(self) -> Corner:
        """The low corner in case axes."""
        return in_axes(self.site, *self.low)

    @property
    def plates(self) -> Iterator[tuple[Span, Span, Span]]:
        """Roof, wall towards the other part, and both flanks; in the face's own axes, from the low corner."""
        run, across, normal = ((0.0, size) for size in self.size)
        roof, below = _parted(normal, self.thick, self.site.sign)
        wall, behind = _parted(run, self.thick, self.toward)
        yield run, across, roof
        yield wall, across, below
        for side in (-1, 1):
            yield behind, _parted(across, self.thick, side)[0], below


def _grains(size: float) -> float:
    return math.ceil(size / GRAIN_MM - 1e-6) * GRAIN_MM


def _parted(span: Span, thick: float, side: int) -> tuple[Span, Span]:
    """The end of a span on one side, and the rest."""
    low, high = span
    return ((high - thick, high), (low, high - thick)) if side > 0 else ((low, low + thick), (low + thick, high))


def cover(bench: Bench) -> str:
    """The shortest cover that mends the pair, in words; empty where none was found."""
    for site in sites(bench):
        for hood in _covers(bench, site) if may_stand(site) else ():
            found = _shortest(bench, hood)
            if found is not None and bench.accepts(with_cover(bench, found)):
                return _words(bench, found)
    return ""


def _shortest(bench: Bench, hood: Cover) -> Cover | None:
    if not bench.fits(with_cover(bench, hood)):
        return None
    past = bench.least(lambda past: bench.holds(with_cover(bench, replace(hood, past=past))), 0, FARTHEST_MM)
    return None if past is None else replace(hood, past=past)


def _covers(bench: Bench, site: Site) -> Iterator[Cover]:
    """Covers for either part of the pair that stands on the face at an end of the stretch, with room for a wall."""
    bounds = bench.study.bounds(bench.state)
    thick = next((each for each in THICK_MM if site.length >= each + 2.0 * GRAIN_MM), None)
    if thick is None:
        return
    air = min(AIR_MM, int((site.length - thick) / 2.0 / GRAIN_MM + 1e-6) * GRAIN_MM)
    for part in (bench.route[0], bench.route[-1]):
        box = bounds[part.name]
        foot = box[site.normal][0] if site.sign > 0 else box[site.normal][1]
        ends = {1: abs(box[site.run][1] - site.start), -1: abs(box[site.run][0] - site.end)}
        toward = min(ends, key=lambda side: ends[side])
        if abs(foot - site.plane) <= OFF_MM and ends[toward] <= OFF_MM:
            yield Cover(site=site, part=part, box=box, toward=toward, thick=thick, air=air)


def with_cover(bench: Bench, hood: Cover) -> Trial:
    """The layout with the cover, cemented to the body that it stands on, and of its matter."""
    members = []
    for number, plate in enumerate(hood.plates):
        label = f"{hood.name}.{number}"
        low = in_axes(hood.site, *(span[0] for span in plate))
        size = in_axes(hood.site, *(span[1] - span[0] for span in plate))
        members.append(Member(shape=Box(size=_triple(label, *size)), low_corner=_triple(f"{label}.at", *low)))
    part = standing(bench, hood.site, hood.name, "cover", Group(members=tuple(members)), hood.corner)
    layout = with_new(bench.layout, part, hood.site.body)
    return Trial(key=(hood.name, hood.corner), layout=layout, changed=(hood.name,))


def _triple(name: str, x: float, y: float, z: float) -> Triple:
    def value(axis: str, at: float) -> Quantity:
        return exact(f"{name}.{axis}", at)

    return value("x", x), value("y", y), value("z", z)


def _words(bench: Bench, hood: Cover) -> str:
    site = hood.site
    size = " x ".join(f"{each:.10g}" for each in in_axes(site, *hood.size))
    return (
        f"a cover over {hood.part.name} open {way(bench.layout, site.run, -hood.toward)}, {size} mm outside, "
        f"{hood.thick:.10g} mm thick, cemented to {site.face(bench.layout)} (low corner {told(hood.corner)})"
    )
