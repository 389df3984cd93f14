"""All that the workshop has to make: equal pieces counted together, plates of a stack each by its own thickness."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from fitcheck.findings import Finding
from fitcheck.makeable.blanks import Blank, blank_of, rotation_of, way
from fitcheck.makeable.contour import Contour, Round
from fitcheck.makeable.dummy import dummy_modules
from fitcheck.makeable.gauges import gauges
from fitcheck.makeable.joined import counted as counted_joined
from fitcheck.makeable.joined import joined_of, with_band
from fitcheck.makeable.laser import remarks_of
from fitcheck.makeable.material import is_metal, named
from fitcheck.makeable.piece import CutRemark, Joined, Piece
from fitcheck.makeable.screw_holes import screw_holes
from fitcheck.makeable.templates import Template, templates
from fitcheck.model.layout import Layout
from fitcheck.model.part import Change, Part
from fitcheck.model.quantity import Quantity, exact
from fitcheck.model.shape import Box, Prism
from fitcheck.placing.local import outline_axes
from fitcheck.report.scene import Scene, Scenes
from fitcheck.result_heights import FoundRow
from fitcheck.result_study import StudyResult
from fitcheck.sources import Source

MADE_ROLES = ("spacer", "riser", "frame", "bracket", "insulator", "cover")
"""Roles of parts that a workshop makes itself; the rest is bought."""

NO_TOLERANCE = CutRemark(
    text="The layout states no general tolerance and takes sizes without one as exact: agree with the shop what goes "
    "for them, or state a general_tolerance there",
    source=Source(document="the layout"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worklist:
    """`general` is the layout's general tolerance in words, "" where it has none; `skipped` says what is left out."""

    pieces: tuple[Piece, ...]
    joined: tuple[Joined, ...]
    templates: tuple[Template, ...]
    scene: Scene
    general: str
    skipped: tuple[str, ...] = ()


def worklist(layout: Layout, scenes: Scenes, result: StudyResult) -> Worklist:
    """The new parts of the workshop roles as pieces, with the found heights where there are any; gauges and a dummy."""
    found = _found(result)
    scene = scenes.solved if found and scenes.solved is not None else scenes.proposed
    parts = [part for part in layout.parts if part.change is Change.NEW and part.role in MADE_ROLES]
    pieces: list[Piece] = []
    joined: list[Joined] = []
    nothing: list[str] = []
    for part in parts:
        row = found.get(part.name)
        if row is not None and not row.height_mm:
            nothing.append(f"{part.name}: its height was found to be 0, there is nothing to make")
            continue
        made = list(_pieces(layout, part, row, scene))
        pieces += made
        if not made:
            joined.append(joined_of(layout, part, scene))
    by_name = {part.name: part for part in layout.parts}
    gauge_pieces, skipped_gauges = gauges(_findings(result), by_name, scene, layout.concessions)
    dummy_pieces, skipped_dummies = dummy_modules(layout)
    general = _general_tolerance(layout)
    open_first = () if general else (NO_TOLERANCE,)
    counted = [replace(piece, remarks=(*open_first, *remarks_of(piece))) for piece in _counted(pieces)]
    return Worklist(
        pieces=(*counted, *(replace(gauge, remarks=remarks_of(gauge)) for gauge in gauge_pieces), *dummy_pieces),
        joined=counted_joined(joined),
        templates=templates(layout, counted),
        scene=scene,
        general=general,
        skipped=(*nothing, *skipped_gauges, *skipped_dummies),
    )


def _found(result: StudyResult) -> Mapping[str, FoundRow]:
    answer = None if result.heights is None else result.heights.heights
    if answer is None or not answer.solved:
        return {}
    return {row.part: row for row in answer.found if row.height_mm is not None}


def _findings(result: StudyResult) -> tuple[Finding, ...]:
    """Of the layout with the found heights, where there are any."""
    return result.heights.findings if result.heights is not None and _found(result) else result.check.findings


def _pieces(layout: Layout, part: Part, row: FoundRow | None, scene: Scene) -> Iterator[Piece]:
    up = layout.up[0]
    upright = None
    if row is not None and isinstance(part.shape, Box):
        upright = up
    blank = blank_of(part.shape, upright)
    if blank is None:
        return
    openings, says = screw_holes(layout, part, blank, scene.by_name)
    rotation = rotation_of(part)
    first, second = outline_axes(blank.along)
    lies = (way(layout, rotation, first), way(layout, rotation, second))
    piece = Piece(
        name=part.name,
        outline=blank.outline,
        openings=openings,
        thickness=blank.thickness,
        width=blank.width,
        height=blank.height,
        material=named(part),
        is_metal=is_metal(part.material or ""),
        of_parts=(part.name,),
        lies=lies if all(lies) else (),
        is_flat=blank.is_flat,
        says=(*says, *_drawn_round(blank, part)),
    )
    if row is None:
        yield piece
    else:
        yield from _plates(piece, row)


def _drawn_round(blank: Blank, part: Part) -> Iterator[str]:
    """Circles that the layout can only write as many corners."""
    rounds = [contour for contour in (blank.outline, *blank.openings) if isinstance(contour, Round)]
    if rounds and isinstance(part.shape, Prism) and part.shape.drawn is None:
        yield "a ring of twelve or more corners that lie on a circle is cut as a circle through them"


def _plates(piece: Piece, row: FoundRow) -> Iterator[Piece]:
    """One piece for each thickness of a found height."""
    height = 0.0 if row.height_mm is None else row.height_mm
    whole = Quantity(
        name=piece.thickness.name,
        nominal=height,
        unit="mm",
        below=row.below_mm,
        above=row.above_mm,
        basis="exact" if row.below_mm == row.above_mm == 0.0 else "stated",
    )
    counts = Counter(row.pieces)
    if sum(counts.values()) <= 1:
        yield replace(piece, thickness=whole, stack=f"height found {height:g}", is_flat=height <= min(piece.size))
        return
    stack = f"stack of {' + '.join(f'{size:g}' for size in row.pieces)} = {with_band(whole)} in all"
    for size, number in counts.items():
        yield replace(
            piece,
            thickness=exact(f"{piece.thickness.name} piece", size),
            quantity=number,
            stack=stack,
            is_flat=size <= min(piece.size),
            says=(
                *piece.says,
                "the tolerance of the height goes for the whole stack: measure its plates laid together",
            ),
        )


def _counted(pieces: list[Piece]) -> list[Piece]:
    """Equal pieces become one with their number."""
    kinds: dict[object, Piece] = {}
    for piece in pieces:
        key = (
            _rounded(piece.outline),
            tuple(_rounded(opening.contour) for opening in piece.openings),
            tuple((value.nominal, value.below, value.above) for value in (piece.thickness, piece.width, piece.height)),
            piece.material.casefold(),
        )
        known = kinds.get(key)
        kinds[key] = piece if known is None else _together(known, piece)
    return list(kinds.values())


def _together(one: Piece, other: Piece) -> Piece:
    stack = one.stack if one.stack == other.stack else "; ".join(dict.fromkeys(filter(None, (one.stack, other.stack))))
    return replace(
        one,
        quantity=one.quantity + other.quantity,
        of_parts=tuple(dict.fromkeys((*one.of_parts, *other.of_parts))),
        stack=stack,
        lies=one.lies if one.lies == other.lies else (),
        says=tuple(dict.fromkeys((*one.says, *other.says))),
    )


def _rounded(contour: Contour) -> object:
    if isinstance(contour, Round):
        return (round(contour.centre[0], 6), round(contour.centre[1], 6), round(contour.diameter, 6))
    return tuple((round(x, 6), round(y, 6)) for x, y in contour.corners)


def _general_tolerance(layout: Layout) -> str:
    found = sorted({value.basis for value in layout.quantities.values() if value.basis.startswith("ISO 2768")})
    return ", ".join(found)
