"""What is to be printed full size and laid on the part: outlines with their openings, and drilling patterns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from fitcheck.makeable.contour import Contour, Round, box_of, box_of_points
from fitcheck.makeable.piece import WAYS, Piece
from fitcheck.makeable.screw_holes import clearance_hole_mm
from fitcheck.model.layout import Layout
from fitcheck.model.sections import Screw
from fitcheck.model.shape import Point2
from fitcheck.placing.local import outline_axes

AROUND_MM = 6.0
"""Paper that is kept free around what is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Centre:
    """Where to centre a drill, with what is written beside it, clear of a hole of that radius."""

    text: str
    at: Point2
    radius: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """Contours and drilling centres in mm; `says` is printed on its first page."""

    name: str
    contours: tuple[Contour, ...]
    centres: tuple[Centre, ...]
    says: tuple[str, ...]

    @property
    def box(self) -> tuple[Point2, Point2]:
        """What must be on paper, with a free edge around."""
        corners = [corner for contour in self.contours for corner in box_of(contour)]
        corners += [centre.at for centre in self.centres]
        low, high = box_of_points(corners)
        return (low[0] - AROUND_MM, low[1] - AROUND_MM), (high[0] + AROUND_MM, high[1] + AROUND_MM)


def templates(layout: Layout, pieces: Iterable[Piece]) -> tuple[Template, ...]:
    """One for each outline, whatever its thickness, and one for each kind of screw that no piece has its holes for."""
    pieces = [piece for piece in pieces if piece.kind == "part"]
    found: dict[object, Template] = {}
    for piece in pieces:
        key = (piece.outline, tuple(opening.contour for opening in piece.openings))
        found.setdefault(key, _of_piece(piece))
    return (*found.values(), *_patterns(layout, pieces))


def _of_piece(piece: Piece) -> Template:
    contours = (piece.outline, *(opening.contour for opening in piece.openings))
    centres = tuple(
        Centre(text=f"⌀{opening.contour.diameter:g}", at=opening.contour.centre, radius=opening.contour.diameter / 2.0)
        for opening in piece.openings
        if isinstance(opening.contour, Round)
    )
    lies = f"; {_lying(*piece.lies)}" if piece.lies else ""
    return Template(
        name=piece.name,
        contours=contours,
        centres=centres,
        says=(f"outline of {', '.join(piece.of_parts)}{lies}",),
    )


def _lying(across: str, up: str) -> str:
    """Which way the paper lies in the vehicle."""
    return f"across the paper runs {WAYS.get(across, across)} in the vehicle, up the paper {WAYS.get(up, up)}"


def _patterns(layout: Layout, pieces: list[Piece]) -> Iterator[Template]:
    for screw in layout.sections.screws:
        has_holes = any(opening.says.startswith(f"{screw.name}, ") for piece in pieces for opening in piece.openings)
        if screw.places and not has_holes:
            yield _pattern(layout, screw)


def _pattern(layout: Layout, screw: Screw) -> Template:
    """The places of a screw as seen along it, counted from the first one."""
    axis = layout.direction(screw.direction)[0]
    first, second = outline_axes(axis)
    points = [(place[first].nominal, place[second].nominal) for place in screw.places]
    zero = points[0]
    moved = [(x - zero[0], y - zero[1]) for x, y in points]
    diameter = clearance_hole_mm(screw.thread)
    letters = "xyz"
    where = f"{letters[first]} {zero[0]:g}, {letters[second]} {zero[1]:g}"
    size = f"⌀{diameter:g} clears {screw.thread}" if diameter else f"{screw.thread}: no table holds its clearance hole"
    return Template(
        name=f"{screw.name} drilling",
        contours=() if diameter is None else tuple(Round(centre=point, diameter=diameter) for point in moved),
        centres=tuple(
            Centre(text=f"{screw.name} {number + 1}", at=point, radius=(diameter or 0.0) / 2.0)
            for number, point in enumerate(moved)
        ),
        says=(
            f"drilling pattern of {screw.name}, {size}",
            (
                f"hole 1 stands at {where} from the case datum ({layout.datum}); "
                f"{_lying(layout.axes[first], layout.axes[second])}"
            ),
        ),
    )
