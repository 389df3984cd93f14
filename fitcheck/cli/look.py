"""`fitcheck look`: what is in this mesh file."""

from __future__ import annotations

import argparse
from pathlib import Path

HELP = "what is in this mesh file"
ABOUT = (
    "Describes a mesh file: size, unit, bodies, whether it is closed, and what was noticed. Nothing is repaired.\n"
    "example: fitcheck look duct.stl --unit mm"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path, help="STL, OBJ, PLY, OFF, 3MF or GLB")
    parser.add_argument("--unit", help="the unit of a file that states none, such as mm or in")


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.say import say
    from fitcheck.geometry.meshfile import WITHOUT_UNIT, describe, describe_numbers, read_mesh
    from fitcheck.units import factor

    if args.unit is None and args.file.suffix.lower().lstrip(".") in WITHOUT_UNIT:
        lines = describe_numbers(read_mesh(args.file, 1.0))
    else:
        lines = describe(read_mesh(args.file, None if args.unit is None else factor(args.unit, "length")))
    say("\n".join([str(args.file), *(f"  {line}" for line in lines)]))
    return 0
