"""DXF drawings made for a test, and what is read of them."""

from __future__ import annotations

import ezdxf
import pytest
from shapely import Polygon

from fitcheck.errors import MeshFileError
from fitcheck.geometry.dxf_outline import read_outline

MM = 4
SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]


def written(folder, draw, *, units=MM, version="R2010", name="plate.dxf"):
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = units
    draw(document.modelspace())
    path = folder / name
    document.saveas(path)
    return path


def read(folder, draw, *, layer=None, unit_mm=None, **more):
    return read_outline(written(folder, draw, **more), layer, unit_mm)


def refused(folder, draw, **more):
    with pytest.raises(MeshFileError) as raised:
        read(folder, draw, **more)
    return raised.value


def polygon(found):
    return Polygon(found.outline, found.holes)


def square(space, **layer):
    space.add_lwpolyline(SQUARE, close=True, dxfattribs=layer)
