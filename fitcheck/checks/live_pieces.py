"""A new piece of insulation that stands on a face, cemented to the body and of its matter."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.checks.live_sites import Site
from fitcheck.checks.live_trials import Bench
from fitcheck.model.layout import Layout
from fitcheck.model.part import Change, Feature, Part, Placing
from fitcheck.model.quantity import exact
from fitcheck.model.shape import Shape, sizes_of

Corner = tuple[float, float, float]


def may_stand(site: Site) -> bool:
    """Whether a piece can be one body with what it stands on: only what never changes its size counts as cemented."""
    return not site.body.grows and all(size.is_exact for size in sizes_of(site.body.shape))


def standing(bench: Bench, site: Site, name: str, role: str, shape: Shape, corner: Corner) -> Part:
    """The piece with its low corner in case axes, placed by the body, so that it goes where the body goes."""
    chain = bench.study.chain(bench.state)

    def placing(axis: int) -> Placing:
        offset = exact(f"{name}.place.{'xyz'[axis]}", corner[axis] - chain.low(site.body, axis).nominal)
        return Placing(axis=axis, feature=Feature.LOW, reference=site.body.name, offset=offset)

    return Part(
        name=name,
        role=role,
        change=Change.NEW,
        shape=shape,
        placings=(placing(0), placing(1), placing(2)),
        material=site.body.material,
        material_group=site.body.material_group,
        cti=site.body.cti,
    )


def with_new(layout: Layout, part: Part, body: Part) -> Layout:
    """The layout with one more part, cemented to a body."""
    joint = (part.name, body.name)
    electrical = layout.sections.electrical
    assert electrical is not None  # noqa: S101 (only its pairs are mended)
    electrical = replace(electrical, cemented=(*electrical.cemented, joint))
    return replace(
        layout,
        parts=(*layout.parts, part),
        contacts=(*layout.contacts, joint),
        sections=replace(layout.sections, electrical=electrical),
    )


def in_axes(site: Site, run: float, across: float, normal: float) -> Corner:
    """Three values of a face's own axes in the order x, y, z."""
    values = {site.run: run, site.across: across, site.normal: normal}
    return values[0], values[1], values[2]


def told(corner: Corner) -> str:
    """Coordinates in words."""
    return ", ".join(f"{round(value, 3):.10g}" for value in corner)
