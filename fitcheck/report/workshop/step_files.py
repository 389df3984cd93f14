"""Pieces as STEP files with true arcs; needs the optional extra `step`."""

from __future__ import annotations

import importlib.util
import re
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.errors import UsageError
from fitcheck.makeable.arcs import Span, spans_of
from fitcheck.makeable.contour import Contour, Round, ring_of
from fitcheck.makeable.piece import Piece

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_FACES = 5_000
"""A body of more triangles would take minutes to sew."""

MISSING = "no STEP files: they need the extra, pip install 'fitcheck[step]'"


def is_available() -> bool:
    return importlib.util.find_spec("OCP") is not None


def render(piece: Piece, name: str, made_on: str) -> bytes:
    """One solid in mm, its thickness along z from 0. `name` loses what is not plain ASCII.

    Raises UsageError where the library cannot write.
    """
    return _written(_solid(piece), name, made_on)


def is_small_enough(faces: NDArray[np.int64]) -> bool:
    return len(faces) <= MOST_FACES


def render_body(vertices: NDArray[np.float64], faces: NDArray[np.int64], name: str, made_on: str) -> bytes:
    """A closed body of triangles in mm as solids with flat faces; what is round stays faceted. Else as `render`."""
    return _written(_sewn(vertices, faces), name, made_on)


def _written(solid: Any, name: str, made_on: str) -> bytes:
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    name = re.sub(r"[^A-Za-z0-9_.-]+", "-", name)[:40]
    _silence()
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.product.name", "piece")
    writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "piece.step"
        if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise UsageError(f"no STEP file could be written for {name}\n    mend: use the STL or 3MF file")
        text = path.read_bytes().decode("ascii")
    return _plain_header(text, name, made_on).encode("ascii")


def _silence() -> None:
    """The library writes its statistics to standard output, where results belong."""
    from OCP.Message import Message, Message_Gravity

    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)


def _plain_header(text: str, name: str, made_on: str) -> str:
    """With the given date instead of the clock, and the name without the writer's running number."""
    date = made_on if re.fullmatch(r"\d{4}-\d\d-\d\d", made_on) else "1980-01-01"
    header = f"FILE_NAME('{name}','{date}T00:00:00',('fitcheck'),(''),'','','');"
    text = re.sub(r"PRODUCT\([^#]*\((#\d+)\)\);", rf"PRODUCT('{name}',\n  '{name}','',(\1));", text, count=1)
    return re.sub(r"FILE_NAME\(.*?\);", header, text, count=1, flags=re.DOTALL)


def _solid(piece: Piece) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Vec

    face = BRepBuilderAPI_MakeFace(_wire(piece.outline), True)
    for opening in piece.openings:
        face.Add(_wire(opening.contour, is_opening=True))
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0.0, 0.0, piece.thickness.nominal)).Shape()


def _sewn(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> Any:
    """The triangles sewn into closed shells, and those that lie in one plane made one face."""
    from OCP.BRep import BRep_Builder
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_Sewing
    from OCP.gp import gp_Pnt
    from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS_Compound, TopoDS_Solid

    points = [gp_Pnt(*corner) for corner in vertices.tolist()]
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for a, b, c in faces.tolist():
        wire = BRepBuilderAPI_MakePolygon(points[a], points[b], points[c], True).Wire()
        sewing.Add(BRepBuilderAPI_MakeFace(wire, True).Face())
    sewing.Perform()
    whole, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(whole)
    shells = TopExp_Explorer(sewing.SewedShape(), TopAbs_ShapeEnum.TopAbs_SHELL)
    while shells.More():
        flat = ShapeUpgrade_UnifySameDomain(shells.Current(), True, True, True)
        flat.Build()
        solid = TopoDS_Solid()
        builder.MakeSolid(solid)
        builder.Add(solid, flat.Shape())
        builder.Add(whole, solid)
        shells.Next()
    return whole


def _wire(contour: Contour, *, is_opening: bool = False) -> Any:
    """In the plane z = 0, counter-clockwise; an opening runs the other way, as the face wants it."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    if isinstance(contour, Round):
        axes = gp_Ax2(gp_Pnt(*contour.centre, 0.0), gp_Dir(0.0, 0.0, -1.0 if is_opening else 1.0))
        return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(axes, contour.diameter / 2.0)).Edge()).Wire()
    spans = spans_of(contour)
    if any(span.is_arc for span in spans):
        return _curved_wire(spans[::-1] if is_opening else spans, is_turned=is_opening)
    polygon = BRepBuilderAPI_MakePolygon()
    ring = ring_of(contour)
    for x, y in ring[::-1] if is_opening else ring:
        polygon.Add(gp_Pnt(x, y, 0.0))
    polygon.Close()
    return polygon.Wire()


def _curved_wire(spans: Sequence[Span], *, is_turned: bool) -> Any:
    """The same arcs as in the cut file; `is_turned` runs each span from its end to its start."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.GC import GC_MakeArcOfCircle
    from OCP.gp import gp_Pnt

    wire = BRepBuilderAPI_MakeWire()
    for span in spans:
        ends = (span.end, span.start) if is_turned else (span.start, span.end)
        start, end = (gp_Pnt(*point, 0.0) for point in ends)
        if span.is_arc:
            edge = BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(start, gp_Pnt(*span.middle, 0.0), end).Value())
        else:
            edge = BRepBuilderAPI_MakeEdge(start, end)
        wire.Add(edge.Edge())
    return wire.Wire()
