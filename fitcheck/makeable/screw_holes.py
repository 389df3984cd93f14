"""The holes that screws need in the parts that they clamp, in the part's own contour coordinates."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from fitcheck.errors import OutsideTable
from fitcheck.makeable.blanks import Blank, case_axis, rotation_of
from fitcheck.makeable.contour import Contour, Round, box_of, polygon_of
from fitcheck.makeable.laser import least_width
from fitcheck.makeable.piece import Opening
from fitcheck.model.layout import Layout
from fitcheck.model.part import Part
from fitcheck.model.sections import Screw
from fitcheck.model.shape import Point2
from fitcheck.placing.local import outline_axes
from fitcheck.standards.fasteners import thread

if TYPE_CHECKING:
    from fitcheck.report.scene import DrawnPart

NEAR_MM = 0.5
"""A drawn hole that is this near to where a screw stands is the screw's own."""


def clearance_hole_mm(name: str) -> float | None:
    """The medium clearance hole of ISO 273 for a thread; None where the table does not hold it."""
    try:
        return thread(name).holes[1]
    except OutsideTable:
        return None


def screw_holes(
    layout: Layout, part: Part, blank: Blank, placed: Mapping[str, DrawnPart]
) -> tuple[tuple[Opening, ...], tuple[str, ...]]:
    """(all openings of the part, what is to be said): those drawn, and one for each screw that clamps the part."""
    openings = [Opening(contour=contour) for contour in blank.openings]
    says: list[str] = []
    for screw in layout.sections.screws:
        if not any(clamped.part == part.name for clamped in screw.clamps):
            continue
        if not _goes_through(layout, part, blank, screw):
            says.append(f"screw {screw.name} does not go through the thickness of {part.name}: no hole drawn for it")
            continue
        before = len(says)
        done = [_add(openings, says, blank, screw, at) for at in _places(layout, part, blank, screw, placed)]
        if not any(done) and len(says) == before:
            says.append(f"screw {screw.name} clamps {part.name}, but stands nowhere on it: no hole drawn for it")
    return tuple(openings), tuple(dict.fromkeys(says))


def _goes_through(layout: Layout, part: Part, blank: Blank, screw: Screw) -> bool:
    found = case_axis(rotation_of(part), blank.along)
    return found is not None and found[0] == layout.direction(screw.direction)[0]


def _places(layout: Layout, part: Part, blank: Blank, screw: Screw, placed: Mapping[str, DrawnPart]) -> list[Point2]:
    """Where the screws stand, in contour coordinates."""
    rotation = rotation_of(part)
    vertices = placed[part.name].vertices
    first, second = outline_axes(blank.along)
    columns = [[rotation[row][axis] for row in range(3)] for axis in (first, second)]
    # Along a shape axis the placed corners reach from the low face of the part, whichever way it is turned.
    lows = [float((vertices @ column).min()) for column in columns]
    found = []
    for place in screw.places:
        point = [coordinate.nominal for coordinate in place]
        along = [sum(one * other for one, other in zip(point, column, strict=True)) for column in columns]
        found.append((along[0] - lows[0], along[1] - lows[1]))
    return found


def _add(openings: list[Opening], says: list[str], blank: Blank, screw: Screw, at: Point2) -> bool:
    """The hole of one screw: drawn already, or new where the part has room for it. Whether there is one now."""
    from shapely import Point

    diameter = clearance_hole_mm(screw.thread)
    if diameter is None:
        says.append(f"no table holds the clearance hole of {screw.thread} ({screw.name}): no hole drawn for it")
        return False
    what = f"{screw.name}, {screw.thread} clear"
    for number, opening in enumerate(openings):
        if _is_at(opening.contour, at):
            openings[number] = Opening(contour=opening.contour, says=what)
            width = least_width(opening.contour)
            if width < diameter - 1e-6:
                says.append(
                    f"the hole for {screw.name} is drawn {round(width, 2):g} wide; "
                    f"{screw.thread} needs {diameter:g} (ISO 273 medium)"
                )
            return True
    outline = polygon_of(blank.outline, [opening.contour for opening in openings])
    if outline.contains(Point(at).buffer(diameter / 2.0)):
        openings.append(Opening(contour=Round(centre=at, diameter=diameter), says=what))
        return True
    if outline.distance(Point(at)) < diameter / 2.0:
        says.append(
            f"a screw of {screw.name} at {at[0]:.1f}, {at[1]:.1f} would break through an edge: no hole drawn for it"
        )
    return False


def _is_at(contour: Contour, at: Point2) -> bool:
    if isinstance(contour, Round):
        (x, y), r = contour.centre, contour.diameter / 2.0
        return (x - at[0]) ** 2 + (y - at[1]) ** 2 <= max(NEAR_MM, r - 1e-9) ** 2
    from shapely import Point

    (low_x, low_y), (high_x, high_y) = box_of(contour)
    inside = low_x <= at[0] <= high_x and low_y <= at[1] <= high_y
    return inside and bool(polygon_of(contour).contains(Point(at)))
