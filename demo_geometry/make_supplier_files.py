"""Make the supplier files of 11_supplier_files again, byte for byte: python demo_geometry/make_supplier_files.py

angle.step      an angle of sheet metal, STEP, drawn in inches (the file says so)
trestle.step    an assembly in STEP, drawn in millimetres: one foot used twice, once turned, and a rail; coloured
shelf.dxf       the outline of a shelf with rounded corners and a round hole, DXF, drawn in inches; fold lines apart

The standard library is enough for it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from step_writer import Part, Place, Solid, block, step  # noqa: E402 (found beside this file)


def angle() -> str:
    """6 in wide, 2 in deep, 4 in high, of sheet 1/4 in thick."""
    outline = [(0, 0), (6, 0), (6, 0.25), (0.25, 0.25), (0.25, 2), (0, 2)]
    return step([Part(name="angle", solid=Solid(low=0, high=4, outline=outline), unit="inch", colour=(0.6, 0.6, 0.65))])


def trestle() -> str:
    """Two feet 40 x 20 x 60, the second turned by 90°, and a rail 20 x 20 laid over them, 140 long."""
    feet = [Place(), Place(at=(140, 0, 0), x=(0, 1, 0))]
    return step(
        [
            Part(name="foot", solid=block((40, 20, 60)), colour=(0.1, 0.3, 0.7), places=feet),
            Part(name="rail", solid=block((140, 20, 20)), colour=(0.9, 0.6, 0.1), places=[Place(at=(0, 0, 60))]),
        ],
        assembly="trestle",
    )


def shelf() -> str:
    """9 x 6 in with corners rounded by 1/2 in and a hole of 2 in; two fold lines on a layer of their own."""
    wide, deep, corner = 9.0, 6.0, 0.5
    sides = [
        ((corner, 0.0), (wide - corner, 0.0)),
        ((wide, corner), (wide, deep - corner)),
        ((wide - corner, deep), (corner, deep)),
        ((0.0, deep - corner), (0.0, corner)),
    ]
    arcs = [
        (wide - corner, corner, 270.0),
        (wide - corner, deep - corner, 0.0),
        (corner, deep - corner, 90.0),
        (corner, corner, 180.0),
    ]
    entities: list[tuple[int, object]] = []
    for start, end in sides:
        entities += _line("CUT", start, end)
    for x, y, first in arcs:
        entities += [(0, "ARC"), (8, "CUT"), (10, x), (20, y), (40, corner), (50, first), (51, (first + 90.0) % 360.0)]
    entities += [(0, "CIRCLE"), (8, "CUT"), (10, 4.5), (20, 3.0), (40, 1.0)]
    for y in (1.0, 5.0):
        entities += _line("FOLD", (0.25, y), (8.75, y))
    return "".join(_text(entities))


def _line(layer: str, start: Sequence[float], end: Sequence[float]) -> list[tuple[int, object]]:
    return [(0, "LINE"), (8, layer), (10, start[0]), (20, start[1]), (11, end[0]), (21, end[1])]


def _text(entities: Sequence[tuple[int, object]]) -> Iterator[str]:
    """The least that a DXF file must hold; $INSUNITS 1 is inches."""
    head = [(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (9, "$INSUNITS"), (70, 1), (0, "ENDSEC")]
    tags = [*head, (0, "SECTION"), (2, "ENTITIES"), *entities, (0, "ENDSEC"), (0, "EOF")]
    return (f"{code:3d}\n{value}\n" for code, value in tags)


def make(folder: Path = HERE / "11_supplier_files") -> None:
    """Write every supplier file into that folder."""
    for name, text in (("angle.step", angle()), ("trestle.step", trestle()), ("shelf.dxf", shelf())):
        (folder / name).write_bytes(text.encode("ascii"))


if __name__ == "__main__":
    make()
