"""The lines of a DXF drawing, layer by layer, as runs in the drawing's own numbers."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fitcheck.errors import MeshFileError
from fitcheck.geometry.dxf_runs import Bow, Chain, Point2, Run, Straight
from fitcheck.geometry.meshfile_raw import unusable

MOST_DXF_BYTES = 100_000_000
MOST_RUNS = 200_000
DEEPEST = 16
FLAT = 1e-6
"""Heights, and tilts of an entity's plane, up to this (in the drawing's numbers) are rounding."""

UNITS = {
    1: ("inch", 25.4), 2: ("foot", 304.8), 4: ("millimetre", 1.0), 5: ("centimetre", 10.0), 6: ("metre", 1000.0),
    8: ("microinch", 2.54e-5), 9: ("mil", 0.0254), 10: ("yard", 914.4), 13: ("micrometre", 1e-3),
    14: ("decimetre", 100.0), 21: ("US survey foot", 1200.0 / 3937.0 * 1000.0),
}  # fmt: skip
"""Codes of $INSUNITS that a workshop drawing can have (public DXF reference of the format's owner); 0 is none."""

SPLINE_SHARE = 1e-5
"""Points on free curves lie no farther apart than lets the chord be off by this share of the drawing's size."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """What one layer holds: runs, how many entities of each kind, and those of them that are no outline."""

    runs: tuple[Run, ...]
    kinds: Counter[str]
    left_out: Counter[str]


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


def open_dxf(path: Path) -> Drawing:
    """Read a DXF file. Raises MeshFileError, in plain words with what to do, for what cannot be used."""
    _check_file(path)
    document = _document(path)
    code = int(document.header.get("$INSUNITS", 0) or 0)
    if code and code not in UNITS:
        raise unusable(path, f"its unit code {code} is none that a part is drawn in", "export the drawing again in mm")
    layers: dict[str, _Gathered] = {}
    chord = SPLINE_SHARE * _size(document)
    count = 0
    try:
        for entity, layer in _entities(document.modelspace()):
            gathered = layers.setdefault(layer, _Gathered())
            gathered.kinds[entity.dxftype()] += 1
            found = _runs(path, entity, chord)
            if found is None:
                gathered.left_out[entity.dxftype()] += 1
                continue
            gathered.runs += found
            count += len(found)
            if count > MOST_RUNS:
                raise unusable(  # noqa: TRY301 (it passes by the next line, like those of the reading itself)
                    path, f"it has more than {MOST_RUNS:,} lines", "export the outline alone"
                )
    except MeshFileError:
        raise
    except Exception as error:
        raise unusable(path, f"an entity in it cannot be read ({error})", "export the drawing again") from error
    unit, unit_mm = UNITS[code] if code else (None, None)
    whole = {
        name: Layer(runs=tuple(each.runs), kinds=each.kinds, left_out=each.left_out) for name, each in layers.items()
    }
    return Drawing(layers=whole, unit=unit, unit_mm=unit_mm, chord=chord)


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


def _document(path: Path) -> Any:
    from ezdxf.filemanagement import readfile

    try:
        with path.open("rb") as file:
            start = file.read(22)
            file.seek(max(0, path.stat().st_size - 200))
            end = file.read()
    except OSError as error:
        raise unusable(path, f"it cannot be opened ({error.strerror})", "check who may read the file") from error
    is_binary = start.startswith(b"AutoCAD Binary DXF")
    if not is_binary and b"EOF" not in end:
        raise unusable(path, "it is no DXF file, or breaks off before its end", "export or copy the file again")
    try:
        return readfile(path)
    except Exception as error:
        raise unusable(
            path, f"it cannot be read as DXF ({_first_line(error)})", "export the drawing again as DXF, R12 or later"
        ) from error


def _first_line(error: Exception) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0][:120]


def _size(document: Any) -> float:
    from ezdxf import bbox

    try:
        found = bbox.extents(document.modelspace(), fast=True)
    except Exception:  # noqa: BLE001 (only a length to begin from; what is wrong is told where it is read)
        return 1.0
    size = max(found.size.x, found.size.y) if found.has_data else 1.0
    return size if math.isfinite(size) and size > 0.0 else 1.0


def _entities(space: Iterable[Any], depth: int = 0, within: str = "0") -> Iterator[tuple[Any, str]]:
    """Entities with the layer that they are on; blocks taken apart. What lies on 0 in a block is on the block's."""
    for entity in space:
        own = str(entity.dxf.get("layer", "0"))
        layer = within if own == "0" and depth else own
        if entity.dxftype() == "INSERT" and depth < DEEPEST:
            inserted = entity.multi_insert() if entity.mcount > 1 else [entity]
            for each in inserted:
                yield from _entities(each.virtual_entities(), depth + 1, layer)
        else:
            yield entity, layer


def _runs(path: Path, entity: Any, chord: float) -> list[Run] | None:
    """The runs of an entity; None for what draws no outline, such as a text."""
    kind = entity.dxftype()
    if kind == "LINE":
        return [Straight(_flat(path, entity.dxf.start), _flat(path, entity.dxf.end))]
    if kind in ("ARC", "CIRCLE"):
        return _arc(path, entity)
    if kind == "LWPOLYLINE" or (kind == "POLYLINE" and entity.is_2d_polyline):
        return [run for each in entity.virtual_entities() for run in _runs(path, each, chord) or ()]
    if kind == "POLYLINE" and entity.is_3d_polyline:
        return [run for each in entity.virtual_entities() for run in _runs(path, each, chord) or ()]
    if kind == "SPLINE":
        return [_chain(path, entity.construction_tool().flattening(chord, 8))]
    if kind == "ELLIPSE":
        return [_chain(path, entity.construction_tool().flattening(chord, 32))]
    return None


def _chain(path: Path, points: Iterable[Any]) -> Run:
    return Chain(tuple(_flat(path, point) for point in points))


def _arc(path: Path, entity: Any) -> list[Run]:
    frame = entity.ocs()
    up = frame.uz
    if abs(abs(up.z) - 1.0) > FLAT:
        raise unusable(
            path, f"{_words(entity)} is tilted: the drawing is not flat", "export the flat outline, seen from above"
        )
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
