"""The lines of a DXF drawing, layer by layer, as runs in the drawing's own numbers."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from fitcheck.errors import MeshFileError
from fitcheck.geometry.dxf_blocks import Drawn, drawn
from fitcheck.geometry.dxf_runs import Bow, Chain, Point2, Run, Straight
from fitcheck.geometry.dxf_spline import by_points_alone, spline_points
from fitcheck.geometry.meshfile_raw import unusable

MOST_DXF_BYTES = 100_000_000
MOST_RUNS = 200_000
FLAT = 1e-6
"""Tilts of an entity's plane up to this are rounding, and differences of height up to this share of the drawing's size.
"""

UNITS = {
    1: ("inch", 25.4), 2: ("foot", 304.8), 4: ("millimetre", 1.0), 5: ("centimetre", 10.0), 6: ("metre", 1000.0),
    8: ("microinch", 2.54e-5), 9: ("mil", 0.0254), 10: ("yard", 914.4), 13: ("micrometre", 1e-3),
    14: ("decimetre", 100.0), 21: ("US survey foot", 1200.0 / 3937.0 * 1000.0),
}  # fmt: skip
"""Codes of $INSUNITS that a workshop drawing can have (public DXF reference of the format's owner); 0 is none."""

FRAME_CORNER = 16
"""The flag of a corner of the frame that a smoothed polyline was made from (public DXF reference, VERTEX)."""

LINES = ("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "SPLINE", "ELLIPSE")
"""Kinds that draw an outline."""

SPLINE_SHARE = 1e-5
"""Points on free curves lie no farther apart than lets the chord be off by this share of the drawing's size."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """What one layer holds: runs, how many entities of each kind, those of them that are no outline, how many curves
    are given by points alone, and the first entity that does not lie flat ("" where all do).
    """

    runs: tuple[Run, ...]
    kinds: Counter[str]
    left_out: Counter[str]
    by_points: int
    tilted: str

    @property
    def has_lines(self) -> bool:
        return bool(self.runs) or bool(self.tilted)


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """`unit` and `unit_mm` are what the file states, None where it states none. `chord` is how far a chain of points
    may lie off its curve, in the drawing's numbers.
    """

    layers: dict[str, Layer]
    unit: str | None
    unit_mm: float | None
    chord: float


@dataclass
class _Gathered:
    runs: list[Run] = field(default_factory=list)
    kinds: Counter[str] = field(default_factory=Counter)
    left_out: Counter[str] = field(default_factory=Counter)
    by_points: int = 0
    tilted: str = ""


class _Tilted(Exception):
    """An entity that does not lie flat; seen from above it would look smaller than it is."""


def open_dxf(path: Path) -> Drawing:
    """Read a DXF file. Raises MeshFileError, in plain words with what to do, for what cannot be used."""
    _check_file(path)
    data = _data(path)
    document = _document(path)
    # Of a drawing without a head the library would give its own new drawings' unit, metres.
    is_stated = 0 <= data.find(b"$INSUNITS") < data.find(b"ENTITIES")
    code = int(document.header.get("$INSUNITS", 0) or 0) if is_stated else 0
    if code and code not in UNITS:
        raise unusable(path, f"its unit code {code} is none that a part is drawn in", "export the drawing again in mm")
    layers: dict[str, _Gathered] = {}
    try:
        entities = list(islice(drawn(path, document.modelspace()), MOST_RUNS + 1))
        chord = SPLINE_SHARE * _size(entities)
        for each in entities:
            _gather(path, layers.setdefault(each.layer, _Gathered()), each, chord)
    except MeshFileError:
        raise
    except Exception as error:
        raise unusable(path, f"an entity in it cannot be read ({error})", "export the drawing again") from error
    if max(len(entities), sum(len(each.runs) for each in layers.values())) > MOST_RUNS:
        raise unusable(path, f"it has more than {MOST_RUNS:,} lines", "export the outline alone")
    unit, unit_mm = UNITS[code] if code else (None, None)
    whole = {
        name: Layer(
            runs=tuple(each.runs),
            kinds=each.kinds,
            left_out=each.left_out,
            by_points=each.by_points,
            tilted=each.tilted,
        )
        for name, each in layers.items()
    }
    return Drawing(layers=whole, unit=unit, unit_mm=unit_mm, chord=chord)


def _gather(path: Path, layer: _Gathered, each: Drawn, chord: float) -> None:
    layer.kinds[each.kind] += 1
    try:
        found = None if each.entity is None else _runs(path, each.entity, chord)
    except _Tilted:
        layer.tilted = layer.tilted or _words(each.entity)
        return
    if found is None:
        layer.left_out[each.kind] += 1
        return
    layer.runs += found
    layer.by_points += each.kind == "SPLINE" and by_points_alone(each.entity)


def _check_file(path: Path) -> None:
    try:
        size = path.stat().st_size
    except OSError as error:
        raise unusable(path, f"it cannot be opened ({error.strerror})", "check the path") from error
    if not path.is_file():
        raise unusable(path, "this is a folder, not a file", "name the DXF file itself")
    if size == 0:
        raise unusable(path, "the file is empty", "export or copy the file again")
    if size > MOST_DXF_BYTES:
        raise unusable(path, f"a DXF file of more than {MOST_DXF_BYTES // 10**6} MB is not read", "export the outline")


def _data(path: Path) -> bytes:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise unusable(path, f"it cannot be opened ({error.strerror})", "check who may read the file") from error
    if not data.startswith(b"AutoCAD Binary DXF") and b"EOF" not in data.rstrip()[-200:]:
        raise unusable(path, "it is no DXF file, or breaks off before its end", "export or copy the file again")
    return data


def _document(path: Path) -> Any:
    from ezdxf.filemanagement import readfile

    try:
        return readfile(path)
    except Exception as error:
        raise unusable(
            path, f"it cannot be read as DXF ({_first_line(error)})", "export the drawing again as DXF, R12 or later"
        ) from error


def _first_line(error: Exception) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0][:120]


def _size(entities: Iterable[Drawn]) -> float:
    """Roughly how large the outlines are; of a spline the points that shape it are looked at."""
    from ezdxf import bbox

    lines = [each.entity for each in entities if each.entity is not None and each.kind in LINES]
    try:
        box = bbox.extents((line for line in lines if line.dxftype() != "SPLINE"), fast=True)
        for line in lines:
            if line.dxftype() == "SPLINE":
                box.extend([*line.control_points, *line.fit_points])
    except Exception:  # noqa: BLE001 (only a length to begin from; what is wrong is told where it is read)
        return 1.0
    size = max(box.size.x, box.size.y) if box.has_data else 1.0
    return size if math.isfinite(size) and size > 0.0 else 1.0


def _runs(path: Path, entity: Any, chord: float) -> list[Run] | None:
    """The runs of an entity; None for what draws no outline, such as a text."""
    kind = entity.dxftype()
    if kind == "LINE":
        start, end = _level(path, [entity.dxf.start, entity.dxf.end], chord)
        return [Straight(start, end)]
    if kind in ("ARC", "CIRCLE"):
        return _arc(path, entity)
    if kind == "LWPOLYLINE" or (kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline)):
        if kind == "POLYLINE":  # of a smoothed one, the corners that it was made from are in the file as well
            entity.vertices[:] = [corner for corner in entity.vertices if not corner.dxf.flags & FRAME_CORNER]
        return [run for each in entity.virtual_entities() for run in _runs(path, each, chord) or ()]
    if kind == "SPLINE":
        return [Chain(_level(path, spline_points(path, entity, chord), chord))]
    if kind == "ELLIPSE":
        _check_upright(entity.dxf.extrusion)
        _level(path, [entity.dxf.center, entity.dxf.center + entity.dxf.major_axis], chord)
        return [Chain(_level(path, entity.construction_tool().flattening(chord, 32), chord))]
    return None


def _level(path: Path, points: Iterable[Any], chord: float) -> tuple[Point2, ...]:
    """Points seen from above, all of them at one height."""
    placed = [(float(x), float(y), float(z)) for x, y, z in points]
    heights = [z for _, _, z in placed]
    if heights and max(heights) - min(heights) > FLAT / SPLINE_SHARE * chord:
        raise _Tilted
    return tuple(_flat(path, point) for point in placed)


def _check_upright(up: Any) -> None:
    if abs(abs(up.z) - up.magnitude) > FLAT * up.magnitude:
        raise _Tilted


def _arc(path: Path, entity: Any) -> list[Run]:
    frame = entity.ocs()
    up = frame.uz
    _check_upright(up)
    centre, radius = _flat(path, frame.to_wcs(entity.dxf.center)), float(entity.dxf.radius)
    if not (math.isfinite(radius) and radius > 0.0):
        raise unusable(path, f"{_words(entity)} has a radius of {radius:g}", "export the drawing again")
    if entity.dxftype() == "CIRCLE":
        return [Bow(centre, radius, 0.0, 2.0 * math.pi)]
    first, last = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    sweep = (last - first) % (2.0 * math.pi) or 2.0 * math.pi
    if up.z < 0.0:  # seen from behind: x is mirrored
        first, sweep = math.pi - first, -sweep
    return [Bow(centre, radius, first, sweep)]


def _flat(path: Path, point: Any) -> Point2:
    x, y = float(point[0]), float(point[1])
    if not (math.isfinite(x) and math.isfinite(y)):
        raise unusable(path, "a coordinate is not a number or is infinite", "export the drawing again")
    return x, y


def _words(entity: Any) -> str:
    handle = entity.dxf.get("handle")
    return f"{entity.dxftype()} {handle}" if handle else str(entity.dxftype())
