"""A rib of insulation across a way between two live parts: how high, how long and where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fitcheck.checks.live_pieces import Corner, in_axes, may_stand, standing, told, with_new
from fitcheck.checks.live_sites import Site, sites
from fitcheck.checks.live_trials import STEP_MM, Bench, Trial, steps
from fitcheck.model.quantity import exact
from fitcheck.model.shape import Box

THICK_MM = (2.0, 1.5, 1.2)
"""The thickness of a rib, the first that leaves air of width X to either side; common practice, no source."""
HIGHEST_MM = 40.0
HIGHER_MM = 12.0
"""A rib this much higher than what is missing at the least is not looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar on a face: from `low` to `low` + `thick` along the stretch, `span` across it, `high` mm out of the face."""

    site: Site
    low: float
    thick: float
    span: tuple[float, float]
    high: float

    @property
    def name(self) -> str:
        site = self.site
        return f"rib {self.thick:.10g} x {self.high:.10g} x {self.long:.10g} mm {'xyz'[site.run]}{'xyz'[site.normal]}"

    @property
    def long(self) -> float:
        return self.span[1] - self.span[0]

    @property
    def corner(self) -> Corner:
        """The low corner in case axes."""
        site = self.site
        return in_axes(site, self.low, self.span[0], site.plane if site.sign > 0 else site.plane - self.high)

    @property
    def size(self) -> Corner:
        return in_axes(self.site, self.thick, self.long, self.high)


def rib(bench: Bench) -> str:
    """The lowest rib that mends the pair, in words; empty where none was found."""
    for site in filter(may_stand, sites(bench)):
        for bar in _bars(bench, site):
            found = _lowest(bench, bar)
            if found is not None and bench.accepts(with_bar(bench, found)):
                return _words(bench, found)
    return ""


def _bars(bench: Bench, site: Site) -> Iterator[Bar]:
    """Bars of no height yet: in the middle with air enough to both sides, else close by an end; then longer ones."""
    air = bench.bridged
    middle = [thick for thick in THICK_MM if site.length - thick >= 2.0 * air - 1e-9]
    places = [(site.halfway - middle[0] / 2.0, middle[0])] if middle else []
    if not middle:
        beside = [thick for thick in THICK_MM if site.length - thick >= air - 1e-9]
        places += [(low, beside[0]) for low in (site.end - beside[0], site.start)] if beside else []
    for share in (0.5, 1.0):
        more = steps(bench.required * share) * STEP_MM
        for low, thick in places:
            span = (site.facing[0] - more, site.facing[1] + more)
            yield Bar(site=site, low=low, thick=thick, span=span, high=0.0)


def _lowest(bench: Bench, bar: Bar) -> Bar | None:
    """The lowest bar in that place; where it stands clear, the way goes up and down again."""
    clear = bar.low > bar.site.start and bar.low + bar.thick < bar.site.end
    first = bench.more(2.0 if clear else 1.0)
    if not bench.fits(with_bar(bench, replace(bar, high=first * STEP_MM))):
        return None
    high = bench.least(
        lambda height: bench.holds(with_bar(bench, replace(bar, high=height))),
        first,
        min(HIGHEST_MM, first * STEP_MM + HIGHER_MM),
    )
    return None if high is None else replace(bar, high=high)


def with_bar(bench: Bench, bar: Bar) -> Trial:
    """The layout with the bar, cemented to the body that it stands on, and of its matter."""
    x, y, z = (exact(f"{bar.name}.{'xyz'[axis]}", size) for axis, size in enumerate(bar.size))
    part = standing(bench, bar.site, bar.name, "insulator", Box(size=(x, y, z)), bar.corner)
    return Trial(key=(bar.name, bar.corner), layout=with_new(bench.layout, part, bar.site.body), changed=(bar.name,))


def _words(bench: Bench, bar: Bar) -> str:
    return (
        f"a rib {bar.thick:.10g} mm thick, {bar.high:.10g} mm high and {round(bar.long, 3):.10g} mm long on "
        f"{bar.site.face(bench.layout)}, cemented to it (low corner {told(bar.corner)})"
    )
