"""The drawing of a part that is not one flat piece: three views with the overall sizes, and its own sizes in words."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.makeable.piece import Joined
from fitcheck.makeable.views import View
from fitcheck.makeable.worklist import NO_TOLERANCE
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.dimensions import APART, MOST_RUNNING, Ruler, level, plumb
from fitcheck.report.workshop.dimensions import number as in_words
from fitcheck.report.workshop.drawing import SCALES, SMALL_ENOUGH, notes_page
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.paper import Paper
from fitcheck.report.workshop.shop_words import CHECKED_BY, FINISH, NOT_STATED, SETTLE, care_words, some_of
from fitcheck.report.workshop.title_block import Block, Field, Title, field_of

LEFT, BELOW, BETWEEN, RIGHT, ABOVE = 30.0, 30.0, 20.0, 12.0, 12.0


def draw(paper: Paper, part: Joined, origin: Origin, *, number: str = "") -> None:
    """One page, and more where the notes need them. `number` is the drawing's own."""
    sheet, scale = _fit(part)
    title = Title(
        origin=origin,
        part=part.part,
        material=part.material or NOT_STATED,
        thickness="see the notes",
        measure="thickness",
        quantity=str(part.quantity),
        scale=f"{scale[0]}:{scale[1]}",
        sheet=sheet,
        pages="",
        tolerance=origin.tolerance,
        number=number,
    )
    notes_page(paper, title, _blocks(part, origin), lambda: _views(paper, part, field_of(sheet), scale[0] / scale[1]))


def _spans(part: Joined) -> Point2:
    side, above, end = part.views
    return side.size[0] + end.size[0], side.size[1] + above.size[1]


def _fit(part: Joined) -> tuple[str, tuple[int, int]]:
    found = {}
    for sheet in ("A4", "A3"):
        free = field_of(sheet)
        room = (free.width - LEFT - BETWEEN - RIGHT, free.height - BELOW - BETWEEN - ABOVE)
        fits = [
            s for s in SCALES if all(span * s[0] / s[1] <= side for span, side in zip(_spans(part), room, strict=True))
        ]
        found[sheet] = fits[0] if fits else SCALES[-1]
    small, large = (found[sheet][0] / found[sheet][1] for sheet in ("A4", "A3"))
    is_enough = small >= SMALL_ENOUGH[0] / SMALL_ENOUGH[1] or large <= small
    sheet = "A4" if is_enough else "A3"
    return sheet, found[sheet]


def _views(paper: Paper, part: Joined, free: Field, scale: float) -> None:
    """The view from above stands above the one from the side, the view from the right end to the right of it."""
    side, above, end = part.views
    wide, high = (span * scale for span in _spans(part))
    x = free.x + LEFT + (free.width - LEFT - BETWEEN - RIGHT - wide) / 2.0
    y = free.y + BELOW + (free.height - BELOW - BETWEEN - ABOVE - high) / 2.0
    lift = y + side.size[1] * scale + BETWEEN
    beside = x + side.size[0] * scale + BETWEEN
    for view, at in ((above, (x, lift)), (side, (x, y)), (end, (beside, y))):
        _view(paper, view, at, scale)
    # Views beside one another share an axis, so that one row of sizes serves both.
    _sizes(level(paper), (side, above), 0, (x, y), scale)
    _sizes(level(paper), (end,), 0, (beside, y), scale)
    _sizes(plumb(paper), (above,), 1, (lift, x), scale)
    _sizes(plumb(paper), (side, end), 1, (y, x), scale)


def _sizes(ruler: Ruler, views: Sequence[View], axis: int, at: Point2, scale: float) -> None:
    """Where edges stand across the ruler, counted from the low side, and the overall size; `at` is (start, edge)."""
    start, edge = at
    size = views[0].size[axis]
    values = steps(views, axis)
    has_room = 0 < len(values) <= MOST_RUNNING and len(values) * APART <= size * scale + 6.0 * APART
    if has_room:
        ruler.running(start, scale, values, edge - 6.0, edge)
    ruler.overall(start, start + size * scale, edge - (22.0 if has_room else 9.0), edge, in_words(size))


def steps(views: Sequence[View], axis: int) -> list[float]:
    """Where straight edges stand across an axis of the views, ascending; neither the low side nor the far one."""
    found = {
        round(one[axis], 2)
        for view in views
        if view.shows == "edges"
        for one, other in view.segments
        if abs(one[axis] - other[axis]) < 1e-6
    }
    return sorted(found - {0.0, round(views[0].size[axis], 2)})


def _view(paper: Paper, view: View, at: Point2, scale: float) -> None:
    for ends in view.segments:
        paper.line([(at[0] + px * scale, at[1] + py * scale) for px, py in ends], "frame")
    paper.text((at[0], at[1] + view.size[1] * scale + 2.0), view.title, 2.4)


def _blocks(part: Joined, origin: Origin) -> list[Block]:
    blocks: list[Block] = [("head", "To make"), ("text", f"Not one flat piece: {part.why}.")]
    if part.quantity > 1:
        blocks.append(("text", f"For {some_of(part.of_parts)}; views of {part.part}."))
    blocks += [("text", f"{text[0].upper()}{text[1:]}.") for text in part.says]
    shown = {view.shows for view in part.views}
    what = "edges that show" if shown == {"edges"} else " or ".join(sorted(shown - {"edges"})) + " only"
    blocks.append(("text", f"Drawn as built in: {what}; sizes from one side, as the layout has them."))
    blocks += [("text", f"{FINISH[part.worked_as]}."), ("text", care_words(part)), ("head", SETTLE)]
    first = (CHECKED_BY,) if origin.general else (CHECKED_BY, NO_TOLERANCE.text)
    return [*blocks, *(("text", f"{text}.") for text in first)]
