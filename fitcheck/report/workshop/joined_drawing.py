"""The drawing of a part that is not one flat piece: three views with the overall sizes, and its own sizes in words."""

from __future__ import annotations

from fitcheck.makeable.piece import Joined
from fitcheck.makeable.views import View
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.dimensions import level, number, plumb
from fitcheck.report.workshop.drawing import CARE, SCALES, SMALL_ENOUGH, Origin, notes_page
from fitcheck.report.workshop.paper import Paper
from fitcheck.report.workshop.title_block import Block, Field, Title, field_of

LEFT, BELOW, BETWEEN, RIGHT, ABOVE = 20.0, 20.0, 20.0, 12.0, 12.0


def draw(paper: Paper, part: Joined, origin: Origin) -> None:
    """One page, and more where the notes need them."""
    sheet, scale = _fit(part)
    title = Title(
        title=origin.title,
        part=part.part,
        material=part.material or "NOT STATED: settle before cutting",
        thickness="see the notes",
        measure="thickness",
        quantity="1",
        scale=f"{scale[0]}:{scale[1]}",
        sheet=sheet,
        pages="",
        tolerance=origin.tolerance,
        layout_file=origin.layout_file,
        sha256=origin.sha256,
        made_on=origin.made_on,
    )
    notes_page(paper, title, _blocks(part), lambda: _views(paper, part, field_of(sheet), scale[0] / scale[1]))


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
    _across(paper, side.size[0], (x, y), scale)
    _across(paper, end.size[0], (beside, y), scale)
    plumb(paper).overall(lift, lift + above.size[1] * scale, x - 9.0, x, number(above.size[1]))
    plumb(paper).overall(y, y + side.size[1] * scale, x - 9.0, x, number(side.size[1]))


def _across(paper: Paper, size: float, at: Point2, scale: float) -> None:
    level(paper).overall(at[0], at[0] + size * scale, at[1] - 9.0, at[1], number(size))


def _view(paper: Paper, view: View, at: Point2, scale: float) -> None:
    for ends in view.segments:
        paper.line([(at[0] + px * scale, at[1] + py * scale) for px, py in ends], "frame")
    paper.text((at[0], at[1] + view.size[1] * scale + 2.0), view.title, 2.4)


def _blocks(part: Joined) -> list[Block]:
    blocks: list[Block] = [("head", "To make"), ("text", f"Not one flat piece: {part.why}.")]
    blocks += [("text", f"{text[0].upper()}{text[1:]}.") for text in part.says]
    shown = {view.shows for view in part.views}
    what = "edges that show" if shown == {"edges"} else " or ".join(sorted(shown - {"edges"})) + " only"
    blocks.append(("text", f"Drawn as built in: {what}; sizes overall, as the layout has them."))
    return [*blocks, ("text", "Deburr all edges, break sharp corners by 0.3 to 0.5."), ("text", CARE[part.is_metal])]
