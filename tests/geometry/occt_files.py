"""STEP files as another program writes them: the drawing kernel OCCT, through its Python module OCP."""

from __future__ import annotations

import math

UNITS_MM = {"MM": 1.0, "INCH": 25.4, "FT": 304.8, "MI": 1_609_344.0, "M": 1000.0, "CM": 10.0, "KM": 1e6, "UM": 1e-3}
"""Its words for the units that it writes, and mm of each."""


def occt_box(path, unit, size=(50.8, 25.4, 12.7)):
    """One box, in mm, written in a unit."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox

    return _written(path, unit, BRepPrimAPI_MakeBox(*size).Shape())


def occt_disc(path):
    """A flat round sheet without a thickness."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    circle = BRepBuilderAPI_MakeEdge(gp_Circ(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), 20.0)).Edge()
    return _written(path, "MM", BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakeWire(circle).Wire()).Face())


def _written(path, unit, shape):
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    writer = STEPControl_Writer()  # it brings its options into being
    assert Interface_Static.SetCVal_s("write.step.unit", unit)
    writer.Transfer(shape, STEPControl_AsIs)
    writer.Write(str(path))
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    return path


def occt_assembly(path, unit):
    """A bar 254 x 25.4 x 12.7 with two round studs on it, twice in a frame, the second turned a quarter and shifted."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
    from OCP.Interface import Interface_Static
    from OCP.Quantity import Quantity_Color, Quantity_TOC_RGB
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())

    def named(label, name):
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
        return label

    def moved(x, y, z, turn=0.0):
        turned, shifted = gp_Trsf(), gp_Trsf()
        turned.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), turn)
        shifted.SetTranslation(gp_Vec(x, y, z))
        return TopLoc_Location(shifted.Multiplied(turned))

    rail = named(shapes.NewShape(), 'Rail "left" <x>')
    bar = named(shapes.AddShape(BRepPrimAPI_MakeBox(254.0, 25.4, 12.7).Shape(), False), "Bar Träger")
    stud = named(shapes.AddShape(BRepPrimAPI_MakeCylinder(12.7, 50.8).Shape(), False), "Stud it's")
    colours.SetColor(stud, Quantity_Color(1, 0, 0, Quantity_TOC_RGB), XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    shapes.AddComponent(rail, bar, moved(0, 0, 0))
    shapes.AddComponent(rail, stud, moved(50.8, 12.7, 12.7))
    shapes.AddComponent(rail, stud, moved(152.4, 12.7, 12.7))
    frame = named(shapes.NewShape(), "Frame")
    shapes.AddComponent(frame, rail, moved(0, 0, 0))
    shapes.AddComponent(frame, rail, moved(0, 300, 0, math.pi / 2))
    shapes.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    assert Interface_Static.SetCVal_s("write.step.unit", unit)
    writer.Transfer(document, STEPControl_AsIs)
    writer.Write(str(path))
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    return path
