"""A part's flat outline from a DXF drawing: the largest closed contour, those inside it its holes.

What cannot be told from the drawing is refused with its place: contours that stay open, lines that branch, a second
part beside the first or inside a hole, contours that cross.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from fitcheck.geometry.dxf_drawing import Drawing, Layer, open_dxf
from fitcheck.geometry.dxf_joined import Joined, joined
from fitcheck.geometry.dxf_runs import Bow, Contour, Point2, area
from fitcheck.geometry.meshfile_raw import unusable

JOIN_MM = 0.02
"""Ends no farther apart than this are taken as one: more than the rounding of a drawing, less than a cutting kerf."""

ARC_MM = 0.02
"""Straight pieces lie no farther than this outside an arc."""

MOST_NAMED = 6
"""Places named in one message."""


@dataclass(frozen=True, kw_only=True)
class DxfOutline:
    """Rings in mm. `off_mm`: how far straight pieces may stand out of the true curves, into the air; `free_mm`: how far
    they may lie off either way along free curves and bridged ends. `notes` are plain sentences.
    """

    outline: tuple[Point2, ...]
    holes: tuple[tuple[Point2, ...], ...]
    layer: str
    unit: str | None
    unit_mm: float
    off_mm: float
    free_mm: float
    notes: tuple[str, ...]


def read_outline(path: Path, layer: str | None, stated_unit_mm: float | None) -> DxfOutline:
    """The outline on one layer (None: the only one with lines); `stated_unit_mm` is the unit that the layout states.

    Raises MeshFileError, in plain words with what to do, for a file or a drawing that cannot be used.
    """
    return outline_of(path, open_dxf(path), layer, stated_unit_mm)


def outline_of(path: Path, drawing: Drawing, layer: str | None, stated_unit_mm: float | None) -> DxfOutline:
    """The same for a drawing that is read already."""
    name = chosen_layer(path, drawing, layer)
    unit_mm = _unit(path, drawing, stated_unit_mm)
    if drawing.layers[name].tilted:
        raise unusable(
            path,
            f"on layer {name}, {drawing.layers[name].tilted} is tilted: the drawing is not flat",
            "export the flat outline, seen from above",
        )
    found = joined(drawing.layers[name].runs, JOIN_MM / unit_mm)
    _check_closed(path, name, found, unit_mm)
    off = ARC_MM / unit_mm
    rings = [contour.ring(off, material_inside=True) for contour in found.contours]
    kept = [number for number, ring in enumerate(rings) if len(ring) > 2]
    if not kept:
        raise unusable(path, f"layer {name} holds no closed contour", "name the layer of the outline: layer: CUT")
    largest = max(kept, key=lambda number: abs(area(rings[number])))
    inner = [number for number in kept if number != largest]
    holes = [found.contours[number].ring(off, material_inside=False) for number in inner]
    _check_nesting(path, rings[largest], holes, unit_mm)
    used = [found.contours[number] for number in kept]
    free = max(found.widest, drawing.chord if any(contour.is_free for contour in used) else 0.0) * unit_mm
    return DxfOutline(
        outline=_scaled(rings[largest], unit_mm),
        holes=tuple(_scaled(hole, unit_mm) for hole in holes),
        layer=name,
        unit=drawing.unit,
        unit_mm=unit_mm,
        off_mm=ARC_MM if any(contour.is_curved for contour in used) else 0.0,
        free_mm=free,
        notes=tuple(_notes(drawing.layers[name], found, unit_mm)),
    )


def chosen_layer(path: Path, drawing: Drawing, layer: str | None) -> str:
    """The layer to read: names ignore case, as in the programs that write DXF."""
    drawn = [name for name, each in drawing.layers.items() if each.has_lines]
    if not drawn:
        raise unusable(path, "it holds no lines or arcs", "export the outline itself, as lines, arcs or polylines")
    if layer is None:
        if len(drawn) > 1:
            listed = ", ".join(sorted(drawn))
            raise unusable(
                path,
                f"it has lines on several layers: {listed}",
                f"say which is the outline: layer: {sorted(drawn)[0]}",
            )
        return drawn[0]
    for name in drawn:
        if name.casefold() == layer.casefold():
            return name
    raise unusable(path, f"it has no lines on a layer {layer!r}", f"its layers with lines: {', '.join(sorted(drawn))}")


def _unit(path: Path, drawing: Drawing, stated: float | None) -> float:
    if drawing.unit_mm is None:
        if stated is None:
            raise unusable(
                path, "the drawing states no unit, and none is stated beside it", "state it: unit: mm, beside dxf"
            )
        return stated
    if stated is not None and abs(stated - drawing.unit_mm) > 1e-9 * drawing.unit_mm:
        raise unusable(
            path,
            f"the layout states a unit of {stated:g} mm, the drawing itself is in {drawing.unit}"
            f" ({drawing.unit_mm:g} mm)",
            "leave the unit out of the layout if the drawing is right, else export it again in the right unit",
        )
    return drawing.unit_mm


def _check_closed(path: Path, layer: str, found: Joined, unit_mm: float) -> None:
    if found.open_ends:
        raise unusable(
            path,
            f"on layer {layer}, {_counted(len(found.open_ends), 'end')} {_meet(len(found.open_ends))} no other: "
            f"{places(found.open_ends, unit_mm)}",
            f"close the contour there (ends up to {JOIN_MM:g} mm apart are joined), or move what is no outline to "
            "another layer",
        )
    if found.branches:
        raise unusable(
            path,
            f"on layer {layer}, more than two lines meet at {places(found.branches, unit_mm)}",
            "leave one way round, or move what is no outline to another layer",
        )


def _check_nesting(path: Path, outline: Sequence[Point2], holes: Sequence[Sequence[Point2]], unit_mm: float) -> None:
    from shapely import Polygon
    from shapely.validation import explain_validity

    whole = Polygon(outline)
    for ring in (outline, *holes):
        if not Polygon(ring).is_valid:
            raise unusable(
                path,
                f"a contour crosses itself ({_in_mm(explain_validity(Polygon(ring)), unit_mm)})",
                "mend the drawing there",
            )
    drawn = [Polygon(hole) for hole in holes]
    for hole in drawn:
        at = places([(hole.representative_point().x, hole.representative_point().y)], unit_mm)
        if not whole.intersects(hole):
            raise unusable(
                path, f"it has several outlines: another part is drawn near {at}", "leave one part on the layer"
            )
        if not whole.contains(hole):
            raise unusable(path, f"a contour near {at} crosses the outline", "mend the drawing there")
    for number, hole in enumerate(drawn):
        for other in drawn[number + 1 :]:
            if hole.intersects(other):
                small = min(hole, other, key=lambda each: each.area)
                at = places([(small.representative_point().x, small.representative_point().y)], unit_mm)
                what = "lies inside another hole" if hole.contains(other) or other.contains(hole) else "meets another"
                raise unusable(path, f"a hole near {at} {what}", "leave one part on the layer, its holes apart")


def _notes(layer: Layer, found: Joined, unit_mm: float) -> list[str]:
    said = []
    if found.widest * unit_mm > 1e-6:
        said.append(f"Ends up to {found.widest * unit_mm:.3g} mm apart were joined.")
    if found.doubles:
        said.append(f"{_counted(found.doubles, 'line')} drawn twice, one on the other, counted once.")
    if layer.by_points:
        curves = _counted(layer.by_points, "curve")
        said.append(f"{curves} given by points alone, drawn through them as is usual: compare the shape between them.")
    if layer.left_out:
        said.append(f"Not read as outline: {', '.join(f'{n} {kind}' for kind, n in sorted(layer.left_out.items()))}.")
    return said


def places(points: Sequence[Point2], unit_mm: float) -> str:
    """Points in words, in mm, the first few of them."""
    named = "; ".join(f"({x * unit_mm:.3f}, {y * unit_mm:.3f}) mm" for x, y in sorted(points)[:MOST_NAMED])
    return named + (f" and {len(points) - MOST_NAMED} more" if len(points) > MOST_NAMED else "")


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _meet(count: int) -> str:
    return "meets" if count == 1 else "meet"


def _in_mm(explained: str, unit_mm: float) -> str:
    """shapely's words, "Self-intersection[3 4]", with the place in mm."""
    what, _, place = explained.partition("[")
    try:
        x, y = (float(each) * unit_mm for each in place.rstrip("]").split()[:2])
    except ValueError:
        return what
    return f"{what.lower()} at ({x:.3f}, {y:.3f}) mm"


def _scaled(ring: Sequence[Point2], unit_mm: float) -> tuple[Point2, ...]:
    return tuple((x * unit_mm, y * unit_mm) for x, y in ring)


def size_of(contour: Contour, unit_mm: float) -> tuple[float, float]:
    """Overall width and height of a contour, mm."""
    ring = contour.ring(ARC_MM / unit_mm, material_inside=True)
    spans: Any = [max(p[k] for p in ring) - min(p[k] for p in ring) for k in (0, 1)]
    return spans[0] * unit_mm, spans[1] * unit_mm


def area_of(contour: Contour, unit_mm: float) -> float:
    """Its area with arcs exact: that of its corners plus the segments between chords and arcs; mm2."""
    chords = 0.0
    for run in contour.runs:
        points = (run.start, run.middle, run.end) if hasattr(run, "middle") else tuple(run.corners(0.0, True))
        chords += sum(a[0] * b[1] - a[1] * b[0] for a, b in pairwise(points)) / 2.0
        if isinstance(run, Bow):
            half = run.sweep / 2.0
            chords += run.radius**2 * (half - math.sin(half))
    return abs(chords) * unit_mm**2
