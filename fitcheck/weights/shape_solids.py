"""The solid of a shape, for its volume, centroid and inertia."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.geometry import solids
from fitcheck.geometry.solids import Solid
from fitcheck.model.shape import Box, Cylinder, Group, Mesh, Prism, Rim, Shape, Tray, Tube, with_sizes
from fitcheck.placing.forms import Extra
from fitcheck.placing.local import MeshSource, bounds_along, pieces_of
from fitcheck.placing.rotation import IDENTITY, Rotation, about, in_order


class NoSolidError(Exception):
    """A shape gives no volume; the message says why."""


def solid_of(shape: Shape, meshes: MeshSource, *, hull_allowed: bool = False) -> Solid:
    """The nominal solid, its bounding box's low corner at zero. Raises NoSolidError for a mesh that is no sound
    solid.
    """
    match shape:
        case Box(size=size):
            return solids.box([side.nominal for side in size])
        case Cylinder(diameter=diameter, length=length, along=along):
            return solids.cylinder(diameter.nominal, length.nominal, along)
        case Tube(outside=outside, inside=inside, length=length, along=along):
            return solids.tube(outside.nominal, inside.nominal, length.nominal, along)
        case Prism():
            return _prism(shape)
        case Tray(inside=inside, wall=wall, floor=floor, lip=lip, flange=flange):
            return solids.tray(
                [side.nominal for side in inside], wall.nominal, floor.nominal, lip=_rim(lip), flange=_rim(flange)
            )
        case Mesh():
            return _mesh_solid(shape, meshes, hull_allowed)
        case Group(members=members):
            parts = []
            for member in members:
                rotation = in_order(about(turn.axis, turn.angle.nominal) for turn in member.turns)
                own = solid_of(member.shape, meshes, hull_allowed=hull_allowed).moved(np.array(rotation), np.zeros(3))
                low = _turned_low(member.shape, meshes, rotation)
                corner = np.array([value.nominal for value in member.low_corner])
                parts.append(own.moved(np.eye(3), corner - low))
            lows = np.array([[value.nominal for value in member.low_corner] for member in members]).min(axis=0)
            return solids.union(parts).moved(np.eye(3), -lows)


def _rim(rim: Rim | None) -> tuple[float, float] | None:
    return None if rim is None else (rim.width.nominal, rim.thickness.nominal)


def _mesh_solid(shape: Mesh, meshes: MeshSource, hull_allowed: bool) -> Solid:
    model = meshes(shape)
    vertices, faces = model.vertices, model.solid_faces
    if faces is None:
        if not hull_allowed:
            raise NoSolidError("the mesh is not a sound closed solid; give mass and centre of mass, or `hull: allowed`")
        from fitcheck.geometry.intersect import hull

        body = hull(vertices)
        if body is None:
            raise NoSolidError("the mesh is flat; give mass and centre of mass")
        vertices, faces = body
    low = model.vertices[model.faces.ravel()].min(axis=0)
    return solids.mesh(vertices, faces).moved(np.eye(3), -low)


def _prism(shape: Prism) -> Solid:
    """The prism, its outline stretched to the overall sizes."""
    low = [min(point[k] for point in shape.outline) for k in (0, 1)]
    high = [max(point[k] for point in shape.outline) for k in (0, 1)]
    stretch = [shape.extent[k].nominal / (high[k] - low[k]) for k in (0, 1)]
    rings = [
        [[(point[k] - low[k]) * stretch[k] for k in (0, 1)] for point in ring] for ring in (shape.outline, *shape.holes)
    ]
    return solids.prism(rings[0], rings[1:], shape.height.nominal, shape.along)


def _turned_low(shape: Shape, meshes: MeshSource, rotation: Rotation) -> np.ndarray:
    """The low corner of a turned shape's box, in axes whose zero is the low corner of its unturned box."""
    plain = Extra({})
    pieces = pieces_of(with_sizes(shape, lambda value: replace(value, below=0.0, above=0.0)), meshes, plain, "")
    own = np.array([bounds_along(pieces, row, plain, "")[0].nominal for row in IDENTITY])
    lows = [bounds_along(pieces, row, plain, "")[0].nominal for row in rotation]
    return np.asarray(np.array(lows) - np.array(rotation) @ own)


def loose_volumes(shape: Shape, meshes: MeshSource) -> Iterator[float]:
    """What the surface tolerances of meshes and prisms may add to or take off the volume: area times tolerance, mm3."""
    match shape:
        case Mesh():
            model = meshes(shape)
            tolerance = shape.tolerance + model.off_mm
            if tolerance:
                yield solids.surface_of(model.vertices, model.faces) * tolerance
        case Prism(surface_tolerance=tolerance) if tolerance:
            around = sum(
                math.dist(ring[k - 1], point) for ring in (shape.outline, *shape.holes) for k, point in enumerate(ring)
            )
            yield around * shape.height.nominal * tolerance
        case Group(members=members):
            for member in members:
                yield from loose_volumes(member.shape, meshes)


def loose_share(shape: Shape, volume: float, meshes: MeshSource) -> float:
    """The same as a share of the least volume that may be left; infinite where nothing may be."""
    skin = sum(loose_volumes(shape, meshes))
    return skin / (volume - skin) if skin < volume else math.inf


def reaches(solid: Solid, sides: Sequence[tuple[float, float]]) -> list[float]:
    """How far along each axis the solid may reach from its centroid; `sides` are nominal and largest, in mm."""
    return [
        max(float(middle), nominal - float(middle)) + high - nominal
        for middle, (nominal, high) in zip(solid.centroid, sides, strict=True)
    ]
