"""A DXF drawing described layer by layer: unit, size, holes, what hinders it from being an outline, how to use it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fitcheck.errors import MeshFileError
from fitcheck.geometry.dxf_drawing import Drawing, open_dxf
from fitcheck.geometry.dxf_outline import DxfOutline, outline_of
from fitcheck.geometry.dxf_runs import area
from fitcheck.geometry.looked import Looked, counted, plain, quoted

INCH_MM = 25.4


@dataclass(frozen=True, kw_only=True)
class _LayerLook:
    """One layer: the outline that it holds, or why it holds none and how to mend that."""

    name: str
    entities: dict[str, int]
    has_lines: bool
    outline: DxfOutline | None
    hindrance: tuple[str, str] | None

    @property
    def size(self) -> tuple[float, float]:
        assert self.outline is not None  # noqa: S101 (asked only where there is one)
        x, y = np.ptp(np.array(self.outline.outline), axis=0).tolist()
        return x, y

    @property
    def area(self) -> float:
        assert self.outline is not None  # noqa: S101 (asked only where there is one)
        return abs(area(self.outline.outline)) - sum(abs(area(hole)) for hole in self.outline.holes)


def look_at_drawing(path: Path, stated_unit_mm: float | None) -> Looked:
    """Raises MeshFileError for a file that cannot be read at all."""
    drawing = open_dxf(path)
    unknown = drawing.unit_mm is None and stated_unit_mm is None
    layers = [_layer(path, drawing, name, 1.0 if unknown else stated_unit_mm) for name in sorted(drawing.layers)]
    lines = [_unit_line(drawing, stated_unit_mm)]
    if not layers:
        lines.append("Its model space holds nothing; sheets (layouts) are not read: export the part itself.")
    for each in layers:
        lines += _layer_lines(each, unknown)
    lines += ["In a layout:", *(f"  {line}" for line in _use(path, layers, unknown))]
    return Looked(lines=tuple(lines), data=_data(path, drawing, layers, stated_unit_mm))


def _layer(path: Path, drawing: Drawing, name: str, unit_mm: float | None) -> _LayerLook:
    kinds, lines = dict(sorted(drawing.layers[name].kinds.items())), drawing.layers[name].has_lines
    try:
        found = outline_of(path, drawing, name, unit_mm)
    except MeshFileError as error:
        return _LayerLook(name=name, entities=kinds, has_lines=lines, outline=None, hindrance=(error.what, error.mend))
    return _LayerLook(name=name, entities=kinds, has_lines=lines, outline=found, hindrance=None)


def _unit_line(drawing: Drawing, stated: float | None) -> str:
    if drawing.unit is not None:
        return f"The file says {drawing.unit}; all that follows is in mm."
    if stated is not None:
        return f"The drawing states no unit; as stated, one unit is {stated:g} mm."
    return "The drawing states no unit; a layout has to: unit: mm beside dxf. Compare one size with the real part."


def _layer_lines(layer: _LayerLook, unknown: bool) -> Iterator[str]:
    held = ", ".join(f"{count} {kind}" for kind, count in layer.entities.items())
    yield f"Layer {plain(layer.name)}: {held}."
    if layer.hindrance is not None:
        yield f"  No outline: {layer.hindrance[0].partition(': ')[2]}"
        yield f"    mend: {layer.hindrance[1]}"
        return
    found = layer.outline
    assert found is not None  # noqa: S101 (no hindrance, so there is one)
    (x, y), holes = layer.size, counted(len(found.holes), "hole") if found.holes else "no holes"
    if unknown:
        yield f"  An outline {x:.3f} x {y:.3f} in the file's own numbers, {holes}."
        yield f"  Drawn in millimetres it is {x:.3f} x {y:.3f} mm; in inches {x * INCH_MM:.3f} x {y * INCH_MM:.3f} mm."
    else:
        yield f"  An outline {x:.3f} x {y:.3f} mm, {holes}, area {layer.area:.1f} mm2."
    if found.off_mm:
        yield f"  Arcs become straight pieces, at most {found.off_mm:g} mm out into the air, never into the part."
    if found.free_mm > 1e-6:
        yield f"  Curves and joined ends may lie up to {found.free_mm:.2g} mm off either way; this is allowed for."
    yield from (f"  {note}" for note in found.notes)


def _use(path: Path, layers: list[_LayerLook], unknown: bool) -> Iterator[str]:
    usable = [each for each in layers if each.outline is not None]
    if not usable:
        yield "It cannot be used as an outline yet."
        return
    lined = [each for each in layers if each.has_lines]
    unit = ", unit: mm" if unknown else ""
    for each in usable:
        layer = f", layer: {quoted(each.name)}" if len(lined) > 1 else ""
        yield f"shape: {{prism: {{outline: {{dxf: {quoted(path.name)}{layer}{unit}}}, height: …, along: z}}}}"
    yield "Its thickness is not in the drawing: state height. Inner contours are holes."


def _data(path: Path, drawing: Drawing, layers: list[_LayerLook], stated: float | None) -> dict[str, object]:
    unit_mm = drawing.unit_mm or stated
    numbers = "in_file_numbers" if unit_mm is None else "mm"
    unit = {"name": drawing.unit, "mm": unit_mm, "from": "file" if drawing.unit else "stated"}
    return {
        "file": path.name,
        "kind": "dxf",
        "unit": None if unit_mm is None else unit,
        "layers": [
            {
                "name": plain(each.name),
                "entities": each.entities,
                "hindrance": each.hindrance[0] if each.hindrance else None,
                "mend": each.hindrance[1] if each.hindrance else None,
                f"size_{numbers}": list(each.size) if each.outline else None,
                "holes": len(each.outline.holes) if each.outline else None,
                f"area_{numbers}2" if unit_mm else "area_in_file_numbers": each.area if each.outline else None,
                "arcs_out_into_the_air_mm": each.outline.off_mm if each.outline else None,
                "curves_off_mm": each.outline.free_mm if each.outline else None,
                "notes": list(each.outline.notes) if each.outline else [],
            }
            for each in layers
        ],
    }
