"""The parts whose height is to be found: which of their sizes that is, and a layout with other heights in its place."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from fitcheck.errors import LayoutErrors, Problem, UsageError
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build, Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import FoundHeight, Heights
from fitcheck.model.shape import Box, Cylinder, Prism, Tube, with_sizes

MOST_PIECES = 200
"""Nobody stacks more; a stock list without a stated limit needs some bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One height to be found: of `parts` (tied to each other) with their height values as written, in mm.

    `tolerance` is the half-width of the whole height (below, above), `per_piece` what each piece adds to it.
    `stock` pairs a thickness with the count on hand (None: any number); empty: multiples of `step`.
    """

    parts: tuple[str, ...]
    written: tuple[Quantity, ...]
    stock: tuple[tuple[float, int | None], ...]
    step: float | None
    at_most_pieces: int | None
    tolerance: tuple[float, float]
    per_piece: tuple[float, float]

    @property
    def name(self) -> str:
        return self.parts[0]

    def widths(self, pieces: int) -> tuple[float, float]:
        """(below, above) of a height made of so many pieces. Pieces of one batch err the same way, so they add up."""
        return (
            self.tolerance[0] + pieces * self.per_piece[0],
            self.tolerance[1] + pieces * self.per_piece[1],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """A height in mm and the pieces that make it, thickest first."""

    height: float
    pieces: tuple[float, ...]


def pieces_in_words(pieces: Sequence[float]) -> str:
    """Thickest first, alike ones counted.

    >>> pieces_in_words((10.0, 8.0, 8.0, 8.0))
    '10 + 3 x 8'
    """
    counted: dict[float, int] = {}
    for size in pieces:
        counted[size] = counted.get(size, 0) + 1
    return " + ".join(f"{size:g}" if number == 1 else f"{number} x {size:g}" for size, number in counted.items())


def heights_of(layout: Layout) -> Heights:
    """The layout's `heights` section; UsageError where it has none."""
    if layout.sections.heights is None:
        raise UsageError(
            f"{layout.file} has no `heights` section\n"
            "    mend: say which heights are to be found: heights: {find: {pad_1: {stock: [3, 5, 8, 10]}}, so_that: []}"
        )
    return layout.sections.heights


def found_in(layout: Layout) -> tuple[Found, ...]:
    """The heights to be found, in file order. Raises LayoutErrors for parts that have no single upright size."""
    found, problems = [], []
    for entry in heights_of(layout).find:
        parts = tuple(layout.by_name[name] for name in (entry.part, *entry.same_for))
        sizes = [height_of(layout, part) for part in parts]
        for part, size in zip(parts, sizes, strict=True):
            if not Build.PROPOSED.holds(part.change):
                problems.append(
                    Problem(
                        entry.at,
                        f"the height of {part.name!r} cannot be found: it is removed and not in the proposed build",
                        "name the part that takes its place",
                    )
                )
            elif size is None:
                problems.append(
                    Problem(
                        entry.at,
                        f"the height of {part.name!r} cannot be found: it has no single upright size",
                        "draw it as a box, as a prism or bar along the upright axis, turned about that axis at most",
                    )
                )
        if all(size is not None for size in sizes):
            found.append(_found(entry, tuple(size for size in sizes if size is not None)))
    if problems:
        raise LayoutErrors(problems)
    return tuple(found)


def height_of(layout: Layout, part: Part) -> Quantity | None:
    """The one size of a part along the upright axis; None where the shape has none or is tipped over."""
    up, _ = layout.up
    if any(turn.axis != up for turn in part.turns):
        return None
    match part.shape:
        case Box(size=size):
            return size[up]
        case Cylinder(length=length, along=along) | Tube(length=length, along=along) if along == up:
            return length
        case Prism(height=height, along=along) if along == up:
            return height
    return None


def _found(entry: FoundHeight, written: tuple[Quantity, ...]) -> Found:
    piece = entry.piece_tolerance
    if entry.tolerance is not None:
        tolerance = _half_widths(entry.tolerance)
    elif piece is not None:
        tolerance = (0.0, 0.0)
    else:
        # Nothing is said of the new height's accuracy: what holds for the part as written is the best that is known.
        tolerance = (max(size.below for size in written), max(size.above for size in written))
    return Found(
        parts=(entry.part, *entry.same_for),
        written=written,
        stock=entry.stock,
        step=entry.step,
        at_most_pieces=entry.at_most_pieces,
        tolerance=tolerance,
        per_piece=(0.0, 0.0) if piece is None else _half_widths(piece),
    )


def _half_widths(stated: Quantity) -> tuple[float, float]:
    """`tolerance: 0.2` is a half-width; `tolerance: 0 +0.3/-0.1` says both sides."""
    if stated.nominal == 0.0:
        return (stated.below, stated.above)
    return (abs(stated.nominal), abs(stated.nominal))


def with_heights(layout: Layout, found: tuple[Found, ...], picks: Mapping[str, Pick]) -> Layout:
    """The layout with the picked heights, each with the band of its pieces. `picks` is by the name of each Found."""
    new: dict[str, Quantity] = {}
    for each in found:
        pick = picks[each.name]
        below, above = each.widths(len(pick.pieces))
        for size in each.written:
            basis = "exact" if below == above == 0.0 else "stated"
            new[size.name] = replace(size, nominal=pick.height, below=below, above=above, known_by="", basis=basis)
    return with_values(layout, lambda value: new.get(value.name, value))


def with_values(layout: Layout, change: Callable[[Quantity], Quantity]) -> Layout:
    """The layout with every size and every placing number of its parts passed through `change`."""
    quantities = {name: change(value) for name, value in layout.quantities.items()}
    parts = tuple(_with_values(part, change) for part in layout.parts)
    return replace(layout, parts=parts, quantities=MappingProxyType(quantities))


def _with_values(part: Part, change: Callable[[Quantity], Quantity]) -> Part:
    placings = tuple(
        placing if placing.offset is None else replace(placing, offset=change(placing.offset))
        for placing in part.placings
    )
    origin = None
    if part.file_origin is not None:
        x, y, z = part.file_origin
        origin = (change(x), change(y), change(z))
    return replace(part, shape=with_sizes(part.shape, change), placings=placings, file_origin=origin)
