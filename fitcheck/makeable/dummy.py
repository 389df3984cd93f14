"""A dummy module for a dry fit: slotted panels that interlock between two plates, as large as the module may be.

A module that grows has two kits: one as large as a new one may be, one as large as it may be at the end of life.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.makeable.contour import Contour, Loop, Round, box_of, rectangle
from fitcheck.makeable.growing import Size3, growth_mm, sizes_along
from fitcheck.makeable.piece import Label, Opening, Piece
from fitcheck.model.layout import Layout
from fitcheck.model.part import Change, Part
from fitcheck.model.quantity import exact
from fitcheck.model.shape import Point2

SHEET_MM = 3.0
CLEARANCE_MM = 0.2
"""How much wider a slot is than the sheet is thick."""

FIT = "cut to ±0.2; hardboard of the same thickness does as well"

EDGE_SHARE = 0.12
MOST_APART_MM = 160.0
FINGER_HOLE = 28.0
LETTER_MM = 5.0
MATERIAL = "birch plywood, dry"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a panel stands in the dummy: its contour coordinates run along axes `right` and `up`, its thickness from
    `at` along the third."""

    piece: Piece
    right: int
    up: int
    at: tuple[float, ...]


def dummy_modules(layout: Layout) -> tuple[tuple[Piece, ...], tuple[str, ...]]:
    """(panels, what is left out and why): one kit for each size of new module."""
    kits: dict[tuple[Size3, Size3], list[Part]] = defaultdict(list)
    skipped = []
    for part in layout.parts:
        if part.change is not Change.NEW or part.role != "module":
            continue
        size = largest(part)
        if size is None:
            skipped.append(f"{part.name}: no dummy, its shape is neither a box nor a prism")
        else:
            kits[size, growth_mm(part)].append(part)
    pieces: list[Piece] = []
    for (size, growth), parts in kits.items():
        if min(size) < 12.0 * SHEET_MM:
            skipped.append(f"{parts[0].name}: no dummy, it is too small for {SHEET_MM:g} mm sheet")
            continue
        names = tuple(part.name for part in parts)
        for name, outside, says in _ages(parts[0].name, size, growth):
            pieces += [standing.piece for standing in kit(outside, name, names, says=says)]
    return tuple(pieces), tuple(skipped)


def largest(part: Part) -> Size3 | None:
    """The outside of a module at its largest within tolerance, in its own axes; None for other shapes than boxes and
    prisms.
    """
    sizes = sizes_along(part)
    return None if sizes is None else (sizes[0].high, sizes[1].high, sizes[2].high)


def _ages(name: str, size: Size3, growth: Size3) -> Iterator[tuple[str, Size3, str]]:
    """(name of the kit, its outside, what is to be said of it): when new, and where it grows at the end of life."""
    if not any(growth):
        yield name, size, f"outside of the dummy {_outside(size)}: the module at its largest within tolerance"
        return
    aged = (_raised(size[0] + growth[0]), _raised(size[1] + growth[1]), _raised(size[2] + growth[2]))
    more = ", ".join(
        f"{_number(after - before)} in its {axis}"
        for axis, before, after in zip("xyz", size, aged, strict=True)
        if after > before
    )
    yield (
        name,
        size,
        (
            f"outside of the dummy {_outside(size)}: the module when new, at its largest within tolerance. By the end "
            f"of life it grows by up to {more}, to {_outside(aged)}: a dry fit with this dummy does not prove that the "
            "module still fits then; the kit for the end of life shows that size"
        ),
    )
    yield (
        f"{name} end of life",
        aged,
        (
            f"outside of the dummy {_outside(aged)}: the module at the end of life, at its largest within tolerance, "
            f"up to {more} larger than when new. Stand its middle where the middle of the module stands, but leave a "
            "face that is in contact where it is"
        ),
    )


def _raised(value: float) -> float:
    """Up to the next hundredth: a dummy is never smaller than what it stands for."""
    return math.ceil(value * 100.0 - 1e-6) / 100.0


def _number(value: float) -> str:
    return f"{round(value, 2):g}"


def _outside(size: Size3) -> str:
    return " × ".join(_number(value) for value in size)


def kit(
    size: Size3,
    name: str,
    of_parts: tuple[str, ...],
    *,
    sheet: float = SHEET_MM,
    clearance: float = CLEARANCE_MM,
    says: str = "",
) -> tuple[Standing, ...]:
    """The panels of one dummy, `size` outside. Two plates, and between them panels across both ways that are slotted
    half through each other and stand in the plates with tabs.

    Raises ValueError for a size that leaves no room between the plates.
    """
    length, depth, high = size
    if high <= 4.0 * sheet or min(length, depth) <= 8.0 * sheet:
        raise ValueError(f"{size} is too small for a dummy of {sheet:g} mm sheet")
    along_at, across_at = _stations(depth, sheet), _stations(length, sheet)
    body = high - 2.0 * sheet
    along = _panel(length, body, sheet, across_at, clearance, slots_from_top=True)
    across = _panel(depth, body, sheet, along_at, clearance, slots_from_top=False)
    tabs = [(_tabs(across_at, sheet), along_at, False), (_tabs(along_at, sheet), across_at, True)]
    mortises = [opening for spans, rows, turned in tabs for opening in _mortises(spans, rows, turned, sheet, clearance)]
    lid_holes = [*mortises, *_finger_holes(across_at, along_at, sheet)]
    made = _Maker(name=name, of_parts=of_parts, sheet=sheet, says=says)
    plate = rectangle(length, depth)
    # Letters stand where neither slot nor tab is: beside the first crossing, in the half without slots.
    x, y = across_at[0] + sheet + 3.0, along_at[0] + sheet + 3.0
    low, high_up = sheet + 0.15 * body, sheet + 0.75 * body
    return (
        Standing(piece=made("bottom", plate, mortises, 1, (x, y)), right=0, up=1, at=(0.0,)),
        Standing(piece=made("top", plate, lid_holes, 1, (x, y)), right=0, up=1, at=(high - sheet,)),
        Standing(piece=made("lengthwise", along, [], len(along_at), (x, low)), right=0, up=2, at=tuple(along_at)),
        Standing(piece=made("crosswise", across, [], len(across_at), (y, high_up)), right=1, up=2, at=tuple(across_at)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Maker:
    name: str
    of_parts: tuple[str, ...]
    sheet: float
    says: str

    def __call__(self, which: str, outline: Contour, openings: Sequence[Contour], quantity: int, at: Point2) -> Piece:
        low, high = box_of(outline)
        return Piece(
            name=f"dummy {self.name} {which}",
            kind="dummy",
            outline=outline,
            openings=tuple(Opening(contour=contour) for contour in openings),
            thickness=exact("dummy.thickness", self.sheet),
            width=exact("dummy.width", high[0] - low[0]),
            height=exact("dummy.height", high[1] - low[1]),
            material=MATERIAL,
            is_metal=False,
            quantity=quantity,
            of_parts=self.of_parts,
            labels=(Label(text=f"{which}, {self.name}"[:30], at=at, height=LETTER_MM),),
            says=(self.says, FIT) if self.says else (FIT,),
        )


def _stations(across: float, sheet: float) -> list[float]:
    """Low faces of the panels: one near each side and none farther apart than a hand reaches."""
    first = max(3.0 * sheet, across * EDGE_SHARE)
    span = across - 2.0 * first - sheet
    fields = max(1, -int(-span // MOST_APART_MM))
    return [first + span * number / fields for number in range(fields + 1)]


def _panel(
    length: float, body: float, sheet: float, crossings: Sequence[float], clearance: float, *, slots_from_top: bool
) -> Loop:
    """The contour of a panel from z = 0 (outside of the bottom plate), tabs up and down, slots half through."""
    low, top = sheet, sheet + body
    slots = [(at - clearance / 2.0, at + sheet + clearance / 2.0) for at in crossings]
    middle = sheet + body / 2.0
    reach = middle - clearance / 2.0 if slots_from_top else middle + clearance / 2.0
    tabs = _tabs(crossings, sheet)
    bottom_cuts = [(tab, 0.0) for tab in tabs]
    top_cuts = [(tab, top + sheet) for tab in tabs]
    (top_cuts if slots_from_top else bottom_cuts).extend((slot, reach) for slot in slots)
    corners: list[Point2] = [(0.0, low)]
    for (start, end), y in sorted(bottom_cuts):
        corners += [(start, low), (start, y), (end, y), (end, low)]
    corners += [(length, low), (length, top)]
    for (start, end), y in sorted(top_cuts, reverse=True):
        corners += [(end, top), (end, y), (start, y), (start, top)]
    corners.append((0.0, top))
    return Loop(corners=tuple(corners))


def _tabs(crossings: Sequence[float], sheet: float) -> list[tuple[float, float]]:
    """A tab in each field between two crossings, half as long as the field is clear."""
    fields = [(one + sheet, other) for one, other in itertools.pairwise(crossings)]
    return [(start + (end - start) / 4.0, end - (end - start) / 4.0) for start, end in fields]


def _mortises(
    spans: Sequence[tuple[float, float]], rows: Sequence[float], turned: bool, sheet: float, clearance: float
) -> list[Contour]:
    """The holes in the plates that the tabs go through."""
    half = clearance / 2.0
    found: list[Contour] = []
    for row in rows:
        for start, end in spans:
            xs, ys = (start - half, end + half), (row - half, row + sheet + half)
            if turned:
                xs, ys = ys, xs
            found.append(Loop(corners=((xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1]))))
    return found


def _finger_holes(across_at: Sequence[float], along_at: Sequence[float], sheet: float) -> list[Contour]:
    """Holes to lift it out by, each in the middle of a field between the panels: two, or one where there is one field.

    None where the fields are too narrow for fingers.
    """
    fields, rows = list(itertools.pairwise(across_at)), list(itertools.pairwise(along_at))
    # Across from each other about the middle, so that it hangs level.
    chosen = ((fields[0], rows[(len(rows) - 1) // 2]), (fields[-1], rows[len(rows) // 2]))
    found: list[Contour] = []
    for field, row in dict.fromkeys(chosen):
        if min(end - start for start, end in (field, row)) - sheet > 1.5 * FINGER_HOLE:
            centre = ((field[0] + sheet + field[1]) / 2.0, (row[0] + sheet + row[1]) / 2.0)
            found.append(Round(centre=centre, diameter=FINGER_HOLE))
    return found
