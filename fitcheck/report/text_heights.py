"""Heights in words: what was chosen, from which pieces, what decides, how each stack adds up, and what else moves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fitcheck.report.look import Look
from fitcheck.report.wording import BASIS, counted, floored, listed, plain, raised
from fitcheck.result_heights import FoundRow, HeightsAnswer, MovedRow, StackRow

_BASES = ("nominal", "worst case", "rss")


def section(answer: HeightsAnswer, look: Look, judge_by: str) -> list[str]:
    """Everything that the heights verb found beside its findings."""
    lines = _found(answer, look, judge_by)
    lines += _conflict(answer, look)
    for stack in answer.stacks:
        lines += _stack(stack, look)
    if answer.supports:
        lines += look.heading("Shelves, supports and shims")
        lines += [line for said in answer.supports for line in look.paragraph(f"- {said}", indent="  ", hang="    ")]
    return lines + _moved(answer.moved, look)


def pieces_text(row: FoundRow) -> str:
    """ "10 + 3 x 8", thickest first; a dash where nothing does."""
    if not row.pieces:
        return "no stack does"
    counts = Counter(row.pieces)
    return " + ".join(f"{size:g}" if number == 1 else f"{number} x {size:g}" for size, number in counts.items())


def _found(answer: HeightsAnswer, look: Look, judge_by: str) -> list[str]:
    title = "Heights found [mm]" if answer.solved else "Heights asked for, and not found [mm]"
    lines = look.heading(f"{title}: judged by {BASIS[judge_by]}, {answer.prefer} preferred")
    head = ("part", "made of", "height", "tolerance", "was", *(f"least, {word}" for word in _BASES))
    rows = [
        (
            row.part,
            pieces_text(row) if not row.same_as else f"as {row.same_as}",
            "-" if row.height_mm is None else plain(row.height_mm, 2),
            _tolerance(row.below_mm, row.above_mm),
            plain(row.written_mm, 2),
            *("-" if least is None else raised(least, 3) for _, least in row.least_by),
        )
        for row in answer.found
    ]
    lines += look.table(head, rows, left=2)
    lines += look.paragraph(
        "The three least heights would do if the part could be cut from one piece to any measure: as drawn, with every "
        "tolerance the unkind way, and by root-sum-square.",
        indent="  ",
    )
    for row in answer.found:
        if row.decided_by:
            lines += look.paragraph(f"{row.part} can be no less because of: {row.decided_by}", indent="  ", hang="    ")
    return lines


def _tolerance(below: float, above: float) -> str:
    if below == above:
        return f"± {plain(above, 2)}" if above else "exact"
    return f"+{plain(above, 2)}/-{plain(below, 2)}"


def _conflict(answer: HeightsAnswer, look: Look) -> list[str]:
    if not answer.conflict:
        return []
    lines = look.heading("What contradicts: not all of these together; any one left out, the others here can be had")
    for row in answer.conflict:
        if row.by is None:
            by = "giving way does not help by itself"
        elif row.unit == "pieces":
            by = f"would have to give way by {counted(round(row.by), 'piece')}"
        else:
            by = f"would have to give way by {raised(row.by, 2)} {row.unit}"
        lines += look.paragraph(f"- {row.what}: {by}", indent="  ", hang="    ")
    if all(row.least_nominal_mm is not None for row in answer.found):
        why = "Cut to measure, the least heights above would do: it is the stock that stands in the way."
    else:
        why = "No heights would do, not even cut to measure."
    if not answer.is_smallest:
        why += " None of the lines above can be spared, but a shorter list may contradict as well."
    return lines + look.paragraph(why, indent="  ")


def _stack(stack: StackRow, look: Look) -> list[str]:
    aged = f" ({stack.state})" if stack.state else ""
    lines = look.heading(f"Stack: {stack.title}{aged} [mm]")
    rows = [
        (
            link.value,
            link.known_by,
            f"{_signed(link.factor * link.nominal_mm)}",
            _tolerance(link.below_mm, link.above_mm),
            _share(link.share_worst),
            _share(link.share_rss),
        )
        for link in stack.links
    ]
    left = [1.0 - sum(shares) for shares in zip(*((n.share_worst, n.share_rss) for n in stack.links), strict=True)]
    if abs(stack.rest_mm) > 5e-4 or (left and 0.005 < left[0] < 1.0):
        worst, rss = (_share(max(0.0, share)) for share in left or (0.0, 0.0))
        rows.append(("growth and turns", "", _signed(stack.rest_mm), "", worst, rss))
    head = ("link", "known by", "adds", "tolerance", "of worst", "of rss")
    if rows:
        lines += look.table(head, rows, left=2)
    else:
        lines += look.paragraph("The two faces lie on one another whatever the sizes: nothing adds up.", indent="  ")
    band = stack.band
    asked = listed([f"{word} {required:g}" for word, required in stack.required])
    lines += look.paragraph(
        f"Together {plain(band.value, 2)}; worst case {floored(band.low, 2)} to {raised(band.high, 2)}; "
        f"root-sum-square {floored(band.rss_low, 2)} to {raised(band.rss_high, 2)}; asked for: {asked}.",
        indent="  ",
    )
    return lines


def _signed(number: float) -> str:
    return ("+" if number >= 0 else "-") + plain(abs(number), 2)


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share else "-"


def _moved(rows: Sequence[MovedRow], look: Look) -> list[str]:
    if not rows:
        return []
    lines = look.heading("What the change drags along, against the layout as written")
    for row in rows:
        about = f" of {listed(row.parts)}" if row.parts else ""
        aged = f" ({row.state})" if row.state == "end of life" else ""
        lines += look.paragraph(
            f"- {row.what}{about}{aged}: {row.before} -> {row.after}; by the {row.by}", indent="  ", hang="    "
        )
    return lines
