"""The owner's page as lines, shapes and words in millimetres of paper, y down; drawn alike in HTML and PDF.

The vehicle is a plain outline made up from wheelbase and track; only axles, case and balance point stand where they
are. Front is on the left. Seen from above the right-hand side of the vehicle is then at the top.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.report.owner_page import Bar
from fitcheck.report.wording import plain
from fitcheck.result import VehicleBalance, VehicleState

Point = tuple[float, float]

WIDTH = 92.0
BAR_HEIGHT = 9.0
SIDE_HEIGHT = 50.0
PLAN_HEIGHT = 50.0

LEAST_ARROW = 9.0
"""Shorter arrows, in mm of paper, are drawn longer, and the picture says by how much."""

_ROOM_FOR_AN_ARROW = 5.0
"""Between two discs that stand closer, in mm of paper, no head can be seen."""

_FACTORS = (2, 5, 10, 20, 50, 100, 200, 500, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A closed (filled) or open line through points. `style` names a colour, "" is none."""

    points: tuple[Point, ...]
    line: str = ""
    fill: str = ""
    width: float = 0.3
    dashed: bool = False
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    centre: Point
    radius: float
    line: str = ""
    fill: str = ""
    width: float = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text; `anchor` is "start", "middle" or "end"."""

    at: Point
    text: str
    size: float = 2.9
    anchor: str = "start"
    style: str = "ink"
    bold: bool = False


Item = Shape | Disc | Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What to draw on a sheet of `width` by `height` mm, and what it shows in one sentence."""

    width: float
    height: float
    items: tuple[Item, ...]
    says: str


def bar(one: Bar, most: float) -> Drawing:
    """Before (thin) and after (thick) against the limit; `most` is the mass in kg at the right end."""
    scale = (WIDTH - 2.0) / most

    def block(kg: float, top: float, height: float, fill: str) -> Shape:
        end = 1.0 + kg * scale
        return Shape(points=((1.0, top), (end, top), (end, top + height), (1.0, top + height)), fill=fill, closed=True)

    items: list[Item] = []
    if one.before is not None:
        items.append(block(one.before, 1.2, 1.6, "before"))
    if one.after is not None:
        items.append(block(one.after, 3.2, 3.6, "over" if one.is_over else "after"))
        if (one.high - one.low) * scale > 0.4:
            low, high = 1.0 + one.low * scale, 1.0 + one.high * scale
            items += [_line((low, 5.0), (high, 5.0), "ink"), *(_line((x, 4.2), (x, 5.8), "ink") for x in (low, high))]
    if one.limit is not None:
        at = 1.0 + one.limit * scale
        items.append(_line((at, 0.2), (at, 7.8), "ink", width=0.7))
    items.append(_line((1.0, 0.2), (1.0, 7.8), "faint"))
    return Drawing(width=WIDTH, height=BAR_HEIGHT, items=tuple(items), says=f"{one.name}: {one.figures}, {one.margin}")


def side(vehicle: VehicleBalance) -> Drawing:
    """The vehicle from its left-hand side, front on the left."""
    view = _View(vehicle, SIDE_HEIGHT)
    base, ground = vehicle.wheelbase_mm, SIDE_HEIGHT - 12.0
    radius = 0.15 * base
    top = 0.62 * base

    def at(x: float, z: float) -> Point:
        return (view.x(x), ground - z * view.scale)

    front, rear = view.front, view.rear
    body = (
        (front, 0.7 * radius), (front, 0.30 * base), (front + 0.06 * base, 0.36 * base), (front + 0.13 * base, top),
        (0.32 * base, top), (0.36 * base, 0.42 * base), (rear, 0.42 * base), (rear, 0.7 * radius),
    )  # fmt: skip
    items: list[Item] = [
        Shape(points=tuple(at(x, z) for x, z in body), line="faint", fill="body", width=0.4, closed=True),
        _line((2.0, ground), (WIDTH - 2.0, ground), "faint", width=0.4),
    ]
    if vehicle.case_box_mm is not None:
        low, high = vehicle.case_box_mm
        items.append(_box(at(low[0], low[2]), at(high[0], high[2])))
    for x in (0.0, base):
        items += [
            Disc(centre=at(x, radius), radius=radius * view.scale, line="faint", fill="paper", width=0.6),
            Disc(centre=at(x, radius), radius=0.35 * radius * view.scale, line="faint", width=0.3),
        ]
    items += _axle_words(vehicle, view, ground)
    shift, said = _shift(vehicle, view, axis=2, level=ground - 0.30 * base * view.scale, up=ground)
    return Drawing(
        width=WIDTH,
        height=SIDE_HEIGHT,
        items=(*items, *shift, Words(at=(2.0, 3.2), text="← front", style="quiet"), *_notes(said, SIDE_HEIGHT)),
        says=f"The vehicle from the side. {' '.join(said)}",
    )


def plan(vehicle: VehicleBalance) -> Drawing:
    """The vehicle from above, front on the left, its right-hand side at the top."""
    view = _View(vehicle, PLAN_HEIGHT)
    base, track = vehicle.wheelbase_mm, vehicle.track_mm or 0.6 * vehicle.wheelbase_mm
    middle = (PLAN_HEIGHT - 5.0) / 2.0

    def at(x: float, y: float) -> Point:
        return (view.x(x), middle - y * view.scale)

    half = 0.56 * track
    front, rear, nose = view.front, view.rear, 0.10 * base
    body = (
        (front + nose, half), (rear, half), (rear, -half), (front + nose, -half), (front, -half + nose),
        (front, half - nose),
    )  # fmt: skip
    items: list[Item] = [Shape(points=tuple(at(x, y) for x, y in body), line="faint", fill="body", closed=True)]
    for x in (0.0, base):
        for y in (-track / 2.0, track / 2.0):
            length, width = 0.14 * base, 0.08 * track
            items.append(
                Shape(
                    points=tuple(at(x + a * length, y + b * width) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))),
                    line="faint",
                    fill="paper",
                    closed=True,
                )
            )
    if vehicle.case_box_mm is not None:
        low, high = vehicle.case_box_mm
        items.append(_box(at(low[0], low[1]), at(high[0], high[1])))
    items.append(_line(at(front, 0.0), at(rear, 0.0), "faint", dashed=True))
    shift, said = _shift(vehicle, view, axis=1, level=middle, up=middle)
    words = (
        Words(at=(2.0, 3.2), text="← front", style="quiet"),
        Words(at=(view.x(base / 2), middle - half * view.scale - 1.4), text="right", anchor="middle", style="quiet"),
        Words(at=(view.x(base / 2), middle + half * view.scale + 3.4), text="left", anchor="middle", style="quiet"),
    )
    return Drawing(
        width=WIDTH,
        height=PLAN_HEIGHT,
        items=(*items, *words, *shift, *_notes(said, PLAN_HEIGHT)),
        says=f"The vehicle from above. {' '.join(said)}",
    )


class _View:
    """Vehicle lengths to paper: one scale for both pictures, so that they can be laid on each other."""

    def __init__(self, vehicle: VehicleBalance, height: float) -> None:
        base = vehicle.wheelbase_mm
        track = vehicle.track_mm or 0.6 * base
        box = vehicle.case_box_mm
        self.front = min(-0.28 * base, box[0][0] - 0.04 * base if box else 0.0)
        self.rear = max(1.28 * base, box[1][0] + 0.04 * base if box else 0.0)
        self.scale = min((WIDTH - 20.0) / (self.rear - self.front), (SIDE_HEIGHT - 17.0) / (0.62 * base),
                         (PLAN_HEIGHT - 17.0) / (1.12 * track))  # fmt: skip
        self.left = (WIDTH - (self.rear - self.front) * self.scale) / 2.0

    def x(self, x: float) -> float:
        return self.left + (x - self.front) * self.scale


def _axle_words(vehicle: VehicleBalance, view: _View, ground: float) -> Iterable[Words]:
    """Under each wheel what it carries: before, after, and with the load aboard."""
    states = [vehicle.before, vehicle.after, *([] if vehicle.laden is None else [vehicle.laden])]
    for x, key in ((0.0, "front"), (vehicle.wheelbase_mm, "rear")):
        loads = [None if state is None else getattr(state, key).value for state in states]
        told = " → ".join("?" if load is None else plain(load, 0) for load in loads)
        yield Words(at=(view.x(x), ground + 4.0), text=f"{told} kg", anchor="middle")


def _shift(vehicle: VehicleBalance, view: _View, *, axis: int, level: float, up: float) -> tuple[list[Item], list[str]]:
    """The balance point before, after and with the load aboard, arrows between them, and what they are. Where a height
    is not known, `level` stands for it.
    """
    if vehicle.before is None:
        return [], ["Where the balance point is cannot be told."]
    old = _on_paper(vehicle.before, view, axis, level, up)
    if vehicle.after is None or vehicle.change is None:
        return _mark(old, "before"), ["○ before; where the balance point goes cannot be told."]
    shifts = _shifts(vehicle)
    known = vehicle.before.cg[axis] is not None
    height = "" if known else "; its height is not known"
    if all(math.hypot(*shift) < 0.05 for shift in shifts):
        return _mark(old, "before"), [f"○ The balance point stays{height}."]
    # One factor for both pictures, so that they can be laid on each other.
    factor = _factor(vehicle, view, shifts)
    points = [(old[0] + shift[0] * view.scale * factor, old[1] - shift[axis] * view.scale * factor) for shift in shifts]
    drawn = "drawn to scale" if factor == 1 else f"shift drawn {factor} times as long"
    items, start = _mark(old, "before"), old
    for point, name in zip(points, ("after", "loaded"), strict=False):
        items += [*_arrow(start, point), *_mark(point, name)]
        start = point
    if vehicle.laden is None:
        unknown = ["Its height is not known: it is drawn at any height."] if height else []
        return items, [f"Balance point ○ before, ● after; {drawn}.", *unknown]
    return items, ["Balance point ○ before, ● after, ◆ with the stated load;", f"{drawn}{height}."]


def _shifts(vehicle: VehicleBalance) -> list[tuple[float, float, float]]:
    """From the balance point before to that after, and to that with the load aboard; an unknown way counts as none."""
    before, found = vehicle.before, []
    for state in (vehicle.after, vehicle.laden):
        if before is not None and state is not None:
            x, y, z = (
                0.0 if new is None or old is None else new.value - old.value
                for new, old in zip(state.cg, before.cg, strict=True)
            )
            found.append((x, y, z))
    return found


def _factor(vehicle: VehicleBalance, view: _View, shifts: Sequence[tuple[float, float, float]]) -> int:
    """How many times as long shifts are drawn: until the shortest can be seen, as far as no mark leaves the vehicle."""
    shortest = min((length for length in map(_length, shifts) if length >= 0.05), default=0.0) * view.scale
    wanted = next((factor for factor in (1, *_FACTORS) if shortest * factor >= LEAST_ARROW), _FACTORS[-1])
    fitting = [factor for factor in _FACTORS if factor <= wanted and _stays_inside(vehicle, shifts, factor)]
    return max(fitting, default=1)


def _length(shift: tuple[float, float, float]) -> float:
    return math.hypot(*shift)


def _stays_inside(vehicle: VehicleBalance, shifts: Sequence[tuple[float, float, float]], factor: int) -> bool:
    """Whether every mark stays over the outline: a balance point below the road would frighten for nothing."""
    if vehicle.before is None:
        return True
    base, half = vehicle.wheelbase_mm, 0.5 * (vehicle.track_mm or 0.6 * vehicle.wheelbase_mm)
    x, y, z = (0.0 if band is None else band.value for band in vehicle.before.cg)
    for along, across, up in shifts:
        if not -0.25 * base <= x + factor * along <= 1.25 * base or abs(y + factor * across) > half:
            return False
        if vehicle.before.cg[2] is not None and not 0.06 * base <= z + factor * up <= 0.58 * base:
            return False
    return True


def _on_paper(state: VehicleState, view: _View, axis: int, level: float, up: float) -> Point:
    across = state.cg[axis]
    return (view.x(state.cg[0].value), level if across is None else up - across.value * view.scale)


def _mark(at: Point, name: str) -> list[Item]:
    """A ring before, a disc after, a diamond with the load aboard."""
    if name == "loaded":
        x, y, r = *at, 1.6
        return [Shape(points=((x - r, y), (x, y - r), (x + r, y), (x, y + r)), line="ink", fill="ink", closed=True)]
    return [Disc(centre=at, radius=1.2, line="ink", fill="paper" if name == "before" else "ink", width=0.4)]


def _arrow(start: Point, end: Point) -> list[Item]:
    """From disc to disc, with a head."""
    length = math.dist(start, end)
    if length < _ROOM_FOR_AN_ARROW:
        return []
    way = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    tip = (end[0] - way[0] * 1.2, end[1] - way[1] * 1.2)
    tail = (start[0] + way[0] * 1.2, start[1] + way[1] * 1.2)
    neck = (tip[0] - way[0] * 2.2, tip[1] - way[1] * 2.2)
    side_on = (-way[1] * 1.1, way[0] * 1.1)
    head = (tip, (neck[0] + side_on[0], neck[1] + side_on[1]), (neck[0] - side_on[0], neck[1] - side_on[1]))
    return [_line(tail, neck, "ink", width=0.6), Shape(points=head, fill="ink", closed=True)]


def _line(start: Point, end: Point, style: str, *, width: float = 0.3, dashed: bool = False) -> Shape:
    return Shape(points=(start, end), line=style, width=width, dashed=dashed)


def _box(low: Point, high: Point) -> Shape:
    return Shape(
        points=(low, (high[0], low[1]), high, (low[0], high[1])), line="after", fill="pack", width=0.4, closed=True
    )


def _notes(texts: Sequence[str], height: float) -> list[Words]:
    """Lines below a picture."""
    return [
        Words(at=(WIDTH / 2.0, height - 4.4 + 3.4 * number), text=text, size=2.7, anchor="middle", style="quiet")
        for number, text in enumerate(texts)
    ]


def most_of(bars: Sequence[Bar]) -> float:
    """The mass at the right end of every bar, the same for all so that they can be compared."""
    return 1.04 * max(kg for one in bars for kg in (one.before or 0.0, one.high, one.limit or 0.0, 1.0))
