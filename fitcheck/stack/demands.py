"""What the heights must bring about, as upright distances between two planes.

A distance is an affine form of the toleranced values: what both planes share cancels, what they do not adds up.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import LayoutErrors, Problem
from fitcheck.findings import Band, Point
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build, Feature, Part, State
from fitcheck.model.sections import HeightDemand
from fitcheck.placing.chain import Chain
from fitcheck.placing.forms import Form, Widths, counts_in_full, fall, is_helper, rise, root_sum_square
from fitcheck.placing.local import MeshSolid
from fitcheck.study import Study

CLEAR_HEIGHT = "clear height"

FACES = {"front": "forward", "rear": "rearward", "left": "left", "right": "right", "bottom": "down", "top": "up"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """One outer face plane of a part; a coordinate times `sign` grows toward the top (or rear, or right)."""

    part: str
    axis: int
    feature: Feature
    sign: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Distance:
    """How far `upper` stands beyond `lower` along the axis that both are across."""

    lower: Plane
    upper: Plane

    @property
    def parts(self) -> tuple[str, str]:
        return (self.lower.part, self.upper.part)

    def form(self, chain: Chain) -> Form:
        by_name = chain.layout.by_name
        upper = chain.plane(by_name[self.upper.part], self.upper.axis, self.upper.feature)
        lower = chain.plane(by_name[self.lower.part], self.lower.axis, self.lower.feature)
        return (upper - lower) * float(self.upper.sign)


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """The band of a distance. `widths` are those of all values in its form, `loose` is what mesh surfaces may take off
    or add, in mm."""

    band: Band
    form: Form
    widths: Widths
    loose: float
    values: tuple[str, ...]
    points: tuple[Point, Point]


def distance_of(layout: Layout, demand: HeightDemand) -> Distance:
    """The planes that a demand speaks of. Raises LayoutErrors where two faces do not look along one axis, and where a
    part is not in the proposed build."""
    if demand.kind == CLEAR_HEIGHT:
        lower, upper = demand.between
        distance = Distance(lower=face_plane(layout, lower, "top"), upper=face_plane(layout, upper, "bottom"))
        _both_proposed(layout, demand, distance)
        return distance
    planes = [face_plane(layout, *text.rsplit(" ", 1)) for text in demand.between]
    if planes[0].axis != planes[1].axis:
        raise LayoutErrors(
            [
                Problem(
                    demand.at,
                    f"{demand.between[0]} and {demand.between[1]} do not look along one axis",
                    "name two faces that can be level, such as [disconnect top, lid top]",
                )
            ]
        )
    distance = Distance(lower=planes[1], upper=planes[0])
    _both_proposed(layout, demand, distance)
    return distance


def _both_proposed(layout: Layout, demand: HeightDemand, distance: Distance) -> None:
    """A distance to a part that is taken out says nothing of the build that is judged."""
    gone = [name for name in distance.parts if not Build.PROPOSED.holds(layout.by_name[name].change)]
    if gone:
        raise LayoutErrors(
            Problem(demand.at, f"{name!r} is removed and not in the proposed build", "name the part in its place")
            for name in gone
        )


def ages_of(study: Study, distance: Distance) -> tuple[State, ...]:
    """Both ages only where they differ for this distance, else the beginning of life alone."""
    if len(study.states) == 1:
        return study.states
    young, old = (distance.form(study.chain(state)) for state in study.states)
    return study.states if (old - young).terms or abs(old.nominal - young.nominal) > 1e-12 else study.states[:1]


def face_plane(layout: Layout, part: str, face: str) -> Plane:
    """The plane of an outer face by its word."""
    axis, sign = layout.direction(FACES[face])
    toward = sign if face in ("rear", "right", "top") else -sign
    return Plane(part=part, axis=axis, feature=Feature.HIGH if sign > 0 else Feature.LOW, sign=toward)


def upright(study: Study, state: State, distance: Distance, widths: Widths | None = None) -> Upright:
    """The band of a distance in one state, with the values' own widths or with others."""
    known = study.widths if widths is None else widths
    chain = study.chain(state).swept(known)
    form = distance.form(chain)
    known = {**known, **chain.extra.helpers}
    loose = sum(_loose(chain, study.layout.by_name[name]) for name in distance.parts)
    band = band_of(form, known, loose)
    return Upright(
        band=band,
        form=form,
        widths=known,
        loose=loose,
        values=tuple(name for name in form.terms if not is_helper(name)),
        points=_points(chain, distance),
    )


def band_of(form: Form, widths: Widths, loose: float = 0.0) -> Band:
    """Worst case and root-sum-square of a form; second-order rests and `loose` always add up."""
    rss_below, rss_above = rss_widths(form, widths)
    return Band(
        value=form.nominal,
        low=form.low(widths) - loose,
        high=form.high(widths) + loose,
        rss_low=form.nominal - rss_below - loose,
        rss_high=form.nominal + rss_above + loose,
    )


def rss_widths(form: Form, widths: Widths) -> tuple[float, float]:
    """(below, above) of a form's root-sum-square band."""
    below, above = 0.0, 0.0
    own = []
    for name, share in form.terms.items():
        if counts_in_full(name):
            below, above = below - fall(share, widths[name]), above + rise(share, widths[name])
        else:
            own.append((fall(share, widths[name]), rise(share, widths[name])))
    return below + root_sum_square(f for f, _ in own), above + root_sum_square(r for _, r in own)


def _loose(chain: Chain, part: Part) -> float:
    mesh = (piece.solid.tolerance for piece in chain.pieces(part) if isinstance(piece.solid, MeshSolid))
    return max(mesh, default=0.0)


def _points(chain: Chain, distance: Distance) -> tuple[Point, Point]:
    """One point on each plane, in the middle of what the two parts share sideways."""
    parts = [chain.layout.by_name[plane.part] for plane in (distance.lower, distance.upper)]
    axis = distance.upper.axis
    at: list[float] = []
    for k in range(3):
        lows, highs = zip(*((chain.low(p, k).nominal, chain.high(p, k).nominal) for p in parts), strict=True)
        at.append((max(lows) + min(highs)) / 2)
    found: list[Point] = []
    for plane, part in zip((distance.lower, distance.upper), parts, strict=True):
        point = list(at)
        point[axis] = chain.plane(part, axis, plane.feature).nominal
        found.append((point[0], point[1], point[2]))
    return (found[0], found[1])
