"""`fitcheck look`: what is in this file from a supplier."""

from __future__ import annotations

import argparse
from pathlib import Path

HELP = "what is in this mesh, STEP or DXF file"
ABOUT = (
    "Describes a file from a supplier: size, unit, bodies or contours, whether it is closed, what was noticed, and\n"
    "how a layout would use it. Nothing is repaired.\n"
    "example: fitcheck look duct.stl --unit mm"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path, help="STL, OBJ, PLY, OFF, 3MF, GLB, STEP or DXF")
    parser.add_argument("--unit", help="the unit of a file that states none, such as mm or in")
    parser.add_argument("--json", action="store_true", help="print it as JSON instead of text")


def run(args: argparse.Namespace) -> int:
    import json

    from fitcheck.cli.say import say
    from fitcheck.units import factor

    unit_mm = None if args.unit is None else factor(args.unit, "length")
    if args.file.suffix.lower() == ".dxf":
        from fitcheck.geometry.look_drawing import look_at_drawing as look_at
    else:
        from fitcheck.geometry.look_mesh import look_at_mesh as look_at
    looked = look_at(args.file, unit_mm)
    if args.json:
        say(json.dumps(looked.data, indent=2, allow_nan=False))
    else:
        say("\n".join([str(args.file), *(f"  {line}" for line in looked.lines)]))
    return 0
